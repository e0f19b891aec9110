"""A thinned bath by PHREEQC with phreeqc.dat, 25 °C, closed to air: what the models of thin solutions are held to."""

from functools import cache

from phreeqpython import PhreeqPython

from advisor.solution.equilibrium import WATER_PER_LITRE

MASSES = {"iron": 55.845, "iron_three": 55.845, "zinc": 65.38, "sodium_sulfate": 142.04}  # g/mol
NAMES = {"iron": "Fe(2)", "iron_three": "Fe(3)", "zinc": "Zn"}


@cache
def engine() -> PhreeqPython:
    return PhreeqPython()


@cache
def thinned(
    copper_sulfate: float, acid: float, times: float, bicarbonate: float = 0.0, **more: float
) -> tuple[float, float]:
    """Return conductivity [uS/cm] and pH of a bath [g/L] in `times` its volume; `iron` is all of it, as in a State."""
    litre = times * WATER_PER_LITRE
    held = {name: grams / MASSES[name] / litre for name, grams in more.items()}
    if "iron_three" in held:
        held["iron"] = held.get("iron", 0.0) - held["iron_three"]
    copper = copper_sulfate / 249.68 / litre
    sulfate = copper + acid / 98.07 / litre + held.get("sodium_sulfate", 0.0)
    sulfate += sum(held.get(name, 0.0) * share for name, share in (("iron", 1.0), ("iron_three", 1.5), ("zinc", 1.0)))
    content = {"units": "mol/kgw", "temp": 25, "Cu(2)": copper, "S(6)": sulfate, "pH": "2 charge"}
    content |= {NAMES[name]: mol for name, mol in held.items() if name in NAMES and mol > 0}
    sodium = 2 * held.get("sodium_sulfate", 0.0) + bicarbonate / WATER_PER_LITRE
    if sodium:
        content["Na"] = sodium
    if bicarbonate:
        content["C(4)"] = bicarbonate / WATER_PER_LITRE
    solution = engine().add_solution(content)
    shown = solution.sc, solution.pH
    solution.forget()
    return shown
