"""Each act has its caution, from one table: no step, way, card or answer names an act without declaring and saying it.

`NAMES` finds an act by the words that name it. It is written apart from the table, so that an act that someone adds to
a sentence without declaring it is found.
"""

import re
from collections.abc import Iterator

import pytest

from advisor.basis import tables
from advisor.basis.fields import fields_of, read_table
from advisor.bench.cards import CARDS, bench_card
from advisor.bench.standardise import SOLIDS, STANDARDISATIONS, WEIGHED
from advisor.check.advise import advise
from advisor.check.steps import _ACTS, BEFORE_ALL
from advisor.check.ways import ways_section
from advisor.examples import EXAMPLES, example_text
from advisor.questions.disposal import dispose
from advisor.questions.faults import diagnose
from advisor.questions.make_up import mix
from advisor.questions.plating import plate
from advisor.questions.remake import keep
from advisor.sheet import LOOKS, parse_sheet, read_sheet
from advisor.words import cautions
from advisor.words.cautions import POURED, Act, caution_lines
from advisor.words.report import page, terminal

NAMES = {
    Act.POUR_ACID: r"\b(?:add|pour)(?: the| in the)? acid\b|mL of (?:sulfuric )?acid|(?:drops of|dilute|a little) acid\b",
    Act.DISSOLVE_CRYSTALS: r"g of (?:copper sulfate )?crystals",
    Act.DISSOLVE_ANHYDROUS: r"g of crystals[^.]*warms it by",
    Act.HYDROCHLORIC_ACID: r"hydrochloric",
    Act.KEEP_BLEACH_AWAY: r"hydrochloric|salt solution",
    Act.WARM_LIQUID: r"warm(?:ed)? (?:the bath|until|to about)|\bwarm a sample",
    Act.RUN_CURRENT: r"\bplate (?:a|one|the|at|scrap|onto)\b|A·h of|current on",
    Act.REACH_IN: r"with the current (?:still )?on",
    Act.INERT_ANODE: r"inert anode",
    Act.COPPER_CARBONATE: r"basic copper carbonate",
    Act.LYE: r"\blye \(sodium|lye against|grams? of lye",
    Act.AMMONIA: r"household ammonia|drop of ammonia|add ammonia",
    Act.IODIDE: r"potassium iodide",
    Act.THIOSULFATE: r"sodium thiosulfate",
    Act.SILVER: r"silver nitrate",
    Act.EDTA: r"disodium EDTA|EDTA waste",
    Act.WARM_AIR: r"hair dryer",
    Act.GLASS: r"hydrometer,|glass flask|glass beaker",
    Act.WEIGH_POWDER: r"\b[\d.]+ g of (?:baking|washing|lye|disodium|sodium|potassium|crystals|silver)",
    Act.NEUTRALISE: r"stir in sodium (?:bi)?carbonate",
    Act.DRY_SLUDGE: r"sludge (?:dry|damp)",
    Act.CARBON: r"activated carbon|with carbon",
    Act.BAKE_SODA: r"bake (?:it|them)|baked",
    Act.EVAPORATE: r"water evaporate",
    Act.STORE_BATH: r"take out [\d.]+ L of bath|L that you take out",
}


def named(text: str) -> set[Act]:
    return {act for act, words in NAMES.items() if re.search(words, text, re.IGNORECASE)}


def body(sections) -> str:
    """Everything that a reader is told but the cautions themselves and what is merely advised to be measured next."""
    return "\n".join(
        line
        for section in sections
        if not section.caution and section.title not in ("What to measure next", "What you should know")
        for line in section.lines
    )


def holds(sections, acts, where: str) -> None:
    """Fail where an act is named and not declared, or declared and its caution not said."""
    missing = named(body(sections)) - set(acts)
    assert not missing, f"{where}: {sorted(missing)} named without its caution"
    said = [line for section in sections if section.caution for line in section.lines]
    assert set(caution_lines(acts)) <= set(said), where


# --- The table ------------------------------------------------------------------------------------


def test_every_act_stands_in_the_table_once_and_no_other():
    assert [row["act"] for row in tables.rows("acts")] == [act.value for act in Act]


@pytest.mark.parametrize("act", Act)
def test_every_act_has_a_hazard_a_caution_and_what_to_do(act):
    row = next(row for row in tables.rows("acts") if row["act"] == act)
    for part in ("hazard", "caution", "if_it_happens"):
        assert row[part][0].isupper()
        assert row[part][-1] == "."
    whole = f"{row['hazard']} {row['caution']} {row['if_it_happens']}"
    assert cautions.caution_line(act) == whole.replace("{", "").replace("}", "")


def test_a_cell_that_names_no_act_is_refused():
    assert cautions.acts_named("") == ()
    assert cautions.acts_named("pour acid; handle bath") == (Act.POUR_ACID, Act.HANDLE_BATH)
    with pytest.raises(ValueError, match="boil acid"):
        cautions.acts_named("boil acid")


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (Act.HYDROCHLORIC_ACID, ("goggles", "gloves", "fumes")),
        (Act.KEEP_BLEACH_AWAY, ("poisonous chlorine",)),
        (Act.RUN_CURRENT, ("acid mist", "hydrogen", "unattended", "low-voltage", "dry hands", "local rules", "air")),
        (Act.INERT_ANODE, ("chlorine", "50 to 120 mg/L chloride", "measure the chloride again", "hydrogen")),
        (Act.AMMONIA, ("silver", "iodine", "bleach", "explodes")),
        (Act.IODIDE, ("ammonia", "explodes")),
        (Act.THIOSULFATE, ("acid waste", "sulfur dioxide")),
        (Act.SILVER, ("ammonia", "explosive", "table salt")),
        (Act.DRY_SLUDGE, ("under a cover", "rain", "children", "animals", "no dust")),
        (Act.WARM_LIQUID, ("hot crystals", "scald")),
        (Act.WEIGH_POWDER, ("dust", "goggles", "still air")),
    ],
)
def test_what_may_not_be_left_out_is_said(act, words):
    for word in words:
        assert word.lower() in cautions.caution_line(act).lower(), word


# --- Steps, ways, cards, questions, answers -------------------------------------------------------


def record(copper: float, acid: float) -> dict[str, str]:
    sure = {"copper_sulfate": f"{copper} ± 3 g/L", "sulfuric_acid": f"{acid} ± 1 g/L"}
    return {"kind": "previous check", **sure, "since": "evaporation only"}


def sheets() -> Iterator[tuple[str, object]]:
    """Baths that between them want every kind of step and every way."""
    for name in EXAMPLES:
        yield name, parse_sheet(example_text(name).encode())
    for copper, acid in ((150, 20), (215, 5), (275, 22), (165, 90), (300, 100), (230, 52), (100, 5)):
        for form in ("pentahydrate", "anhydrous"):
            raw = {"bath": {"volume": "5 L", "usual_volume": "5.6 L"}, "reading": [record(copper, acid)]}
            yield f"{copper}/{acid} {form}", read_sheet({**raw, "stock": {"crystals": {"form": form}}})
    for kind in ("hydrochloric acid", "sodium chloride"):
        bath = {"volume": "5 L", "additives": True, "max_volume": "5.1 L"}
        readings = [record(150, 20), {"kind": "chloride strip", "value": "10 mg/L"}]
        yield kind, read_sheet({"bath": bath, "reading": readings, "stock": {"chloride": {"kind": kind}}})
    yield "copper high", read_sheet({"bath": {"volume": "5.6 L"}, "reading": [record(275, 22)]})
    full = {"volume": "6.2 L", "usual_volume": "5.6 L", "max_volume": "6.3 L"}
    yield "full", read_sheet({"bath": full, "reading": [record(190, 45)]})


SHEETS = dict(sheets())


@pytest.mark.parametrize("name", SHEETS)
def test_no_step_or_way_names_an_act_without_its_caution(name):
    advice = advise(SHEETS[name])
    holds(advice.sections(), advice.acts, name)
    for step in advice.steps:
        assert named(step.how) | named(cautions_of_amount(step)) <= {*step.acts, BEFORE_ALL}, step
    for way in advice.ways:
        assert named(ways_section([way]).lines[0]) - {Act.RUN_CURRENT} <= set(way.acts), way.title


def cautions_of_amount(step) -> str:
    from advisor.check.steps import step_amount

    return step_amount(step)


def test_every_kind_of_step_and_way_was_seen():
    found = [advise(sheet) for sheet in SHEETS.values()]
    assert {step.what for advice in found for step in advice.steps} == set(_ACTS)
    titles = {way.title for advice in found for way in advice.ways}
    assert {"Inert anode", "Basic copper carbonate", "Let it evaporate"} <= titles


GEAR = ((), ("baking soda", "EDTA", "0.1 g scale"), ("lye", "pH meter", "0.01 g scale", "thiosulfate"))


@pytest.mark.parametrize("have", GEAR)
@pytest.mark.parametrize("kind", CARDS)
def test_no_card_names_an_act_without_its_caution(kind, have):
    sheet = read_sheet({"bath": {"volume": "5 L", "additives": True}, "gear": {"have": list(have)}})
    card = bench_card(kind, sheet)
    assert Act.HANDLE_BATH in card.acts
    holds(card.sections(), card.acts, kind)


TYPED = {
    "mass": "1.000 g",
    "made_up": "100 mL",
    "used": "20 mL",
    "crystals": "2.50 g",
    "sample": "10 mL",
    "before": "100.0 g",
    "after": "63.1 g",
}


def strengths() -> Iterator[tuple[str, object]]:
    choices = {"weighed in": ("substance", WEIGHED), "against solid": ("solid", SOLIDS), "baked": ("", ("",))}
    for way, table in STANDARDISATIONS.items():
        key, kinds = choices.get(way, ("method", ("EDTA", "iodometric")))
        for kind in kinds:
            known = fields_of(table.table)
            given = {name: text for name, text in TYPED.items() if name in known} | ({key: kind} if key else {})
            errors: list = []
            read = read_table(table.table, given, "titrant", errors)
            assert not errors, errors
            yield f"{way} {kind}", table.answer(read)


@pytest.mark.parametrize(("where", "strength"), list(strengths()))
def test_no_titrant_is_made_up_without_its_caution(where, strength):
    holds(strength.sections(), strength.acts, where)
    assert Act.WEIGH_POWDER in strength.acts
    assert (Act.LYE in strength.acts) is (strength.titrant == "sodium hydroxide")
    assert (Act.SILVER in strength.acts) is (strength.titrant == "silver nitrate")
    assert (Act.THIOSULFATE in strength.acts) is ("thiosulfate" in strength.titrant)


def questions() -> Iterator[tuple[str, object]]:
    for name, sheet in SHEETS.items():
        yield f"keep {name}", keep(sheet)
        yield f"dispose {name}", dispose(sheet)
    bath = {"bath": {"volume": "5 L", "additives": True}}
    for form in ("pentahydrate", "anhydrous"):
        yield f"mix {form}", mix(read_sheet({**bath, "stock": {"crystals": {"form": form}}}))
    yield "recipe", mix(read_sheet({**bath, "mix": {"crystals": "500 g", "acid": "40 mL", "water": "2.2 L"}}))
    yield "plate", plate(read_sheet({**bath, "plate": {"area": "1 dm^2", "current": "1 A"}}))
    for look in LOOKS:
        yield f"diagnose {look}", diagnose(read_sheet({**bath, "deposit": {"looks": [look]}}))


@pytest.mark.parametrize(("where", "answer"), list(questions()))
def test_no_question_names_an_act_without_its_caution(where, answer):
    holds(answer.sections(), answer.acts, where)
    assert set(answer.to_dict()["cautions"]) >= set(caution_lines(answer.acts))


@pytest.mark.parametrize("row", tables.rows("fault_causes"), ids=lambda row: row["cause"])
def test_no_cause_of_a_fault_names_an_act_without_its_caution(row):
    declared = {*cautions.acts_named(row["acts"]), *cautions.PLATING}
    assert named(f"{row['test']}. {row['remedy']}") <= declared


DOSE = re.compile(
    r"mL of (?:sulfuric |this )?acid\b|\badd acid\b|(?:with water and|dilute|drops of) acid", re.IGNORECASE
)


def test_wherever_a_dose_of_acid_is_named_goggles_are_named_in_the_same_breath():
    answers = [answer for _, answer in questions()] + [advise(sheet) for sheet in SHEETS.values()]
    answers += [
        bench_card(kind, read_sheet({"bath": {"volume": "5 L"}, "gear": {"have": g}})) for kind in CARDS for g in GEAR
    ]
    lines = [line for answer in answers for line in body(answer.sections()).split("\n")]
    lines += [f"{row['test']}. {row['remedy']}" for row in tables.rows("fault_causes")]
    doses = [line for line in lines if DOSE.search(line)]
    assert len(doses) > 20
    for line in doses:
        assert POURED.lower().rstrip(".") in line.lower(), line


# --- First aid ------------------------------------------------------------------------------------


def test_first_aid_says_what_it_must():
    said = " ".join(cautions.first_aid().lines)
    for words in (
        "running water at once",
        "at least 15 minutes",
        "Baking soda is for spills only",
        "Never put soda",
        "Swallowed",
        "Breathed in",
        "local emergency number",
        "safety data sheet",
    ):
        assert words in said, words
    assert said.count("at least 15 minutes") == 2  # eyes and skin


def test_first_aid_stands_once_on_paper_and_in_the_terminal():
    advice = advise(SHEETS["dull"])
    for whole in (page(advice.TITLE, advice.sections()), terminal(advice.TITLE, advice.sections())):
        assert whole.count("Baking soda is for spills") == 1
    assert "Baking soda is for spills" not in terminal("Words", [ways_section([])])


def test_first_aid_stands_once_on_screen(app_test):
    for file in ("check.py", "correct.py", "methods.py"):
        app = app_test(file)
        assert not app.exception
        said = "\n".join(block.proto.body for block in app.get("html"))
        assert said.count("Baking soda is for spills") == 1, file
