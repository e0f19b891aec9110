"""Finds a field's widget on a page under test, whose key ends in how often the fields have begun anew; and reads a page."""

import re
from pathlib import Path

import pytest
from streamlit.navigation.page import Page

from advisor.basis.places import PAGES
from advisor.ui.look.pages_list import PAGES_IN_ORDER


def turn_to(app, file):
    """Turn a new visit to a page by its file name.

    Where its address is another, AppTest learns it in a first run, in which no page is drawn.
    """
    page = next(page for page in PAGES_IN_ORDER if page.file == file)
    if page is PAGES_IN_ORDER[0]:
        return app.run()  # it stands at the root
    if page.url_path != Path(file).stem:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Page, "run", lambda first: None)
            app.run()
    return app.switch_page(str(PAGES / file)).run()


def has_sheet_field(widgets, name):
    return any(re.fullmatch(rf"{name}(_\d+)?", widget.key or "") for widget in widgets)


def sheet_field(widgets, name):
    """Return the widget of a name such as "sheet_bath_volume" among `app.text_input` or the like."""
    (found,) = [widget for widget in widgets if re.fullmatch(rf"{name}(_\d+)?", widget.key or "")]
    return found


def type_in(app, name, text):
    """Type into the field of a name such as "sheet_bath_volume" and return the page."""
    sheet_field(app.text_input, name).input(text).run()
    assert not app.exception
    return app


def press(app, label):
    next(button for button in app.button if button.label == label).click().run()


def unfold(app, key):
    """Open a folded part, whose fields are drawn only then."""
    app.session_state[key] = True
    app.run()
    assert not app.exception


def said(app):
    """Return all that stands on the page in our own HTML."""
    return "\n".join(block.proto.body for block in app.get("html")).replace("\N{NO-BREAK SPACE}", " ")


def text_of(app):
    """Return all words of a page, in our own HTML and in Streamlit's, with plain spaces between numbers and units."""
    parts = [*app.markdown, *app.get("html"), *app.caption, *app.error, *app.subheader]
    said = " ".join(getattr(part, "value", None) or getattr(part.proto, "body", "") for part in parts)
    return said.replace("\N{NO-BREAK SPACE}", " ")
