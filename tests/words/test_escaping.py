"""The printed page: what a person typed is shown as typed, and is never taken for part of the page."""

from html.parser import HTMLParser

import pytest

from advisor.words.report import page
from advisor.words.sections import Section


class Reader(HTMLParser):
    """Collects the elements of a page and the text a reader sees."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.shown: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(tag)

    def handle_data(self, data: str) -> None:
        self.shown.append(data)


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    return reader


HOSTILE = "<script>alert(1)</script> <img src=x> & &lt; Wanne"


@pytest.mark.parametrize("place", ["title", "title of a section", "line", "numbered line", "caution", "date"])
def test_what_was_typed_is_shown_as_typed_wherever_it_is_printed(place: str) -> None:
    words = dict.fromkeys(("title", "title of a section", "line", "numbered line", "caution", "date"), "plain")

    def printed(words: dict[str, str]) -> Reader:
        sections = (
            Section(words["title of a section"], (words["line"],)),
            Section("steps", (words["numbered line"],), numbered=True),
            Section("care", (words["caution"],), caution=True),
        )
        return read(page(words["title"], sections, words["date"]))

    hostile = printed(words | {place: HOSTILE})
    assert HOSTILE in "".join(hostile.shown)
    assert hostile.elements == printed(words).elements
