"""Deposit faults: the tables behind them, how evidence moves the odds, the test that decides, command and page."""

import json
import math

import pytest

from advisor.__main__ import main
from advisor.basis import tables
from advisor.basis.fields import InputError
from advisor.check.advise import advise
from advisor.check.assessment import assess
from advisor.questions.faults import ELSEWHERE, MEND_FIRST, UNLISTED, diagnose, evidence, facts, odds_of
from advisor.questions.limit import limit_of
from advisor.sheet import CONDITIONS, LOOKS, parse_sheet, read_sheet
from advisor.words import phrases

CAUSES = {row["cause"]: row for row in tables.rows("fault_causes")}
LINKS = tables.rows("faults")
# Everything that a sheet can say, so that every fact that the tables may name is known.
FULL = """
[bath]
volume = "5 L"
usual_volume = "5.5 L"
additives = true
temperature = "19 degC"
age = "3 years"
throughput = "300 A*h"
iron = "2 g/L"
condition = []
[stock.water]
alkalinity = "200 mg/L"
[plate]
area = "1 dm^2"
current = "1 A"
anode_area = "1 dm^2"
thickness = "100 um"
[hull_cell]
current = "1 A"
burnt_to = "1 cm"
bright_to = "6 cm"
[keep]
mixed_jar = "good"
carbon_treated = 1
[deposit]
looks = ["dull"]
where = "edges"
since = "gradual"
[[reading]]
kind = "previous check"
copper_sulfate = "215 ± 8 g/L"
sulfuric_acid = "55 ± 4 g/L"
chloride = "80 ± 10 mg/L"
since = "evaporation only"
"""


def sheet(looks, bath="", deposit="", copper="215 ± 8", acid="55 ± 4", tables=""):
    text = f"""
[bath]
volume = "5 L"
temperature = "24 degC"
{bath}
{tables}
[deposit]
looks = {json.dumps(looks)}
{deposit}
[[reading]]
kind = "previous check"
copper_sulfate = "{copper} g/L"
sulfuric_acid = "{acid} g/L"
since = "evaporation only"
"""
    return parse_sheet(text.encode())


def chance(cause, *arguments, **words):
    return next((c.probability for c in diagnose(sheet(*arguments, **words)).causes if c.name == cause), 0.0)


# --- The tables -----------------------------------------------------------------------------------


def test_every_look_of_the_sheet_has_causes():
    assert {row["look"] for row in LINKS} == set(LOOKS)
    for look in LOOKS:
        assert sum(row["look"] == look for row in LINKS) >= 2


def test_links_name_causes_that_are_explained_and_none_is_idle():
    assert {row["cause"] for row in LINKS} == set(CAUSES)
    assert len({(row["look"], row["cause"]) for row in LINKS}) == len(LINKS)


@pytest.mark.parametrize("name", ["faults", "fault_causes"])
def test_every_row_carries_its_source_or_the_word_judgement(name):
    for row in tables.rows(name):
        assert row["status"] in ("published", "common practice", "judgement")
        expected = {"judgement": "judgement", "common practice": "practice"}.get(row["status"])
        assert row["source"] == expected if expected else row["source"] not in ("judgement", "practice")


def test_weights_of_a_look_leave_room_for_what_is_not_listed():
    for look in LOOKS:
        weights = [float(row["weight"]) for row in LINKS if row["look"] == look]
        assert all(ELSEWHERE <= weight < 1 for weight in weights)
        assert sum(weights) <= 1 - UNLISTED + 1e-9


def test_evidence_names_only_facts_that_can_be_known():
    full = parse_sheet(FULL.encode())
    known = set(facts(full, advise(full))) | set(CONDITIONS)
    named = {name for row in CAUSES.values() for name in evidence(row["evidence"])}
    named |= {row["settled_by"] for row in CAUSES.values() if row["settled_by"]}
    assert named <= known
    assert known - named <= {"layers", "crystals"}  # nothing that is asked for is without use


def test_factors_are_above_zero_and_each_cause_can_be_found_out():
    for row in CAUSES.values():
        assert all(0 < factor < 10 for pair in evidence(row["evidence"]).values() for factor in pair)
        assert float(row["minutes"]) > 0
        assert all(len(row[key]) > 10 for key in ("says", "test", "remedy"))
    assert len({row["test"] for row in CAUSES.values()}) == len(CAUSES)


# --- The model ------------------------------------------------------------------------------------


@pytest.mark.parametrize("look", LOOKS)
def test_every_look_gives_causes_in_order_with_sound_probabilities(look):
    found = diagnose(sheet([look]))
    probabilities = [cause.probability for cause in found.causes]
    assert len(probabilities) >= 1
    assert probabilities == sorted(probabilities, reverse=True)
    assert all(0 < probability < 1 for probability in probabilities)
    assert sum(cause.probability for cause in found.open_causes) + found.unlisted == pytest.approx(1)
    assert all(cause.basis and cause.remedy for cause in found.causes)
    json.dumps(found.to_dict(), allow_nan=False)


def test_odds_by_hand():
    # Without any fact the share of a cause is its weight over the sum of the weights and of the one not listed.
    odds, _ = odds_of(("one side thick",), {})
    weights = {row["cause"]: float(row["weight"]) for row in LINKS if row["look"] == "one side thick"}
    assert odds == pytest.approx(weights)
    both, _ = odds_of(("one side thick", "streaks"), {})
    assert both["one-way stirring"] == pytest.approx(0.08 * 0.23)
    assert both["anodes on one side"] == pytest.approx(0.72 * ELSEWHERE)


def test_all_looks_at_once_still_give_an_order():
    found = diagnose(sheet(list(LOOKS)))
    assert len(found.causes) >= 2
    assert found.unlisted < 0.5


def test_fact_as_probable_as_the_estimate_makes_it():
    bath = parse_sheet(FULL.replace("55 ± 4", "30 ± 6").encode())
    known = facts(bath, advise(bath))
    low = known["acid low"].probability
    assert 0.3 < low < 0.6
    _, said = odds_of(("thin recesses",), {"acid low": known["acid low"]})
    assert said["acid low"][0][0] == pytest.approx(6 * low + 0.12 * (1 - low))


ONE_OVER = 0.8413  # what lies below one standard deviation beyond the middle of a normal distribution
PART = {"area": "1 dm^2"}


@pytest.mark.parametrize(
    ("told", "fact", "probability", "text"),
    [
        ({"bath": {"temperature": "17 degC"}}, "cold", 0.5, "The bath is at 17 °C"),
        ({"bath": {"temperature": "15 degC"}}, "cold", ONE_OVER, "The bath is at 15 °C"),
        ({"bath": {"temperature": "31 degC"}}, "warm", 0.5, "The bath is at 31 °C"),
        ({"bath": {"temperature": "33 degC"}}, "warm", ONE_OVER, "The bath is at 33 °C"),
        ({"bath": {"age": "24 months"}}, "old bath", 0.5, "The bath is 24 months old"),
        ({"bath": {"age": "39.57 months"}}, "old bath", ONE_OVER, "The bath is 40 months old"),  # 24 · e^0.5
        ({"bath": {"throughput": "100 A*h"}}, "much plated", 0.5, "20 A·h was plated from each litre"),
        ({"bath": {"usual_volume": "5.263 L"}}, "level fallen", 0.5, "The level stands 5 % below the usual one"),
        ({"bath": {"usual_volume": "5.376 L"}}, "level fallen", ONE_OVER, "The level stands 7 % below the usual one"),
        ({"bath": {"usual_volume": "4.5455 L"}}, "level fallen", 0.0, "The level stands 10 % above the usual one"),
        (
            {"bath": {"iron": "0.6 g/L", "zinc": "0.4 g/L"}},
            "foreign metal",
            0.5,
            "Foreign metal: iron 0.6 g/L, zinc 0.4 g/L",
        ),
        ({"bath": {"nickel": "1.649 g/L"}}, "foreign metal", ONE_OVER, "Foreign metal: nickel 1.649 g/L"),
        ({"bath": {"additives": True}}, "additives", 1.0, "The bath has additives"),
        ({"bath": {"additives": False}}, "additives", 0.0, "The bath has no additives"),
        ({"bath": {"condition": ["sludge"]}}, "sludge", 1.0, "You see in the tank: sludge"),
        ({"stock": {"water": {"chloride": "30 mg/L"}}}, "tap water", 1.0, "Your water is not distilled"),
        ({"stock": {"water": {"alkalinity": "90 mg/L"}}}, "tap water", 1.0, "Your water is not distilled"),
        ({"stock": {"water": {"alkalinity": "0 mg/L"}}}, "tap water", 0.0, "Your water is distilled"),
        ({"keep": {"carbon_treated": 2}}, "carbon treated", 1.0, "Carbon treatments so far: 2"),
        (
            {"keep": {"mixed_jar": "dull"}},
            "half-and-half jar good",
            0.0,
            "A jar of half old, half fresh bath plates dull",
        ),
        ({"plate": {**PART, "stirring": "still"}}, "still bath", 1.0, "Stirring: still"),
        ({"plate": {**PART, "stirring": "air"}}, "still bath", 0.0, "Stirring: air"),
        (
            {"plate": {**PART, "anode_area": "100 cm^2"}},
            "anodes small",
            0.5,
            "The anodes are 1 times as large as the part",
        ),
        (
            {"plate": {**PART, "anode_area": "74.08 cm^2"}},
            "anodes small",
            ONE_OVER,
            "The anodes are 0.74 times as large as the part",
        ),
        (
            {"plate": {**PART, "anode_area": "20 cm^2", "current": "1 A"}},
            "anode current high",
            0.5,
            "The anodes carry 5 A/dm²",
        ),
        ({"plate": {**PART, "thickness": "0.3 mm"}}, "thick build", 0.5, "The copper is 300 µm thick"),
        ({"plate": {**PART, "thickness": "0.4946 mm"}}, "thick build", ONE_OVER, "The copper is 495 µm thick"),
        ({"deposit": {"looks": ["dull"], "since": "sudden"}}, "sudden", 1.0, "It came suddenly"),
        ({"deposit": {"looks": ["dull"], "since": "sudden"}}, "gradual", 0.0, "It came suddenly"),
        ({"deposit": {"looks": ["dull"], "where": "edges"}}, "edges", 1.0, "You see it: edges"),
    ],
)
def test_a_fact_is_as_probable_as_it_lies_beyond_where_it_begins(told, fact, probability, text):
    """A half where a fact begins to be so; 2 °C, 2 % of the level, a factor of e^0.5 or e^0.3 beyond that 84 %."""
    asked = read_sheet({**told, "bath": {"volume": "5 L", **told.get("bath", {})}})
    found = facts(asked, assess(asked))[fact]
    assert found.probability == pytest.approx(probability, abs=0.002)
    assert found.text == text


def test_what_nobody_told_is_no_fact():
    asked = read_sheet({"bath": {"volume": "5 L"}, "plate": PART})
    assert set(facts(asked, assess(asked))) == {"old bath", "still bath"}


@pytest.mark.parametrize(("share", "high", "low"), [(0.1, 0.0, 0.5), (0.22, 0.0, 0.0), (0.5, 0.5, 0.0)])
def test_a_current_is_high_from_a_half_and_low_below_a_tenth_of_the_limiting_one(share, high, low):
    report = {"kind": "laboratory report", "copper_sulfate": "215 ± 8 g/L", "sulfuric_acid": "55 ± 4 g/L"}
    raw = {"bath": {"volume": "5 L"}, "reading": [report], "plate": {**PART, "current": "1 A"}}
    known = assess(read_sheet(raw))
    limit = limit_of(read_sheet(raw), known, read_sheet(raw).plate).value
    found = facts(read_sheet({**raw, "plate": {**PART, "current": f"{share * limit:.6f} A"}}), known)
    chances = [found[name].probability for name in ("current high", "current low")]
    assert chances == pytest.approx([high, low], abs=0.03)
    assert "of the limiting one" in found["current high"].text


def panel_facts(additives=None, **seen):
    """Return the facts of a panel of 1 A in a usual bath, what it plates well between, and the limiting one [A/dm2]."""
    bath = {"volume": "5 L", **({} if additives is None else {"additives": additives})}
    asked = read_sheet({"bath": bath, "hull_cell": {"current": "1 A", **seen}})
    known = assess(asked)
    found = {name: fact.probability for name, fact in facts(asked, known).items() if name.startswith("panel")}
    return found, asked.hull_cell.panel().plates_well, limit_of(asked, known, asked.hull_cell).value


def test_a_panel_burns_early_below_seven_tenths_of_the_limiting_one_and_is_dull_from_a_half_ampere_on():
    found, (low, high), limit = panel_facts(burnt_to="3 cm", bright_to="6 cm", bare_from="8 cm")
    burns = 0.5 * math.erfc(math.log(high / (0.7 * limit)) / 0.4 / math.sqrt(2))
    dull = 0.5 * math.erfc(math.log(0.5 / low) / 0.5 / math.sqrt(2))
    assert 0.02 < burns < 0.999
    assert 0.02 < dull < 0.999
    assert found == pytest.approx({"panel burns early": burns, "panel dull": dull, "panel bare": 1.0})
    nothing = {"panel burns early": 0.0, "panel bare": 0.0}
    assert panel_facts()[0] == nothing  # a bath without additives never shines
    assert panel_facts(additives=True)[0] == nothing | {"panel dull": 0.0}
    assert panel_facts(additives=False, bright_to="6 cm")[0].keys() == found.keys()


def test_cause_of_all_looks_beats_causes_of_one():
    assert diagnose(sheet(["burnt edges", "nodules"])).causes[0].name == "current too high"


@pytest.mark.parametrize(
    ("cause", "look", "raises", "lowers"),
    [
        ("acid low", "thin recesses", {"acid": "20 ± 4"}, {"acid": "55 ± 4"}),
        ("copper high", "thin recesses", {"copper": "270 ± 10"}, {"copper": "215 ± 8"}),
        ("copper low", "burnt edges", {"copper": "150 ± 10"}, {"copper": "215 ± 8"}),
        ("acid high", "burnt edges", {"acid": "100 ± 6"}, {"acid": "55 ± 4"}),
        ("cold bath", "burnt edges", {"bath": 'age = "1 year"\n'}, {"bath": 'age = "1 month"\n'}),
        ("additive used up", "dull", {"bath": "additives = true"}, {"bath": "additives = false"}),
        ("normal without additives", "dull", {"bath": "additives = false"}, {"bath": "additives = true"}),
        ("additive used up", "dull", {"bath": 'throughput = "600 A*h"'}, {"bath": 'throughput = "2 A*h"'}),
        ("additive used up", "dull", {"deposit": 'since = "gradual"'}, {"deposit": 'since = "sudden"'}),
        ("poor contact", "dull", {"deposit": 'since = "sudden"'}, {"deposit": 'since = "gradual"'}),
        ("particles", "rough", {"deposit": 'where = "upward faces"'}, {"deposit": 'where = "edges"'}),
        ("never filtered", "rough", {"bath": 'condition = ["sludge"]'}, {"bath": ""}),
        ("never filtered", "rough", {"bath": 'age = "6 years"'}, {"bath": 'age = "2 months"'}),
        ("dissolved metal", "green tint", {"bath": 'iron = "3 g/L"'}, {"bath": 'iron = "0.05 g/L"'}),
        ("evaporation", "blue crystals", {"bath": 'usual_volume = "6 L"'}, {"bath": 'usual_volume = "5 L"'}),
        ("organic dirt", "streaks", {"bath": ""}, {"tables": "[keep]\ncarbon_treated = 1"}),
        (
            "tap water",
            "cloudy bath",
            {"tables": '[stock.water]\nalkalinity = "200 mg/L"'},
            {"tables": '[stock.water]\nalkalinity = "0 mg/L"'},
        ),
        (
            "current too high",
            "burnt edges",
            {"tables": '[plate]\narea = "1 dm^2"\ncurrent = "5 A"'},
            {"tables": '[plate]\narea = "1 dm^2"\ncurrent = "0.3 A"'},
        ),
        (
            "current too low",
            "slow build",
            {"tables": '[plate]\narea = "1 dm^2"\ncurrent = "50 mA"'},
            {"tables": '[plate]\narea = "1 dm^2"\ncurrent = "1 A"'},
        ),
        (
            "anodes too small",
            "black anode sludge",
            {"tables": '[plate]\narea = "1 dm^2"\nanode_area = "30 cm^2"'},
            {"tables": '[plate]\narea = "1 dm^2"\nanode_area = "200 cm^2"'},
        ),
        (
            "thick build",
            "nodules",
            {"tables": '[plate]\narea = "1 dm^2"\nthickness = "1 mm"'},
            {"tables": '[plate]\narea = "1 dm^2"\nthickness = "50 um"'},
        ),
        (
            "clinging gas",
            "pits",
            {"tables": '[plate]\narea = "1 dm^2"\nstirring = "still"'},
            {"tables": '[plate]\narea = "1 dm^2"\nstirring = "air"'},
        ),
        ("organic dirt", "dull", {"tables": '[keep]\nmixed_jar = "good"'}, {"tables": '[keep]\nmixed_jar = "dull"'}),
    ],
)
def test_evidence_moves_the_right_way(cause, look, raises, lowers):
    if cause == "cold bath":  # the temperature stands in the sheet once
        warm = sheet([look])
        cold = parse_sheet(f'[bath]\nvolume = "5 L"\ntemperature = "9 degC"\n[deposit]\nlooks = ["{look}"]\n'.encode())
        raised, lowered = (
            next((c.probability for c in diagnose(case).causes if c.name == cause), 0.0) for case in (cold, warm)
        )
    else:
        raised, lowered = chance(cause, [look], **raises), chance(cause, [look], **lowers)
    assert raised > 1.05 * lowered


def test_evidence_is_said_on_the_side_where_it_counts():
    found = {cause.name: cause for cause in diagnose(sheet(["thin recesses"], acid="20 ± 4")).causes}
    assert any("Sulfuric acid (20 g/L): below" in text for text in found["acid low"].evidence_for)
    sound = {cause.name: cause for cause in diagnose(sheet(["thin recesses"])).causes}
    assert any("Sulfuric acid (55 g/L): below" in text for text in sound["acid low"].evidence_against)


def test_unmeasured_bath_says_nothing_for_or_against_its_make_up():
    nothing = parse_sheet(b'[bath]\nvolume = "5 L"\ntemperature = "24 degC"\n[deposit]\nlooks = ["thin recesses"]\n')
    known = facts(nothing, advise(nothing))
    assert not any(name.endswith((" low", " high")) for name in known)
    found = next(cause for cause in diagnose(nothing).causes if cause.name == "acid low")
    assert (found.evidence_for, found.evidence_against) == ((), ())


def test_matte_salmon_without_additives_is_normal():
    found = diagnose(sheet(["matte salmon"], bath="additives = false"))
    assert found.normal
    assert found.causes[0].probability > 0.9
    assert "Normal for a bath without additives" in found.sections()[0].lines[0]
    assert not diagnose(sheet(["matte salmon"], bath="additives = true")).normal


@pytest.mark.parametrize(
    ("cause", "look"),
    [
        ("left without current", "peeling"),
        ("unsealed object", "pits"),
        ("never filtered", "rough"),
        ("tap water", "cloudy bath"),
        ("cold bath", "blue crystals"),
    ],
)
def test_causes_of_the_craft_have_their_place(cause, look):
    assert chance(cause, [look]) > 0.02


# --- The test that decides ------------------------------------------------------------------------


def test_dull_is_decided_by_the_jar_test_until_it_is_done():
    assert diagnose(sheet(["dull"])).next_test == phrases.JAR_TEST
    for said in ("250 mL", "fresh bath", "old bath", "half and half"):
        assert said in phrases.JAR_TEST
    done = diagnose(sheet(["dull"], tables='[keep]\nmixed_jar = "good"'))
    assert done.next_test != phrases.JAR_TEST


def test_next_test_is_the_quicker_of_the_first_two():
    found = diagnose(
        parse_sheet(b'[bath]\nvolume = "5 L"\ntemperature = "24 degC"\n[deposit]\nlooks = ["burnt edges"]\n')
    )
    first, second = found.causes[:2]
    assert first.minutes != second.minutes
    quicker = min((first, second), key=lambda cause: cause.minutes)
    assert found.next_test.startswith(quicker.test.says)


def test_what_the_readings_settled_is_not_tested_again():
    found = diagnose(sheet(["thin recesses"], acid="20 ± 2"))
    assert found.causes[0].name == "acid low"
    assert "Titrate" not in found.next_test


def test_what_the_readings_show_is_mended_first():
    assert any("too little acid" in text for text in diagnose(sheet(["dull"], acid="15 ± 2")).warnings)
    assert diagnose(sheet(["dull"])).warnings == ()


def test_what_is_known_stands_by_itself_and_the_rest_shares_what_is_left():
    """15 ± 2 and 100 ± 6 g/L are below 30 and 195 by fifteen and thirty standard uncertainties: both are so, surely.

    Each stands with that probability; the shares of the others are what they would be without these two.
    """
    found = diagnose(sheet(["dull"], acid="15 ± 2", copper="100 ± 6"))
    known = {cause.name: cause for cause in found.causes if cause.known}
    assert set(known) == {"acid low", "copper low"}
    assert all(cause.probability > 0.95 for cause in known.values())
    assert known["copper low"].probability == 0.995  # never a certainty
    assert [cause.name for cause in found.causes[:2]] == [cause.name for cause in known.values()]
    assert sum(cause.probability for cause in found.open_causes) + found.unlisted == pytest.approx(1)
    odds, _ = odds_of(("dull",), facts(sheet(["dull"], acid="15 ± 2", copper="100 ± 6"), advise(sheet(["dull"]))))
    dirt, contact = (next(c for c in found.causes if c.name == name) for name in ("organic dirt", "poor contact"))
    assert dirt.probability / contact.probability == pytest.approx(odds["organic dirt"] / odds["poor contact"])
    assert found.next_test == MEND_FIRST  # and no jar test of two hours before that
    first, second = found.sections()[:2]
    assert first.title.startswith("Known already")
    assert "so with over 99 % probability" in first.lines[0]
    assert second.title.startswith("What else")
    assert [each["known"] for each in found.to_dict()["causes"]][:3] == [True, True, False]


def test_no_test_of_two_hours_where_the_bath_is_normal():
    """Dull and always so, all over, without additives: 0.13 · 5 · 2.5 · 1.4 against hardly anything else."""
    found = diagnose(sheet(["matte salmon", "dull"], bath="additives = false", deposit='since = "always"'))
    assert found.normal
    assert found.causes[0].probability > 0.98
    assert found.next_test is None
    assert all(block.title != "The test that decides" for block in found.sections())


def test_what_the_check_finds_is_named_even_where_it_does_not_give_these_looks():
    found = diagnose(sheet(["pits"], acid="15 ± 2"))
    assert not any(cause.name == "acid low" for cause in found.causes)
    assert any("The sulfuric acid is below the window: put that right first" in text for text in found.warnings)


def test_anodes_of_twenty_amperes_a_square_decimetre_are_named():
    """1 A on 5 cm² of anode is 20 A/dm²; it says so whatever the deposit looks like, and speaks for passive anodes."""
    run = '[plate]\narea = "1 dm2"\ncurrent = "1 A"\nanode_area = "{} cm2"\nstirring = "moved"'
    for look in ("dull", "current falls"):
        warned = " ".join(diagnose(sheet([look], tables=run.format(5))).warnings)
        assert "Your anodes carry 20 A/dm²" in warned
        assert "Your anodes carry" not in " ".join(diagnose(sheet([look], tables=run.format(100))).warnings)
    small, large = (chance("passive anode", ["current falls"], tables=run.format(area)) for area in (5, 100))
    found = diagnose(sheet(["current falls"], tables=run.format(5)))
    (passive,) = [cause for cause in found.causes if cause.name == "passive anode"]
    assert any("The anodes carry 20 A/dm²" in text for text in passive.evidence_for)
    assert small > large


def test_what_costs_nothing_comes_first():
    checks = diagnose(sheet(["rough"])).first_checks
    assert [text.split(":")[0] for text in checks] == ["Contacts", "Current", "Temperature", "Stirring", "Filter"]
    assert "24 °C" in checks[2]
    driven = diagnose(sheet(["rough"], tables='[plate]\narea = "1 dm^2"\ncurrent = "1 A"')).first_checks
    assert "1 A/dm²" in driven[1]


# --- Command and page -----------------------------------------------------------------------------


def test_command_prints_the_promised_names(tmp_path, capsys):
    file = tmp_path / "dull.toml"
    file.write_text(FULL, encoding="utf-8")
    assert main(["diagnose", str(file), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert {"causes", "next_test"} <= set(result)
    for cause in result["causes"]:
        assert {"cause", "probability", "for", "against", "remedy"} <= set(cause)
    assert main(["diagnose", str(file)]) == 0
    assert "First, what costs nothing" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("deposit", "place"),
    [
        ("", "deposit: looks"),
        ("[deposit]\nlooks = []", "deposit: looks"),
        ('[deposit]\nlooks = ["dul"]', "deposit: looks"),
    ],
)
def test_command_refuses_a_sheet_that_shows_nothing(tmp_path, capsys, deposit, place):
    file = tmp_path / "bath.toml"
    file.write_text(f'[bath]\nvolume = "5 L"\n{deposit}\n', encoding="utf-8")
    assert main(["diagnose", str(file), "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert place in told.err


def test_no_table_is_an_input_error():
    with pytest.raises(InputError, match="deposit: looks"):
        diagnose(parse_sheet(b'[bath]\nvolume = "5 L"\n'))


def test_page_shows_causes_and_the_test(app_test):
    app = app_test("deposit_faults.py")
    app.session_state["sheet"] = {"bath": {"volume": "5 L"}, "deposit": {"looks": ["dull"]}}
    app.run()
    assert not app.exception
    titles = [block.value for block in app.subheader]
    assert "Most likely causes (dull)" in titles
    assert "The test that decides" in titles


def test_near_saturation_is_the_likelier_the_colder_it_gets():
    """Where the bath gets 7 °C colder than crystals form below, it is near saturation with Φ(7/5) = 0.919; 7 °C
    warmer, with 0.081. The table's factors are 4 and 0.3, and the odds of all other causes stay: those of this one are
    (4 · 0.919 + 0.3 · 0.081)/(4 · 0.081 + 0.3 · 0.919) = 3.700/0.600 = 6.17 times as high.
    """
    known = {"copper": "240 ± 6", "acid": "60 ± 4"}
    forms_below = advise(sheet(["blue crystals"], **known)).to_dict()["verdict"]["crystallises_below_degC"]
    cold, warm = (
        chance("near saturation", ["blue crystals"], bath=f'coldest = "{forms_below + above:.3f} degC"', **known)
        for above in (-7, 7)
    )
    assert cold / (1 - cold) == pytest.approx(6.17 * warm / (1 - warm), rel=0.01)


@pytest.mark.parametrize(
    ("current", "said"),
    [("20 A", " times the limiting one; 0.3 to 0.5 of it plates"), ("1 A", " of the limiting one; 0.3")],
)
def test_a_share_of_the_limiting_current_is_a_whole_sentence(current, said):
    run = f'[plate]\narea = "1 dm2"\ncurrent = "{current}"\nstirring = "still"'
    (told,) = [text for text in diagnose(sheet(["dull"], tables=run)).first_checks if text.startswith("Current")]
    assert said in told
