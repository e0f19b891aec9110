"""What an owner reads off a bath, written as the tables of a bench sheet."""

from typing import Any

import numpy as np

from tests.benchmarks.bench import hands
from tests.benchmarks.bench.baths import IRON, SODIUM_SULFATE, SULFURIC, ZINC
from tests.benchmarks.bench.hands import Owner, typed
from tests.benchmarks.bench.liquid import PENTAHYDRATE, WATER, printed

Reading = dict[str, Any]
FLASK_mL = 100.0
COPPER = 63.546  # g/mol
AIR = 0.0012  # g/mL
GLASS = 25e-6  # a degree: hydrometer glass (ISO 1768)
EDTA_mol_L, THIOSULFATE_mol_L = 0.04, 0.1
WATER_AT = {17: 0.99877, 18: 0.99860, 19: 0.99841, 20: 0.99821, 21: 0.99799, 22: 0.99777, 23: 0.99754, 24: 0.99730, 25: 0.99705}  # g/mL, CRC Handbook  # fmt: skip
CHECKED = {"copper_sulfate": 0.02, "acid": 0.03}  # what an earlier check was itself true to, relative
INTERVAL = 50.0  # g/L between two jars
CURVE_POINTS = 32


def _strength(owner: Owner, titrant: str) -> tuple[str, Reading]:
    name, as_had, size, _ = owner.bottle(titrant)
    return name, {"titrant": name, "strength": typed(as_had, "g/L", size if owner.types else None)}


def _sample(owner: Owner) -> tuple[float, str]:
    """Return what sample is taken [mL] and with what: more where there is little acid, as after a first try."""
    return (10.0, "10 mL syringe") if owner.bath.acid < 30 else (5.0, "5 mL syringe")


def titration(owner: Owner, titrant: str, end_point: str) -> Reading:
    """Titrate the acid. titrant: sodium hydroxide, bicarbonate or carbonate."""
    millilitres, tool = _sample(owner)
    flask = owner.flask(
        owner.measure(tool, millilitres), FLASK_mL * (1 + hands.JUG * owner.rng.standard_normal()), titrant
    )
    again = owner.rng.standard_normal()
    if end_point == "methyl orange":
        used = flask.curve.titrant_at("pH", owner.methyl_orange + hands.EACH_TIME * again)
    elif end_point == "pH meter":
        offset, slope = owner.meter
        used = flask.curve.titrant_at("pH", 4 + (3.85 - 4 - offset - hands.METER_READ * again) / slope)
    else:
        solid, index = owner.cloud
        # Under pure carbon dioxide saturation passes through a maximum near 5: no one waits for more than 4.75.
        used = flask.curve.titrant_at(solid, index + hands.CLOUD_EACH_TIME * min(again, 2.5))
        used += owner.rng.uniform(*hands.CLOUD_LATE_mL)
    _, fields = _strength(owner, titrant)
    if end_point == "first lasting cloud" and titrant != "sodium hydroxide" and owner.bath.answers:
        fields["fizzing"] = owner.hands == "fizzing"
    return {
        "kind": "acid titration",
        **owner.volume("sample", millilitres, tool),
        "diluted_to": typed(FLASK_mL, "mL"),
        **fields,
        **owner.volume("used", owner.shown("10 mL syringe", used), "10 mL syringe"),
        "end_point": end_point,
    } | ({"end_point_pH": 3.85} if end_point == "pH meter" else {})


def curve(owner: Owner) -> Reading:
    """Follow a titration with lye from a burette with a pH meter, up to pH 4.5."""
    millilitres, tool = _sample(owner)
    flask = owner.flask(owner.measure(tool, millilitres), FLASK_mL, "sodium hydroxide")
    end = flask.curve.titrant_at("pH", 4.5)
    burette = owner.tools["50 mL class B burette"]
    steps = np.concatenate([np.linspace(0, 0.8, 8, endpoint=False), np.linspace(0.8, 1.0, CURVE_POINTS - 8)]) * end
    read = steps / burette + 0.02 * owner.rng.standard_normal(len(steps))
    offset, slope = owner.meter
    pH = 4 + slope * (flask.curve.pH_at()(steps) - 4) + offset
    pH = pH + hands.METER_READ * owner.rng.standard_normal(len(steps))
    points = [[round(max(float(v), 0.0), 2), round(float(p), 2)] for v, p in zip(read, pH, strict=True)]
    _, fields = _strength(owner, "sodium hydroxide")
    sample = owner.volume("sample", millilitres, tool)
    fields |= {"points": points, "used_with": "50 mL class B burette"}
    return {"kind": "pH curve", **sample, "diluted_to": typed(FLASK_mL, "mL"), **fields}


def _density(owner: Owner) -> float:
    """Density of the bath at its temperature [g/mL]."""
    liquid, warmth = owner.liquid
    return float(liquid.density(owner.bath.copper_sulfate, owner.bath.acid) + warmth)


def hydrometer(owner: Owner) -> Reading:
    """Read a hydrometer marked SG 20/20, to a quarter of its divisions of 0.002."""
    floats = _density(owner) / WATER / (1 - GLASS * (owner.bath.temperature - 20))
    read = floats + owner.hydrometer + hands.HYDROMETER_READ * owner.rng.standard_normal()
    size = float(np.hypot(hands.HYDROMETER, hands.HYDROMETER_READ)) if owner.types else None
    return {"kind": "hydrometer", "value": typed(round(read / 0.0005) * 0.0005, "", size, 4), "scale": "SG 20/20"}


def weighed_density(owner: Owner) -> Reading:
    """Weigh a bottle of 100 mL empty, full of water and full of bath on a scale of 0.1 g."""
    water = float(np.interp(owner.bath.temperature, list(WATER_AT), list(WATER_AT.values())))
    filled = {"empty": 0.0, "with_water": water - AIR, "with_bath": _density(owner) - AIR}
    found: Reading = {"kind": "weighed density"}
    for key, density in filled.items():
        millilitres = 100.0 + 0.03 * owner.rng.standard_normal()  # to the mark, give or take half a drop
        shown = owner.scale * (60.0 + millilitres * density) + 0.05 * owner.rng.standard_normal()
        found[key] = typed(shown, "g", 0.05 if owner.types else None, 1)
    return found


def _prediluted(owner: Owner, millilitres: float, tool: str) -> tuple[float, Reading]:
    """Dilute 5 mL of bath to 100 and take a sample: return the bath in it [mL] and the fields."""
    taken, made_up = owner.measure("5 mL syringe", 5.0), FLASK_mL * (1 + hands.FLASK * owner.rng.standard_normal())
    bath = taken / made_up * owner.measure(tool, millilitres)
    fields = owner.volume("sample", millilitres, tool)
    if owner.types:
        sizes = owner.spread("5 mL syringe", 5.0), hands.FLASK * FLASK_mL
        fields["predilution"] = [typed(5.0, "mL", sizes[0]), typed(FLASK_mL, "mL", sizes[1])]
    else:
        fields |= {"predilution": [typed(5.0, "mL"), typed(FLASK_mL, "mL")], "predilution_with": "5 mL syringe"}
    return bath, fields


def edta(owner: Owner) -> Reading:
    """Titrate copper with EDTA, to murexide in ammonia or to PAN."""
    bath, fields = _prediluted(owner, 10.0, "10 mL syringe")
    indicator = str(owner.rng.choice(["murexide", "PAN"]))
    dirt = owner.bath.dirt
    iron = (dirt.iron2 + dirt.iron3) / IRON
    iron *= owner.rng.uniform(*hands.MUREXIDE_SEES_IRON) if indicator == "murexide" else 1.0
    counted = owner.bath.copper_sulfate / PENTAHYDRATE + dirt.zinc / ZINC + iron
    strength = EDTA_mol_L * (1 + hands.EDTA_STRENGTH * owner.rng.standard_normal())
    eye = np.hypot(hands.EDTA_EYE, hands.EDTA_EACH_TIME) * owner.rng.standard_normal()
    used = bath * counted / strength * (1 + eye)
    size = EDTA_mol_L * hands.EDTA_STRENGTH if owner.types else None
    return {
        "kind": "copper titration",
        "method": "EDTA",
        "strength": typed(EDTA_mol_L, "mol/L", size, 4),
        "indicator": indicator,
        **fields,
        **owner.volume("used", owner.shown("10 mL syringe", used), "10 mL syringe"),
    }


def iodometric(owner: Owner) -> Reading:
    """Titrate copper by iodide and thiosulfate."""
    bath, fields = _prediluted(owner, 20.0, "20 mL syringe")
    counted = owner.bath.copper_sulfate / PENTAHYDRATE + owner.bath.dirt.iron3 / IRON
    centre, spread = hands.THIOSULFATE
    strength = THIOSULFATE_mol_L * (1 + centre + spread * owner.rng.standard_normal())
    used = bath * counted / strength * (1 - owner.rng.uniform(*hands.IODINE_HELD))
    size = THIOSULFATE_mol_L * spread if owner.types else None
    return {
        "kind": "copper titration",
        "method": "iodometric",
        "strength": typed(THIOSULFATE_mol_L, "mol/L", size, 4),
        **fields,
        **owner.volume("used", owner.shown("10 mL syringe", used), "10 mL syringe"),
    }


def colour(owner: Owner) -> Reading:
    """Place the bath between two jars of one's own crystals."""
    lower = np.floor(owner.bath.copper_sulfate / INTERVAL) * INTERVAL
    jars = 1 + np.hypot(hands.CRYSTALS, hands.FLASK) * owner.rng.standard_normal()
    seen = (owner.bath.copper_sulfate - lower * jars) / (INTERVAL * jars) + hands.COLOUR * owner.rng.standard_normal()
    position = float(np.clip(round(seen, 2), 0, 1))
    return {
        "kind": "colour match",
        "lower": f"{lower:.0f} g/L",
        "upper": f"{lower + INTERVAL:.0f} g/L",
        "position": position,
    }


def plated_out(owner: Owner) -> Reading:
    """Plate all copper out of 20 mL on a weighed cathode."""
    sample = owner.measure("20 mL syringe", 20.0) / 1000
    left = owner.rng.uniform(*hands.LEFT_IN_LIQUID)
    gain = owner.bath.copper_sulfate * COPPER / PENTAHYDRATE * sample * (1 - left)
    shown = owner.scale * gain + hands.CATHODE * owner.rng.standard_normal()
    size = hands.CATHODE / np.sqrt(2) if owner.types else None
    weights = {"before": typed(12.0, "g", size), "after": typed(12.0 + shown, "g", size)}
    return {"kind": "plated-out copper", **owner.volume("sample", 20.0, "20 mL syringe"), **weights}


def _then(owner: Owner, taken_by_soda: float = 0.0) -> dict[str, float]:
    """What the bath held when it was known: since then it kept 1 ± so much of each.

    taken_by_soda: g/L of acid that soda has taken since.
    """
    now = {"copper_sulfate": owner.bath.copper_sulfate, "acid": owner.bath.acid + taken_by_soda}
    return {
        name: min(value / (1 + hands.KEPT[name] * owner.rng.standard_normal()), 390.0) for name, value in now.items()
    }


def make_up(owner: Owner) -> Reading:
    """Say what was weighed in: crystals of 99 % and acid of 96 %, each as strong as it was.

    A bath is mixed before soda lowers its acid, so the record holds the acid that the soda took: one of Na2SO4 each.
    """
    then = _then(owner, owner.bath.dirt.sodium_sulfate * SULFURIC / SODIUM_SULFATE)
    litres = owner.bath.volume / owner.tank
    crystals = then["copper_sulfate"] * owner.bath.volume / 0.99 / (1 + hands.CRYSTALS * owner.rng.standard_normal())
    strength = min(0.96 * (1 + hands.ACID * owner.rng.standard_normal()), 0.98)
    acid = then["acid"] * owner.bath.volume / strength / printed("H2SO4")(strength)
    acid /= 1 + hands.JUG * owner.rng.standard_normal()
    sizes = (hands.SCALE * crystals, hands.JUG * acid, hands.LEVEL * litres) if owner.types else (None, None, None)
    return {
        "kind": "make-up",
        "crystals": typed(crystals / owner.scale, "g", sizes[0], 0),
        "acid": typed(acid, "mL", sizes[1], 0),
        "final_volume": typed(litres, "L", sizes[2]),
        "since": "unknown",
    }


def earlier_check(owner: Owner) -> Reading:
    """Repeat what an earlier check found."""
    found = {name: value * (1 + CHECKED[name] * owner.rng.standard_normal()) for name, value in _then(owner).items()}
    names = {"copper_sulfate": "copper_sulfate", "acid": "sulfuric_acid"}
    values = {names[name]: typed(value, "g/L", CHECKED[name] * value, 1) for name, value in found.items()}
    return {"kind": "previous check", **values, "since": "unknown"}


def of_set(owner: Owner, name: str) -> list[Reading]:
    """Return the readings of a set, in its order."""
    any_base = str(owner.rng.choice(list(hands.TITRANTS), p=[0.5, 0.3, 0.2]))
    cloud_base = "sodium bicarbonate" if owner.hands == "fizzing" or owner.state == "damp" else any_base
    orange, cloud = "methyl orange", "first lasting cloud"
    makers = {
        "methyl orange + hydrometer": [(titration, any_base, orange), (hydrometer,)],
        "cloud + hydrometer": [(titration, cloud_base, cloud), (hydrometer,)],
        "lye with pH meter + hydrometer": [(titration, "sodium hydroxide", "pH meter"), (hydrometer,)],
        "washing soda + weighed density": [(titration, "sodium carbonate", orange), (weighed_density,)],
        "pH curve + EDTA": [(curve,), (edta,)],
        "methyl orange + iodometric": [(titration, any_base, orange), (iodometric,)],
        "cloud + hydrometer + colour": [(titration, cloud_base, cloud), (hydrometer,), (colour,)],
        "two methyl oranges + hydrometer + EDTA": [(titration, any_base, orange)] * 2 + [(hydrometer,), (edta,)],
        "lye + plated-out": [(titration, "sodium hydroxide", orange), (plated_out,)],
        "hydrometer + make-up": [(hydrometer,), (make_up,)],
        "five readings at once": [(titration, any_base, orange), (hydrometer,), (edta,), (plated_out,), (colour,)],
        "methyl orange + hydrometer + earlier check": [(titration, any_base, orange), (hydrometer,), (earlier_check,)],
    }
    return [make(owner, *rest) for make, *rest in makers[name]]
