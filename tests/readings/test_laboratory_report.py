"""A laboratory's report: its units, its ±, what it leaves open, and metals that it measured."""

import numpy as np
import pytest

from advisor.basis.fields import Fault
from advisor.basis.units import COVERAGE
from advisor.check.estimate import estimate
from advisor.check.foreign import expected
from advisor.readings.laboratory_report import SPEAKS_OF
from advisor.readings.model import State
from advisor.sheet import read_sheet

KIND = "laboratory report"
HYDROMETER = {"kind": "hydrometer", "value": "1.160", "scale": "SG 20/20", "temperature": "20 degC"}


def sheet(*readings, **bath):
    return read_sheet({"bath": {"volume": "5 L", "age": "2 months", **bath}, "reading": list(readings)})


def report(**fields):
    return {"kind": KIND, **fields}


@pytest.mark.parametrize("text", ["53.0 g/L", "53000 mg/L", "53000 ppm", "7.07747 oz/gal"])  # 7.48915 g/L an oz/gal
def test_every_unit_is_the_same_copper(read, model, text):
    assert model(read(KIND, copper=text)).observed[0] == pytest.approx(53.0, rel=1e-4)


def test_metal_and_crystals_are_the_same_copper(find, read):
    metal, crystals = (
        find(read(KIND, **fields)) for fields in ({"copper": "50.902 g/L"}, {"copper_sulfate": "200 g/L"})
    )
    assert metal.value("copper_sulfate") == pytest.approx(200.0, abs=0.1)
    assert crystals.value("copper_sulfate") == pytest.approx(metal.value("copper_sulfate"), abs=0.05)


def test_each_figure_stands_for_what_the_bath_holds(read, model):
    found = model(read(KIND, copper="1 g/L", sulfuric_acid="1 g/L", chloride="1 mg/L", iron="1 g/L", sodium="1 g/L"))
    shown = found.predict(State(200.0, 60.0, 0.3, 70.0, sodium_sulfate=10.0, iron=2.0))
    # 63.546 in 249.68, and 45.98 in 142.04 g/mol.
    assert shown == pytest.approx([50.902, 60.0, 0.070, 2.0, 3.237], rel=1e-4)


@pytest.mark.parametrize("name", SPEAKS_OF)
def test_a_usual_half_width_where_none_is_given_and_the_report_s_own_where_one_is(read, model, name):
    usual = {"copper": 0.02, "copper_sulfate": 0.02, "sulfuric_acid": 0.03}.get(name, 0.10)
    assert model(read(KIND, **{name: "4 g/L"})).random[0] == pytest.approx(4 * usual / COVERAGE)
    for text, half in (("4 ± 0.5 g/L", 0.5), ("4 g/L ± 5 %", 0.2), ("4000 ± 300 ppm", 0.3)):
        assert model(read(KIND, **{name: text})).random[0] == pytest.approx(half / COVERAGE)


def test_what_the_report_lacks_is_left_open():
    found = estimate(sheet(report(copper="53 g/L")))
    assert "copper_sulfate" in found.measured
    assert not {"sulfuric_acid", "chloride"} & found.measured
    assert "chloride" not in found.names


def test_metals_count_as_measured_whatever_the_owner_remembers():
    for remembers in (
        {},
        {"touched": ["nothing"], "soda_added": "0 g"},
        {"touched": ["steel", "zinc"], "iron": "1 g/L"},
    ):
        lab = report(copper="53 g/L", sulfuric_acid="55 g/L", iron="5 g/L", zinc="2.0 g/L", sodium="3.2 g/L")
        found = estimate(sheet(lab, **remembers))
        assert found.value("iron") == pytest.approx(5.0, abs=0.05)
        assert found.value("zinc") == pytest.approx(2.0, abs=0.02)
        assert found.value("sodium_sulfate") == pytest.approx(9.886, abs=0.1)
        assert found.standard_uncertainty("iron") == pytest.approx(0.5 / COVERAGE, rel=0.02)
        assert found.agreement.p_value is None or found.agreement.p_value > 0.3


def test_what_it_finds_of_salts_is_sodium_as_its_sulfate_and_metals_as_they_are(read):
    found = read(KIND, copper="53 g/L", iron="2.0 ± 0.2 g/L", sodium="3.237 ± 0.3237 g/L").salts_found()
    assert found == {
        "iron": pytest.approx((2.0, 0.2 / COVERAGE)),
        "sodium_sulfate": pytest.approx((10.0, 1.0 / COVERAGE), rel=1e-3),  # 45.98 in 142.04 g/mol
    }


def test_iron_that_was_measured_keeps_its_two_forms():
    priors = expected(sheet(report(iron="5 g/L"), touched=["nothing"], anodes="copper"))
    assert priors["iron_three"].mean == pytest.approx(0.5)
    assert priors["iron_three"].standard_uncertainty < 0.5


def test_measured_salts_make_a_density_tell_more():
    answers_nothing = {"age": "12 months"}
    acid = report(sulfuric_acid="55 g/L")
    metals = report(sulfuric_acid="55 g/L", iron="0.2 g/L", zinc="0.05 g/L", sodium="0.1 g/L")
    before, after = (
        estimate(sheet(HYDROMETER, lab, **answers_nothing)).standard_uncertainty("copper_sulfate")
        for lab in (acid, metals)
    )
    assert after < 0.6 * before


def test_measured_metals_do_not_hide_a_contradiction():
    lab = {"copper": "45 g/L", "sulfuric_acid": "55 g/L"}
    metals = {"iron": "0.2 g/L", "zinc": "0.05 g/L", "nickel": "0.01 g/L", "sodium": "0.1 g/L"}
    answers = {"touched": ["nothing"], "soda_added": "0 g", "topped_up_with": "distilled water"}
    few, many = (estimate(sheet(HYDROMETER, report(**fields), **answers)).agreement for fields in (lab, lab | metals))
    assert few.p_value < 0.05
    assert many.p_value < 0.05
    assert many.degrees_of_freedom == few.degrees_of_freedom


@pytest.mark.slow
def test_simulated_reports_are_as_sure_as_they_say(read, find):
    rng = np.random.default_rng(3)
    inside = []
    for _ in range(400):
        copper, acid = (
            50.9 * (1 + 0.02 / COVERAGE * rng.standard_normal()),
            60 * (1 + 0.03 / COVERAGE * rng.standard_normal()),
        )
        found = find(read(KIND, copper=f"{copper:.4f} g/L", sulfuric_acid=f"{acid:.4f} g/L"))
        for name, true in (("copper_sulfate", 199.99), ("sulfuric_acid", 60.0)):
            inside.append(abs(found.value(name) - true) < COVERAGE * found.standard_uncertainty(name))
    assert 0.93 < np.mean(inside) < 0.97


def test_warnings(read, warnings_of):
    assert "taken as mg/L" in warnings_of(read(KIND, chloride="65 ppm", copper="53 g/L"))
    assert "usual one was taken" in warnings_of(read(KIND, copper="53 g/L", sulfuric_acid="55 ± 2 g/L"))
    assert warnings_of(read(KIND, copper="53 ± 1 g/L")) == ""


@pytest.mark.parametrize(
    ("fields", "names", "fault"),
    [
        ({}, "reading 1", Fault.MISSING),
        ({"copper": "53 g/L", "copper_sulfate": "200 g/L"}, "reading 1: copper_sulfate", Fault.CONFLICT),
        ({"copper": "210 g/L"}, "reading 1: copper", Fault.OUT_OF_LIMITS),
        ({"copper": "53 %"}, "reading 1: copper", Fault.NOT_READABLE),
        ({"chloride": "20 g/L"}, "reading 1: chloride", Fault.OUT_OF_LIMITS),
        ({"sodium": "-1 g/L"}, "reading 1: sodium", Fault.OUT_OF_LIMITS),
        ({"iron": 5}, "reading 1: iron", Fault.NOT_READABLE),
    ],
)
def test_refused(refusal, fields, names, fault):
    refused = refusal(KIND, **fields)
    assert refused.place == names
    assert refused.fault is fault
