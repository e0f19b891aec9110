"""An answer on paper and in the terminal: everything that was typed is escaped, and the units are those chosen."""

from html import unescape
from xml.etree import ElementTree

from advisor.words import report
from advisor.words.lines import Units, line
from advisor.words.report import parted, terminal
from advisor.words.sections import Block, Section

TYPED = "<script>alert('1')</script> & \"x\" {{ 7 * 7 }}"
SECTIONS = (
    Section("Do", (line("Add {280 g} to {name}", name=TYPED), "Stir"), numbered=True),
    Section("Careful <b>", (TYPED,), caution=True),
    Section("Know", ("plain",)),
)


def page(*parts, **more):
    """Return a page to print with plain spaces."""
    return report.page(*parts, **more).replace("\N{NO-BREAK SPACE}", " ")


def test_on_paper_no_number_parts_from_its_unit_and_what_follows_a_colon_is_no_dose():
    step = Section("Do", (line("Add {280 g} to {2 L}: it warms by {4 °C}."),), numbered=True, key=Block.STEPS)
    printed = report.page("T", (step,))
    assert "Add 280\u00a0g to\u00a02\u00a0L:</b> it warms by 4\u00a0°C." in printed


def tree(text):
    head, _, body = text.partition("<body>")
    assert head.startswith("<!doctype html>")
    return ElementTree.fromstring(f"<body>{body.removesuffix('</html>' + chr(10))}")


def test_everything_on_the_page_is_escaped():
    text = page(TYPED, SECTIONS, TYPED)
    assert "<script" not in text
    assert "49" not in text.partition("<body>")[2]
    body = tree(text)
    assert body.findtext("h1") == TYPED
    assert body.findtext("footer").startswith(f"{TYPED} · copper bath advisor ")
    assert unescape(text).count(TYPED) == 5  # title twice, step, caution, date


def test_each_kind_of_block_is_a_list_of_its_own():
    body = tree(page("T", SECTIONS))
    assert [(block.tag, block.get("class"), len(block)) for block in body if block.tag in ("ol", "ul")] == [
        ("ol", "steps", 2),
        ("ul", "caution", 1),
        ("ul", "plain", 1),
    ]
    assert [block.text for block in body.iter("h2")] == ["Do", "Careful <b>", "Know"]
    assert body.findtext("footer").startswith("copper bath advisor ")


def test_paper_and_terminal_are_in_the_units_chosen():
    assert "Add 280 g to" in page("T", SECTIONS)
    assert "Add 9.88 oz (280 g) to" in page("T", SECTIONS, units=Units.US_FIRST)
    assert "1. Add 9.88 oz (280 g) to" in terminal("T", SECTIONS, Units.US_FIRST)
    assert "1. Add 280 g to" in terminal("T", SECTIONS, Units.METRIC)


def test_a_step_has_its_dose_in_large_and_lines_to_write_on():
    step = Section("Do", (line("Add {280 g} crystals. Stir in {2.5 L}."),), numbered=True, key=Block.STEPS)
    body = tree(
        page("T", (step,), units=Units.US_FIRST, pictures=('<img src="data:," alt="map"/>',), blanks=("Done on",))
    )
    assert body.findtext(".//li/b") == "Add 9.88 oz (280 g) crystals."
    assert body.find(".//li/b").tail.strip() == "Stir in 2.6 qt (2.5 L)."
    assert body.find("div[@class='pictures']/img").get("alt") == "map"
    assert [line.text for line in body.findall("p[@class='write']")] == ["Done on"]
    assert not tree(page("T", (step,))).findall("p[@class='write']")


def test_the_first_sentence_is_parted_from_the_rest():
    assert parted("Stir") == ("Stir", "")
    assert parted(line("Add {280 g}. Then {1 L}. Stir.")) == ("Add 280 g.", "Then 1 L. Stir.")
    assert parted(line("Add {28.5 g} of it")) == ("Add 28.5 g of it", "")
    assert parted(line("Add {280 g}: it is short. Stir.")) == ("Add 280 g:", "it is short. Stir.")
    assert parted(line("Mind: it is hot. Add {1 L}. Stir.")) == ("Mind: it is hot.", "Add 1 L. Stir.")
