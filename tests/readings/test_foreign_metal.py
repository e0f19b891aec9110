"""What readings that count foreign metal differently say together, of a bath with metal that nobody declared.

EDTA and density count zinc, nickel and iron as copper; iodide only iron(III); a weighed cathode none. So EDTA and
density agree with each other and are both wrong, and the reading that fits none of the others can be the right one.
"""

import dataclasses

import pytest

from advisor.basis.fields import fields_of

GLASS = {"sample": "1 mL", "sample_with": "1 mL class A pipette", "used_with": "25 mL class A burette"}
KINDS = {
    "EDTA": ("copper titration", GLASS | {"method": "EDTA", "strength": "0.05 ± 0.0004 mol/L", "indicator": "PAN"}),
    "iodide": (
        "copper titration",
        GLASS | {"method": "iodometric", "strength": "0.1 ± 0.0008 mol/L", "blank": "0 mL", "thiocyanate": True},
    ),
    "weighed": ("weighed density", {"empty": "85.00 g", "with_water": "184.70 g"}),
    "hydrometer": ("hydrometer", {"scale": "g/mL"}),
    "cathode": ("plated-out copper", {"sample": "50 ± 0.1 mL", "before": "20.00 g"}),
    "acid": ("previous check", {"sulfuric_acid": "60 ± 1 g/L", "since": "evaporation only"}),
}
SHOWN = {"EDTA": "used", "iodide": "used", "weighed": "with_bath", "hydrometer": "value", "cathode": "after"}
TYPED = {
    "used": "{:.4f} mL",
    "with_bath": "{:.3f} ± 0.06 g",
    "value": "{:.6f}",
    "after": "{:.4f} ± 0.04 g",
}


@pytest.fixture
def readings_of(read, shown, usual):
    """Readings by name, as a bath with these metals would give them."""

    def make(names, **metals):
        state = dataclasses.replace(usual, **metals)
        found = []
        for name in names:
            kind, fields = KINDS[name]
            if name == "acid":
                found.append(read(kind, **fields))
                continue
            key = SHOWN[name]
            first = read(
                kind, **fields, **{key: {"used": "10 mL", "with_bath": "201 g", "value": "1.16", "after": "22 g"}[key]}
            )
            value = shown(first, state) + (20.0 if name == "cathode" else 0.0)
            typed = fields_of(type(first))[key].read(TYPED[key].format(value), key)
            found.append(dataclasses.replace(first, **{key: typed}))
        return found

    return make


ZINC = 4.0  # g/L: 15.3 g/L of false copper sulfate


def test_density_points_the_same_way_as_edta(readings_of, find):
    for density in ("weighed", "hydrometer"):
        edta, floated, iodide = (
            find(*readings_of(names, zinc=ZINC)).value("copper_sulfate")
            for names in (("EDTA",), (density, "acid"), ("iodide",))
        )
        assert edta - 200 == pytest.approx(15.3, abs=0.2)
        assert floated - 200 == pytest.approx(16.2, abs=0.7)
        assert iodide == pytest.approx(200.0, abs=0.1)


@pytest.mark.parametrize(
    "names", [("EDTA", "iodide"), ("EDTA", "iodide", "weighed", "acid"), ("weighed", "acid", "iodide")]
)
def test_undeclared_zinc_is_a_contradiction_and_is_not_averaged_in_silence(readings_of, find, names):
    found = find(*readings_of(names, zinc=ZINC))
    assert found.agreement.p_value < 1e-4
    assert found.widened_by > 3
    assert find(*readings_of(names)).agreement.p_value > 0.5


def test_the_odd_one_out_can_be_the_right_one(readings_of, find):
    readings = readings_of(("EDTA", "iodide", "weighed", "acid"), zinc=ZINC)
    assert find(*readings).agreement.odd_one_out == 1
    assert find(readings[1]).value("copper_sulfate") == pytest.approx(200.0, abs=0.1)


@pytest.mark.parametrize(
    "names", [("EDTA", "iodide"), ("EDTA", "iodide", "weighed", "acid"), ("weighed", "acid", "iodide")]
)
def test_zinc_declared_as_barely_known_mends_it_and_is_found(readings_of, find, names):
    found = find(*readings_of(names, zinc=ZINC), zinc="1 ± 40 g/L")
    assert found.agreement.p_value > 0.5
    assert found.value("zinc") == pytest.approx(ZINC, abs=0.1)
    assert found.value("zinc") > 3 * found.standard_uncertainty("zinc")
    assert found.value("copper_sulfate") == pytest.approx(200.0, abs=0.3)


def test_only_the_cathode_tells_iron(readings_of, find):
    # Both titrations and the density count iron(III) as copper, so that they agree on a false 213 g/L.
    names = ("EDTA", "iodide", "weighed", "acid")
    fooled = find(*readings_of(names, iron=3.0, iron_three=3.0))
    assert fooled.agreement.p_value > 0.05
    assert fooled.value("copper_sulfate") == pytest.approx(213.0, abs=1.0)
    told = find(*readings_of((*names, "cathode"), iron=3.0, iron_three=3.0), iron="1 ± 40 g/L", iron_form="iron(III)")
    assert told.value("iron_three") == pytest.approx(3.0, abs=0.2)
    assert told.value("copper_sulfate") == pytest.approx(200.0, abs=0.5)
