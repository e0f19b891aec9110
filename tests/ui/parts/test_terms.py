"""The trade's words are linked once a page, to where they are explained at its foot."""

import re

import pytest

from advisor.ui.parts import cards, terms
from advisor.words.cautions import Act, cautions


@pytest.fixture
def page(monkeypatch):
    drawn = []
    monkeypatch.setattr(terms.st, "session_state", {})
    monkeypatch.setattr(terms.st, "html", drawn.append)
    terms.begin()
    return drawn


def test_a_word_is_linked_once(page):
    first = terms.linked("Run the titrant in; the titrant is weak.")
    assert first.count("<a ") == 1
    assert "<a " not in terms.linked("More Titrant.")
    terms.begin()
    assert "<a " in terms.linked("More Titrant.")


def test_each_link_leads_to_a_meaning_on_the_page(page):
    said = terms.linked("The brightener, the levellers and the working window.")
    terms.foot()
    ids = set(re.findall(r'id="([^"]+)"', page[0]))
    assert set(re.findall(r'href="#([^"]+)"', said)) == ids
    assert len(ids) == 3


def test_a_page_that_a_sentence_names_is_one_tap_away_and_no_new_visit():
    said = terms.with_pages("Bath is copper waste: Keep or remake tells more. To keep or remake it is your choice.")
    link = '<a class="page within" href="/keep-or-remake" target="_self">Keep or remake</a>'  # as links.js turns pages
    assert said == f"Bath is copper waste: {link} tells more. To keep or remake it is your choice."


def test_bath_that_is_replaced_leads_to_the_page_that_tells_of_its_disposal(monkeypatch):
    shown = []
    monkeypatch.setattr(cards.st, "html", shown.append)
    cards.cautions(cautions((Act.REPLACED_BATH,)))
    assert 'href="/keep-or-remake"' in shown[0]


def test_a_word_in_a_label_is_explained_without_a_link(page):
    terms.note("Fill the syringe with titrant; do a <b>blank</b>.")
    terms.foot()
    assert "The solution of known strength" in page[0]
    assert "<b>blank" not in page[0]


def test_without_words_there_is_no_foot(page):
    assert terms.linked("Add 5 g.") == "Add 5 g."
    terms.foot()
    assert page == []


def test_what_was_typed_stays_escaped(page):
    assert terms.linked("&lt;b&gt;titrant&lt;/b&gt;").startswith("&lt;b&gt;<a ")
