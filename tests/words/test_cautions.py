"""No step, way, card, question or answer names an act without its caution; first aid stands where it is wanted."""

import re
from functools import cache

import pytest

from advisor.basis import tables
from advisor.bench.cards import CARDS, bench_card
from advisor.bench.standardise import _SPECIAL, _acts
from advisor.check.advise import advise
from advisor.check.mass_balance import After
from advisor.check.steps import STEP_ACTS, Step
from advisor.check.ways import acts_of
from advisor.examples import EXAMPLES, example_text
from advisor.questions.anodes import anodes
from advisor.questions.disposal import dispose
from advisor.questions.faults import CAUSE_ACTS, diagnose
from advisor.questions.make_up import mix
from advisor.questions.objects import prepare
from advisor.questions.plating import plate
from advisor.questions.remake import keep
from advisor.questions.shopping import shop
from advisor.questions.treatments import treat
from advisor.sheet import COATS, MATERIALS, TREATMENTS, parse_sheet
from advisor.words.cautions import FIRST_AID_LINES, Act, caution, cautions, first_aid, in_order
from advisor.words.lines import line
from advisor.words.sections import Block

# What a text names, and the acts that must stand with it. A text that only warns of a thing names it too.
NAMED = {
    r"mL of (sulfuric )?acid|Sulfuric acid of|Add acid": (Act.SULFURIC_ACID, Act.POURING_ACID),
    r"drops of acid|g/L acid in distilled": (Act.SULFURIC_ACID,),
    r"hydrochloric acid": (Act.HYDROCHLORIC_ACID, Act.CHLORIDE_NEAR_BLEACH),
    r"Dissolve (?:(?!\. ).)*\bcrystals|\bg of crystals until|g of (?:copper sulfate crystals|anhydrous)": (
        Act.COPPER_SULFATE,
        Act.HOT_CRYSTALS,
        Act.WEIGHING_POWDERS,
    ),
    r"(?<!meet )[Aa]mmonia\b": (Act.AMMONIA,),
    r"\biodide|(?<!without )\biodine|\bstarch": (Act.IODINE,),
    r"[Tt]hiosulfate": (Act.THIOSULFATE,),
    r"silver nitrate": (Act.SILVER_NITRATE, Act.SILVER_AND_AMMONIA),
    r"\blye\b": (Act.LYE,),
    r"[Ii]nert anode|titanium|graphite": (Act.INERT_ANODE, Act.GAS_AT_THE_ELECTRODES, Act.CHLORINE_AT_THE_ANODE),
    r"[Ss]witch (on|off)|current on|A·h": (Act.PLATING_CURRENT, Act.REACHING_IN),
    r"basic copper carbonate": (Act.BASIC_COPPER_CARBONATE, Act.FIZZING),
    r"sludge dry": (Act.SLUDGE,),
    r"in spoonfuls.*[Ff]oam|foam has gone": (Act.FIZZING,),
    r"copper waste": (Act.COPPER_WASTE,),
    r"\bhydrometer\b.*glass|float it": (Act.GLASS,),
}


def missing(texts, cautions_there) -> list[tuple[str, str]]:
    """Acts that a text names and no caution speaks of."""
    text = "\n".join(texts)
    return [
        (pattern, act)
        for pattern, acts in NAMED.items()
        if re.search(pattern, text)
        for act in acts
        if caution(act) not in cautions_there
    ]


def test_the_table_and_the_names_are_the_same() -> None:
    assert [row["act"] for row in tables.rows("acts")] == [act.value for act in Act]


@pytest.mark.parametrize("row", tables.rows("acts"), ids=lambda row: row["act"])
def test_every_act_has_a_hazard_and_a_caution(row) -> None:
    assert row["hazard"]
    assert row["caution"].endswith(".")


def test_the_pattern_finds_what_is_left_out() -> None:
    assert missing(["Add 12 mL of acid."], ()) == [
        (next(iter(NAMED)), Act.SULFURIC_ACID),
        (next(iter(NAMED)), Act.POURING_ACID),
    ]


@pytest.mark.parametrize("what", [*STEP_ACTS, "copper sulfate crystals"])
def test_every_kind_of_step_has_its_cautions(what: str) -> None:
    step = Step("add", what, {"purity_mass_fraction": 1.0}, "", After(1.0, 1.0, 1.0, None, 1.0))
    there = cautions(acts_of([step], ()))
    assert not missing(
        [
            f"Add 12 {'g' if 'crystals' in what else 'mL'} of {what}",
            "Dissolve the crystals" if "crystals" in what else "",
        ],
        there,
    )
    if what != "water":
        assert set(step.acts) <= set(acts_of([step], ()))


CARD_GEAR = (
    [],
    ["baking soda", "methyl orange", "10 mL syringe"],
    ["lye", "pH meter", "50 mL burette"],
    ["EDTA", "murexide", "10 mL syringe"],
    ["thiosulfate", "potassium iodide", "10 mL syringe"],
    ["silver nitrate", "10 mL syringe"],
)


def bath_text(gear: list[str]) -> bytes:
    return f'[bath]\nvolume = "5 L"\nadditives = true\n[gear]\nhave = {gear!r}\n'.encode()


@pytest.mark.parametrize("gear", CARD_GEAR, ids=" ".join)
@pytest.mark.parametrize("kind", CARDS)
def test_no_card_names_an_act_without_its_caution(kind: str, gear: list[str]) -> None:
    card = bench_card(kind, parse_sheet(bath_text(gear)))
    did = (*card.need, *card.steps, *card.waste)
    assert not missing(did, card.cautions), card.cautions
    aid = [section for section in card.sections() if section.key is Block.FIRST_AID]
    assert bool(aid) == bool(first_aid(card.acts))


def questions():
    """Yield what each answer is called, what gives it, and the text of the sheet."""
    for name in EXAMPLES:
        yield f"check {name}", advise, example_text(name)
    plain = '[bath]\nvolume = "6 L"\nage = "60 months"\nanodes = "{anodes}"\n'
    for kind in ("copper", "inert"):
        text = plain.format(anodes=kind)
        yield f"mix {kind}", mix, f'{text}[mix]\nvolume = "4 L"\n'
        yield f"plate {kind}", plate, f'{text}[plate]\narea = "85 cm^2"\nthickness = "150 um"\n'
        yield (
            f"keep {kind}",
            keep,
            f'{text}[keep]\nmixed_jar = "good"\n[deposit]\nlooks = ["dull"]\n',
        )
        plated = f'{text}[plate]\narea = "85 cm^2"\nthickness = "150 um"\nanode_area = "60 cm^2"\n'
        yield f"anodes {kind}", anodes, plated
        for coat in COATS:
            part = f'[part]\nmade_of = {list(MATERIALS)}\ncoat = "{coat}"\n'
            yield f"prepare {kind} {coat}", prepare, f"{plated}{part}"
        yield f"shop {kind}", shop, f'{text}[buy]\nbath = "1 L"\ncarbon = 1\n'
        yield f"dispose {kind}", dispose, f'{text}[dispose]\nvolume = "4 L"\n'
    high = '[[reading]]\nkind = "previous check"\ncopper_sulfate = "200 ± 6 g/L"\nsulfuric_acid = "60 ± 2 g/L"\n'
    high += 'chloride = "170 ± 8 mg/L"\nsince = "evaporation only"\n'
    for what in TREATMENTS:
        yield (
            f"treat {what}",
            treat,
            f'{plain.format(anodes="copper")}[treat]\nwhat = "{what}"\n{high}',
        )
    for look in sorted({row["look"] for row in tables.rows("faults")}):
        yield (
            f"diagnose {look}",
            diagnose,
            f'{plain.format(anodes="copper")}[deposit]\nlooks = ["{look}"]\n',
        )
    for copper, acid in ((275, 22), (165, 90), (220, 5), (150, 20)):
        for kind in ("sodium chloride", "hydrochloric acid"):
            text = f"""[bath]
volume = "6 L"
additives = true
soda_added = "0 g"
touched = ["nothing"]
[stock.chloride]
kind = "{kind}"
[[reading]]
kind = "previous check"
copper_sulfate = "{copper} ± 6 g/L"
sulfuric_acid = "{acid} ± 2 g/L"
chloride = "20 ± 4 mg/L"
since = "evaporation only"
"""
            yield f"check {copper} {acid} {kind}", advise, text


ASKED = {name: (question, text) for name, question, text in questions()}


@cache
def answered(name: str):
    question, text = ASKED[name]
    return question(parse_sheet(text.encode()))


@pytest.mark.parametrize("name", ASKED)
def test_no_answer_names_an_act_without_its_caution(name: str) -> None:
    answer = answered(name)
    sections = answer.sections()
    did = [
        line
        for section in sections
        if not section.caution and section.title.startswith(("What to do", "How to", "Ways", "First"))
        for line in section.lines
    ]
    there = answer.to_dict()["cautions"]
    assert isinstance(there, list)
    assert all(isinstance(text, str) for text in there)
    assert not missing(did, there)


@pytest.mark.parametrize("name", ASKED)
def test_first_aid_ends_every_answer_that_may_burn(name: str) -> None:
    answer = answered(name)
    text = " ".join(line for section in answer.sections() for line in section.lines)
    aid = [section for section in answer.sections() if section.key is Block.FIRST_AID]
    if re.search("burns|harms eyes|Ammonia stings", text):
        assert aid == [answer.sections()[-1]]
    if aid:
        assert aid[0].lines == FIRST_AID_LINES


def test_first_aid_says_what_it_must() -> None:
    said = " ".join(FIRST_AID_LINES)
    for words in (
        "at least 15 minutes",
        "running water",
        "medical help",
        "never on a person",
        "Swallowed",
        "Breathed in",
    ):
        assert words in said
    assert "emergency number" in FIRST_AID_LINES[0]
    assert "safety data sheet" in FIRST_AID_LINES[0]
    assert not first_aid([Act.EVAPORATION])


def test_a_caution_says_what_to_do_if_it_happens_but_for_first_aid() -> None:
    rows = {row["act"]: (row["caution"], row["if_it_happens"]) for row in tables.rows("acts")}
    then = {"": "", "first aid": ""}
    for act in Act:
        said, happens = rows[act]
        assert caution(act) == line(" ".join(filter(None, (said, then.get(happens, happens)))))


def test_steps_in_order_are_the_steps_of_an_answer_with_their_cautions_beside() -> None:
    section = in_order("Do", [("Stir", ()), ("Pour", (Act.POURING_ACID, Act.LYE))])
    assert (section.lines, section.numbered, section.key) == (("Stir", "Pour"), True, Block.STEPS)
    assert section.beside == ((), (caution(Act.POURING_ACID), caution(Act.LYE)))


def test_what_stands_beside_a_step_is_not_said_again_beside_the_next() -> None:
    steps = [
        ("Lift it", (Act.REACHING_IN,)),
        ("Turn it", (Act.REACHING_IN, Act.SLUDGE)),
        ("Rest", ()),
        ("Lift it", (Act.REACHING_IN,)),
    ]
    lift = cautions((Act.REACHING_IN,))
    assert in_order("Steps", steps).beside == (lift, cautions((Act.SLUDGE,)), (), lift)


@pytest.mark.parametrize("titrant", _SPECIAL)
def test_a_titrant_brings_its_cautions(titrant: str) -> None:
    there = cautions(_acts(titrant))
    text = {"sodium hydroxide": "lye", "disodium EDTA": "ammonia"}.get(titrant, titrant.removeprefix("sodium "))
    assert not missing([text], there)


def test_causes_that_declare_acts_are_in_the_table() -> None:
    assert set(CAUSE_ACTS) <= {row["cause"] for row in tables.rows("fault_causes")}


@pytest.mark.parametrize("row", tables.rows("fault_causes"), ids=lambda row: row["cause"])
def test_no_remedy_names_an_act_without_its_caution(row) -> None:
    from advisor.questions.faults import ACTS

    assert not missing([row["test"], row["tells"], row["remedy"]], cautions((*ACTS, *CAUSE_ACTS.get(row["cause"], ()))))


def test_reaching_in_and_lifting_out_agree() -> None:
    said = caution(Act.REACHING_IN)
    assert "dry wire" in said
    assert "Switch off before a hand" in said
    run = " ".join(line for section in answered("plate copper").sections() for line in section.lines)
    assert "by its dry wire with the current on, hands clear of the liquid" in run
