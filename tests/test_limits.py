"""What every declared field takes: limits that hold on both sides and are told by name, and slips that they catch."""

from itertools import product

import pytest

from advisor.basis.fields import LEAST_ABOVE_ZERO, Fault, NumberField, QuantityField, fields_of, read_table
from advisor.basis.units import UNITS
from advisor.bench.standardise import AgainstCrystals, AgainstSolid, Baked, WeighedIn
from advisor.readings import KINDS
from advisor.record.entries import CONTENTS
from advisor.sheet import Pack, Sheet

TABLES = {
    **Sheet.TABLES,
    **{f"stock.{name}": table for name, table in Sheet.STOCK.items()},
    "shelf": Pack,
    **KINDS,
    **{f"log {kind}": table for kind, table in CONTENTS.items()},
    **{table.__name__: table for table in (WeighedIn, Baked, AgainstSolid, AgainstCrystals)},
}
INSIDE = {"strength": "mol/L", "pen reading": "uS/cm", "reported": "g/L"}  # where a text is of several kinds
A_BIT = 1e-9  # relative; far more than what a change of unit rounds off


def refusals(table: str, key: str, raw: object) -> list[str]:
    """What is said against a value of one field because of its limits."""
    errors: list = []
    read_table(TABLES[table], {key: raw}, "here", errors)
    return [error.accepted for error in errors if error.place == f"here: {key}" and error.fault is Fault.OUT_OF_LIMITS]


def numbers(table: str) -> list[tuple]:
    """The fields of a table that are numbers: key, the part of a list that it is, and all of these parts."""
    return [
        (key, at, getattr(field, "parts", (field,)))
        for key, field in fields_of(TABLES[table]).items()
        for at, part in enumerate(getattr(field, "parts", (field,)))
        if isinstance(part, QuantityField | NumberField)
    ]


def typed(part, value: float) -> object:
    if isinstance(part, NumberField):
        return value
    return f"{value!r} {INSIDE.get(part.quantity) or next(iter(UNITS[part.quantity]))}"


def ends(part) -> list[tuple[float, float]]:
    """What is just taken and what just not, at each limit of a field."""
    found = []
    if part.low is not None:
        least = 1e-5 if getattr(part, "quantity", "") == "strength" else part.low  # no titrant is thinner
        above = getattr(part, "above", False) and part.low == 0
        found.append((LEAST_ABOVE_ZERO, 0.0) if above else (least, least - A_BIT * (abs(least) or 1.0)))
    if part.high is not None:
        found.append((part.high, part.high * (1 + A_BIT)))
    return found


@pytest.mark.parametrize("table", TABLES)
def test_each_limit_holds_on_both_sides_and_is_told_by_name(table) -> None:
    for key, at, parts in numbers(table):
        is_list = hasattr(fields_of(TABLES[table])[key], "parts")
        assert ends(parts[at]), f"{key} has no limit"
        for inside, outside in ends(parts[at]):
            for value, faults in ((inside, 0), (outside, 1)):
                row = [typed(part, value if place == at else ends(part)[-1][0]) for place, part in enumerate(parts)]
                assert len(refusals(table, key, row if is_list else row[0])) == faults, (key, row)


# What somebody may say, and what a hand makes of it: another unit, a percentage as a share, a point that was lost,
# Fahrenheit, the year it was mixed instead of the age. Nought stands where it is an answer, or else would divide.
SLIPS = """
bath, log level | volume | 5.6 L | 5.6 mL; 56000 L
bath | usual_volume, max_volume, min_volume | 6 L | 0 L; 60000 L
bath | temperature, coldest | 0 degC; 21 degC | 70 degC; -1 degC
bath | age | 0 month; 14 month | 2019 year
bath | throughput | 0 A*h; 310 A*h | -1 A*h
bath | soda_added | 0 g; 80 g | -1 g; 8000 kg
bath | iron, zinc, nickel | 0 g/L; 400 mg/L | 400 g/L
window, correction, mix, log poured in, previous check | copper_sulfate | 0 g/L; 212 g/L | 2120 g/L
window, correction, mix, log poured in, previous check | sulfuric_acid | 0 g/L; 54 g/L | 540 g/L
window, log poured in, previous check | chloride | 0 mg/L; 70 mg/L | 70 g/L
stock.crystals, log crystals, make-up | purity | 99 %; 100 % | 0.99 %; 101 %
stock.crystals | copper_content | 12.8 %; 25 %; 39.8 % | 12.5 %; 2.5 %; 0.25 %; 99 %
stock.acid, log acid | strength | 37 %; 96 % | 0.37 %; 101 %
make-up | acid_strength | 37 %; 96 % | 0.37 %; 101 %
stock.acid | density | 1.84 g/mL | 0.84 g/mL; 1.96 g/mL
stock.water, log water | chloride | 0 mg/L; 30 mg/L | 30 g/L
stock.water | alkalinity | 0 mg/L; 200 mg/L | 200 g/L
stock.chloride, log chloride | strength | 31 %; 37 % | 0 %; 310 %
stock.crystals | on_hand | 0 g; 2 kg | -1 g
stock.acid | on_hand | 0 L; 1 L | -1 L
mix, dispose, shelf, log water, log take out, log poured in, previous check | volume | 4 L | 0 L; 40000 L
mix | crystals | 0 g; 1 kg | 2000 kg
mix | acid | 0 mL; 170 mL | 17000 L
mix | water | 4.5 L | 0 L; 45000 L
mix | suppressor | 0 g; 1 g | 200 kg
make-up | crystals | 1 kg | 0 g; 2000 kg
make-up | acid | 0 mL; 170 mL | 17000 L
make-up | water, final_volume | 4.5 L | 0 L; 45000 L
plate, log plating run | area | 85 cm^2 | 0 cm^2; 8500 m^2
plate, log plating run | time | 8 h | 0 h; 8 year
plate, log plating run | current | 1.5 A | 0 A; 15000 A
plate | thickness | 150 um | 0 um; 150 mm
plate | height | 6 cm | 0 cm; 6 m
plate | anode_area | 200 cm^2 | 0 cm^2; 20000 m^2
anodes | height | 6 cm | 0 cm; 6 m
anodes | mass | 1240 g | 0 g; 1240 kg
hull_cell | current | 1 A; 5 A | 0 A; 1000 A
hull_cell | burnt_to, bright_to, bare_from | 2 cm; 8 cm | 2 mm; 10 cm
keep | disposal_price | 0; 2.5 | -1; 25000000
stock.crystals, stock.acid, shelf | price | 0; 9 | -1; 25000000
keep | carbon_treated | 0; 2 | -1; 2019
treat | carbon | 3 g/L | 3 mg/L; 0 g/L; 300 g/L
treat | pump | 300 L | 0 L; 300000 L
treat | scrap, surface | 500 cm^2 | 0 cm^2; 50000 m^2
treat | room | -5 degC; 18 degC | 64 degC; -20 degC
treat | wanted | 25 degC | 77 degC; 0 degC
treat | heater | 300 W | 0 W; 300 kW
treat | on_floor | 0 g; 50 g | 5000 kg
part | resistance | 0 ohm; 5 kohm | -1 ohm; 50000 kohm
part | apart, width | 5 cm | 0 cm; 5 m
part | reach | 30 cm | 0 cm; 30 m
part | wires | 1; 3 | 0; 300
buy | months | 0.5; 3 | 0; 2027
buy | water | 0 L; 2 L | 20000 L
buy | bath | 0 mL; 200 mL | 20000 L
buy | plated | 0 A*h; 40 A*h | -1 A*h; 4000 kA*h
buy | additive | 0 mL; 0.2 mL | 2 L
buy | carbon | 0; 1 | -1; 2027
buy | checks, parts | 0; 3 | -1; 30000
shelf | mass | 1 kg | 0 g; 5000 kg
shelf | here | 0; 2 | -1; 20000
acid titration, copper titration, pH curve, thinned pH, thinned conductivity | sample | 5 mL | 0 mL; 5 L
chloride titration, plated-out copper, AgainstCrystals | sample | 50 mL | 0 mL; 50 L
acid titration, pH curve | diluted_to | 100 mL | 0 mL; 100 L
acid titration, chloride titration | used | 0 mL; 12 mL | -1 mL; 12 L
copper titration, AgainstSolid, AgainstCrystals | used | 12 mL | 0 mL; 12 L
acid titration | blank | 0 mL; 0.1 mL | -1 mL; 1 L
copper titration, chloride titration, AgainstSolid, AgainstCrystals | blank | 0 mL; 0.1 mL | -1 mL; 10 L
acid titration, pH curve | strength | 0.5 mol/L; 5 % | 0 mol/L; 42 mol/L
copper titration | strength | 18.6 g/L; 0.05 mol/L | 0 mol/L; 18.6 mol/L
copper titration | ammonia | 0.05 mol/L | 0 mol/L; 50 mol/L
copper titration | flask | 120 mL | 0 mL; 120 L
copper titration, thinned pH, thinned conductivity | predilution | 10 mL, 250 mL | 0 mL, 250 mL; 10 L, 250 L
chloride titration | strength | 0.01 mol/L | 0 mol/L; 10 mol/L
acid titration | end_point_pH | 3.9 | 9.3; 39; 2
cemented copper | sample | 10 mL | 0 mL; 100 mL
cemented copper | diluted_to | 250 mL | 100 mL; 250 L
cemented copper, plated-out copper, Baked | before | 12.00 g | 0 g
Baked | before | 12.00 g | 120 kg
cemented copper, plated-out copper, Baked | after | 13.01 g | 0 g; 130 kg
weighed density | empty, with_water, with_bath | 0.2 kg | 0 g; 200 kg
weighed density, hydrometer | temperature | 0 degC; 17 degC | 63 degC; -1 degC
thinned pH, thinned conductivity | temperature | 19 degC | 66 degC; 0 degC
thinned pH, thinned conductivity | thinned_to | 500 mL | 0 mL; 500 L
thinned pH, thinned conductivity | water | 0 uS/cm; 4 uS/cm | 4 mS/cm
laboratory report | copper, copper_sulfate, sulfuric_acid | 0 g/L; 54 g/L | -1 g/L
laboratory report | chloride, iron, zinc, nickel, sodium | 0 mg/L; 70 mg/L | -1 mg/L
thinned pH | buffer, second_buffer | 4.01, 4.05 | 401, 4.05; 4.01, 405; -1, 4.05; 4.01, -1
thinned pH | reference | 215 g/L, 55 g/L, 2.74; 0 g/L, 55 g/L, 2.74 | 215 g/L, 550 g/L, 2.74; 215 g/L, 55 g/L, 274; 215 g/L, 0 g/L, 2.74; 2150 g/L, 55 g/L, 2.74
thinned conductivity | value | 560 uS/cm | 0 uS/cm; 560 mS/cm
thinned conductivity | standard | 1413 uS/cm, 1400 uS/cm | 1413 mS/cm, 1400 uS/cm; 0 uS/cm, 1400 uS/cm; 1413 uS/cm, 1400 mS/cm; 1413 uS/cm, 0 uS/cm
thinned conductivity | reference | 0 g/L, 55 g/L, 530 uS/cm | 2150 g/L, 55 g/L, 530 uS/cm; 215 g/L, 550 g/L, 530 uS/cm; 215 g/L, 0 g/L, 530 uS/cm; 215 g/L, 55 g/L, 0 uS/cm; 215 g/L, 55 g/L, 530 mS/cm
colour match | lower, upper | 0 g/L; 212 g/L | 2120 g/L
colour match | position | 0; 0.5; 1 | 50; -1
photo colour | light_even_to | 0 %; 10 % | 110 %
photo colour, chloride strip | dilution | 1; 2 | 0.5; 5000
chloride strip | value, lower, upper | 0 mg/L; 35 mg/L | 35 g/L
chloride ladder | lower, upper | 0 mg/L; 75 mg/L | 75 g/L
previous check | correlation | -0.5; 0.5 | -50; 1; -1
log crystals | mass | 250 g | 0 g; 2500 kg
log acid | volume | 120 mL | 0 mL; 12000 L
log chloride, log additive dose | volume | 12 mL | 0 mL; 120 L
log additive dose | chloride | 0 mg/L; 5 g/L | 500 g/L
log carbon treatment | carbon | 15 g | 0 g; 150 kg
log anode change | area | 2 dm^2 | 0 dm^2; 20000 m^2
log anode change, log anodes weighed | mass | 1240 g | 0 g; 1240 kg
log plating run | charge | 40 A*h | 0 A*h; 40000 kA*h
log plating run | part_before, part_after | 12.5 g | 0 g; 1250 kg
log filter | time | 2 h | 0 h; 2 year
log additive rule | per_ampere_hour | 20 mL per 100 A*h; 0.2 mL | 0 mL; 2 L
log additive rule | per_week | 10 mL | 0 mL; 20 L
log additive rule | per_litre | 5 mL | 0 mL; 5 L
log reminder | after | 10 min | 0 min; 2027 year
log reminder | every | 1 h; 4 week | 4 min; 2027 year
log moved | usual_volume, max_volume | 8 L | 0 L; 80000 L
WeighedIn, Baked | mass | 42 g | 0 g; 42 kg
WeighedIn, Baked | made_up | 1 L | 0 L; 1000 L
WeighedIn, AgainstSolid, AgainstCrystals | purity | 99.5 %; 100 % | 0.995 %; 101 %
AgainstSolid | mass | 0.5 g | 0 g; 500 kg
AgainstCrystals | crystals | 5 g | 0 g; 50 kg
AgainstCrystals | made_up | 250 mL | 0 mL; 250 L
"""


def said(table: str, key: str, words: str) -> object:
    """A field as a sheet has it: a list, a bare number, or a text with its unit."""
    field = fields_of(TABLES[table])[key]
    parts = getattr(field, "parts", None)
    if parts:
        cells = words.split(", ")
        cells *= len(parts) // len(cells)  # both limits of a window
        return [float(cell) if isinstance(part, NumberField) else cell for part, cell in zip(parts, cells, strict=True)]
    return float(words) if isinstance(field, NumberField) else words


def test_what_may_be_is_taken_and_what_slips_is_not() -> None:
    missed, tried = [], set()
    for row in SLIPS.strip().splitlines():
        tables, keys, right, wrong = (part.strip() for part in row.split(" | "))
        for table, key in product(tables.split(", "), keys.split(", ")):
            tried.add((table, key))
            missed += [
                (table, key, it, "refused") for it in right.split("; ") if refusals(table, key, said(table, key, it))
            ]
            missed += [
                (table, key, it, "taken") for it in wrong.split("; ") if not refusals(table, key, said(table, key, it))
            ]
    assert not missed
    assert {(table, key) for table in TABLES for key, _, _ in numbers(table)} - tried == set()


@pytest.mark.parametrize(
    ("of", "beside", "keys"),
    [
        ("log moved", "bath", "usual_volume, max_volume"),
        ("log level", "bath", "volume"),
        ("log water", "stock.water", "chloride"),
        ("log crystals", "stock.crystals", "purity"),
        ("make-up", "stock.crystals", "purity"),
        ("log acid", "stock.acid", "strength"),
        ("log chloride", "stock.chloride", "strength"),
        ("log poured in", "previous check", "copper_sulfate, sulfuric_acid, chloride, volume"),
        ("window", "previous check", "copper_sulfate, sulfuric_acid, chloride"),
        ("correction", "mix", "copper_sulfate, sulfuric_acid"),
        ("window", "mix", "copper_sulfate, sulfuric_acid"),
        ("log anodes weighed", "anodes", "mass"),
        ("log anode change", "anodes", "mass"),
        ("log plating run", "plate", "area, time, current"),
        ("hydrometer", "bath", "temperature"),
        ("weighed density", "bath", "temperature"),
        ("make-up", "mix", "acid, water"),
    ],
)
def test_what_one_table_takes_the_other_takes_too(of, beside, keys) -> None:
    for key in keys.split(", "):
        one, other = (
            [(part.low, part.high, part.above) for name, _, (part, *_) in numbers(table) if name == key][:1]
            for table in (of, beside)
        )
        assert one == other
        assert one
