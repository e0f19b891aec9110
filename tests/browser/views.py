"""What there is to look at: every page, and every state that an answer may have, each by a name of its own.

A view is a page with a sheet, and what is tapped on it. `show` brings a tab there; `write_a_record` gives the app some
baths to have a logbook of.
"""

import copy
import datetime
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import tomli_w

from advisor.basis.fields import read_table
from advisor.check.advise import advise
from advisor.examples import example_text
from advisor.record.entries import CONTENTS
from advisor.record.logbook import Logbook
from advisor.sheet import parse_toml, read_sheet
from tests.browser.steps import follow_menu, open_page, settle, stand_still, type_in, unfold, upload

DULL = parse_toml(example_text("dull").encode())
WORDS = {table.word: table for table in CONTENTS.values()}
REPORT = {"kind": "laboratory report", "copper_sulfate": "220 ± 8 g/L", "sulfuric_acid": "55 ± 3 g/L"}
REPORT |= {"chloride": "80 ± 10 mg/L"}


def dull_with(*readings, **tables):
    """Return the example of a dull bath with fields of some tables changed, and with other readings where any are given."""
    sheet = copy.deepcopy(DULL)
    for table, changed in tables.items():
        sheet[table] = sheet.get(table, {}) | changed
    return sheet | ({"reading": list(readings)} if readings else {})


def tap(page, name, role="button"):
    part = page.get_by_role("main").get_by_role(role, name=name).first
    part.scroll_into_view_if_needed()
    stand_still(part)
    part.click()
    settle(page)


def type_all(page, typed):
    for label, text in typed.items():
        type_in(page, label, text)
        settle(page)


def tick(page, count):
    """Tick the first steps of a correction; count: how many."""
    for number in range(1, count + 1):
        page.locator(f".st-key-step_{number} .stCheckbox label").first.click()
        page.get_by_role("textbox", name="Really used").nth(number - 1).wait_for()
        settle(page)


def unfold_all(page, *words):
    for each in words:
        stand_still(unfold(page, each))
        settle(page)


def nothing(page):
    """Do nothing."""


@dataclass(frozen=True)
class View:
    """One thing to look at. sheet: the name of an example or a whole sheet, empty for none; acts: what is done then."""

    name: str
    page: str
    sheet: str | dict = ""
    acts: Callable = nothing
    record: bool = field(default=False, kw_only=True)  # whether it needs a logbook

    def show(self, page):
        """Bring a tab to this view."""
        if isinstance(self.sheet, dict):
            open_page(page, "Check")
            unfold(page, "Start from an example or a file")
            upload(page, "sheet.toml", tomli_w.dumps(self.sheet).encode())
            page.locator(".glance").wait_for()
            settle(page)
            if self.page != "Check":
                follow_menu(page, self.page)
        else:
            open_page(page, self.page, self.sheet)
        self.acts(page)
        settle(page)


def treatment(name, **fields):
    sheet = dull_with(REPORT | {"chloride": "180 ± 10 mg/L"}, treat={"what": name} | fields)
    return View(f"care, {name}", "Anodes and care", sheet)


RUN = {"Area of the part (cm²)": "120", "Copper wanted (µm)": "100"}
COAT = {"The meter shows (Ω)": "120", "The tips stand apart (cm)": "5", "Width of the coat between them (cm)": "3"}
CONTRADICTING = [REPORT, REPORT | {"copper_sulfate": "330 ± 8 g/L", "sulfuric_acid": "110 ± 3 g/L"}]


def a_part(page):
    tap(page, "leaf or flower")
    type_all(page, COAT)


def to_buy(page):
    tap(page, "What to buy", role="radio")
    type_in(page, "Water that evaporates in a week (L)", "1,5")
    settle(page)


def the_anodes(page):
    tap(page, "The anodes", role="radio")
    type_all(page, {"Area of the part (cm²)": "85", "Anode area (cm²)": "60"})


ANSWERS = (
    View("answer, nothing typed", "Check"),
    View("answer, one thing missing", "Check", "", partial(type_all, typed={"Bath in the tank now": "5,6"})),
    View("answer, example needs", "Check", "dull"),
    View("answer, one reading", "Check", dull_with(DULL["reading"][0])),
    View("answer, in window", "Check", dull_with(REPORT)),
    View("answer, measure first", "Check", dull_with({**REPORT, "copper_sulfate": "220 ± 60 g/L"})),
    View("answer, repeat first", "Check", dull_with(REPORT | {"copper_sulfate": "330 ± 8 g/L"})),
    View("answer, contradicting", "Check", dull_with(*CONTRADICTING)),
    View("answer, crystals threaten", "Check", dull_with(REPORT | {"copper_sulfate": "245 ± 4 g/L"}, bath={"coldest": "2 degC"})),
    View("answer, remake", "Check", "old"),
    View("answer, level dropped", "Check", "evaporation"),
    View("correct", "Correct", "dull"),
    View("correct, too cold", "Correct", dull_with(REPORT | {"copper_sulfate": "245 ± 4 g/L"}, bath={"coldest": "2 degC"})),
    View("correct, old", "Correct", "old"),
)  # fmt: skip
BEGUN = (
    View("correct, half done", "Correct", "dull", partial(tick, count=1)),
    View("correct, done", "Correct", "dull", partial(tick, count=2)),
)
TREATMENTS = (
    treatment("carbon", carbon="5 g/L"),
    treatment("filtering", pump="60 L"),
    treatment("dummying", scrap="200 cm^2"),
    treatment("less chloride"),
    treatment("warming", heater="100 W"),
    treatment("crystals", on_floor="200 g"),
)
PAGES = (
    View("first visit", "Baths"),
    View("guided, tank", "Check", "", lambda page: page.goto("/check")),
    View("plating run", "Plating run", "dull", partial(type_all, typed=RUN)),
    View("faults", "Deposit faults", "", lambda page: tap(page, "dull")),
    View("keep or remake", "Keep or remake", "old"),
    View("mix", "Mix", "", partial(type_all, typed={"Bath wanted (L)": "5"})),
    View("anodes", "Anodes and care", "dull", the_anodes),
    View("care, nothing chosen", "Anodes and care"),
    View("part", "Parts and shopping", "dull", a_part),
    View("shopping", "Parts and shopping", "dull", to_buy),
    View("methods", "Methods", "dull"),
    View("words", "Words"),
    View("logbook, empty", "Logbook"),
)
OF_THE_RECORD = (
    View("baths", "Baths", record=True),
    View("upkeep", "Upkeep", "", nothing, record=True),
    View("upkeep, compare", "Upkeep", "", lambda page: unfold_all(page, "Your baths side by side"), record=True),
    View("logbook", "Logbook", record=True),
    View("logbook, all entries", "Logbook", "", lambda page: unfold_all(page, "All entries"), record=True),
)
VIEWS = (*ANSWERS, *BEGUN, *TREATMENTS, *PAGES, *OF_THE_RECORD)


def write_a_record(file: Path):
    """Write the records of three baths, up to today, into a logbook."""
    book, today = Logbook(file), datetime.datetime.now(datetime.UTC)

    def moment(days_ago):
        return today - datetime.timedelta(days=days_ago)

    def write(bath, days_ago, word, **fields):
        errors: list = []
        content = read_table(WORDS[word], fields, word, errors)
        assert not errors, errors
        book.record(bath, content, moment(days_ago))

    def check(bath, days_ago, copper, acid, chloride, **of_bath):
        held = {
            "copper_sulfate": f"{copper} ± 6 g/L",
            "sulfuric_acid": f"{acid} ± 3 g/L",
            "chloride": f"{chloride} ± 10 mg/L",
        }
        sheet = read_sheet(dull_with(REPORT | held, bath={"name": bath, "date": moment(days_ago).date()} | of_bath))
        book.record_check(sheet, advise(sheet), moment(days_ago))

    big, shell, young = "Leafcast, big tank", "Shell tank", "Test jar"
    check(shell, 80, 205, 52, 70, volume="12 L", usual_volume="12 L", max_volume="14 L", min_volume="10 L")
    write(shell, 50, "level", volume="10.8 L")
    check(shell, 20, 231, 44, 64, volume="12 L", usual_volume="12 L", max_volume="14 L", min_volume="10 L")
    check(young, 25, 220, 55, 80, volume="1 L", usual_volume="1 L", max_volume="1.2 L", min_volume="0.8 L")
    for number in range(6):
        check(big, 152 - 30 * number, 228 - 5 * number, 60 - 4 * number, 90 - 4 * number)
        write(big, 151.5 - 30 * number, "run", current="2 A", time="14 h", area="180 cm^2", part="oak leaves")
        write(big, 151 - 30 * number, "dose", volume="8 mL", additive="Glint")
    write(big, 160, "additive", additive="Glint", per_ampere_hour="0.3 mL", per_week="1 mL")
    write(big, 100, "water", volume="0.6 L")
    write(big, 70, "acid", volume="120 mL", strength="37 %")
    write(big, 60, "filter", through="5 um cartridge", time="4 h")
    write(big, 40, "anode-mass", mass="812 g")
    write(big, 2, "anode-mass", mass="706 g")
    write(big, 30, "remind", what="clean the heater", every="14 day")
