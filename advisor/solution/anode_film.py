"""How much current copper anodes dissolve under before copper sulfate crystallises on them and they turn passive.

A dissolving anode makes the liquid beside it stronger. That liquid is heavier, sinks along the anode and carries the
copper away; the faster the copper comes, the stronger it gets, up to saturation. Then a film of crystals grows, the
voltage rises and the current falls ("Passivation of Pure Copper", a review on the web after Garneau and Ghali, read;
Electrochim. Acta 41 (1996) 2417, abstract). The limit is that of diffusion and free convection, as at the part
(`transport`), between the bath's copper and what saturates the liquid at the anode, whose acid has been pushed away.

Least sure is by how much the electric field helps to carry the copper away: not at all in a great excess of acid; in a
bath perhaps as much as ideal, stationary ions give, 1.4 to 2.3 times. The value lies between both (geometric mean), and
its uncertainty spans them evenly. Solubility adds 7 to 15 %, of a difference that may be small. The model does not know
that a thick sludge or a tight bag keeps the liquid from moving (less current), nor that liquid may stay supersaturated
for a while (more).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, roots_hermitenorm

from advisor.basis.arrays import FloatArray
from advisor.solution.density import density
from advisor.solution.faraday import FARADAY
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE
from advisor.solution.solubility import relative_uncertainty, saturation
from advisor.solution.transport import (
    DIFFUSION_LAYER,
    DIFFUSION_RELATIVE_UNCERTAINTY,
    FREE_LAYER_RELATIVE_UNCERTAINTY,
    acid_beside,
    diffusion_coefficient,
    free_layer,
    ion_product,
)

_POINTS, _WEIGHTS = roots_hermitenorm(21)  # exact: Gauss-Hermite nodes
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_ROUNDS = 40  # of a halving search for what saturates (computed: the difference shrinks below a millionth)
LEAST_DIFFERENCE = 1e-6  # g/mL: without any difference in density nothing would move (judgement)


@dataclass(frozen=True)
class AnodicLimit:
    """The current density [A/dm2] above which anodes turn passive.

    value: at the solubility that is believed; 0 where the bath is saturated. by_solubility (21,): the same with the
    solubility off by as many standard uncertainties as the nodes; relative: what is unsure besides, as a log-normal.
    saturated, acid: what the liquid at the anode holds then [g/L].
    """

    value: float
    by_solubility: FloatArray
    relative: float
    saturated: float
    acid: float

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty of the value [A/dm2]."""
        mean = float(_WEIGHTS @ self.by_solubility)
        spread = float(_WEIGHTS @ (self.by_solubility - mean) ** 2)
        return math.sqrt(spread + (self.relative * mean) ** 2)

    def probability_passive(self, current_density: float) -> float:
        """Return how probable it is that anodes turn passive under a current density [A/dm2]."""
        if current_density <= 0:
            return 0.0
        alive = np.maximum(self.by_solubility, 1e-9)
        return float(_WEIGHTS @ ndtr(np.log(current_density / alive) / self.relative))


def anodic_limit(
    copper_sulfate: float,
    sulfuric_acid: float,
    temperature: float,
    height: float,
    stirring: str = "still",
    copper_standard_uncertainty: float = 0.0,
) -> AnodicLimit:
    """Return the limit for upright anodes of a height [cm] in a bath [g/L, g/L] at a temperature [degC].

    stirring: one of `transport.DIFFUSION_LAYER`, as it reaches the anodes; the thinner of both layers counts.
    """
    full, acid = beside_saturated(copper_sulfate, sulfuric_acid, temperature)
    relative = float(relative_uncertainty(sulfuric_acid))
    off = math.hypot(relative * full, copper_standard_uncertainty)
    surfaces = np.maximum(full + off * np.append(_POINTS, 0.0), copper_sulfate)
    lighter = density(surfaces, acid) - density(copper_sulfate, sulfuric_acid)
    layer = free_layer(copper_sulfate, sulfuric_acid, temperature, height, np.maximum(lighter, LEAST_DIFFERENCE))
    if stirring != "still":
        layer = np.minimum(layer, DIFFUSION_LAYER[stirring])
    diffusion = diffusion_coefficient(copper_sulfate, sulfuric_acid, temperature)
    per_cm3 = (surfaces - copper_sulfate) / COPPER_SULFATE_PENTAHYDRATE / 1000.0  # [mol/cm3]
    helped = field_helps(full, copper_sulfate, sulfuric_acid)
    limits = 100.0 * 2.0 * FARADAY * diffusion * per_cm3 / layer * math.sqrt(helped)  # [A/dm2]
    unsure = math.hypot(
        0.75 * DIFFUSION_RELATIVE_UNCERTAINTY, FREE_LAYER_RELATIVE_UNCERTAINTY, math.log(helped) / math.sqrt(12.0)
    )
    return AnodicLimit(float(limits[-1]), limits[:-1], unsure, full, acid)


def beside_saturated(copper_sulfate: float, sulfuric_acid: float, temperature: float) -> tuple[float, float]:
    """Return copper sulfate and acid [g/L] of the saturated liquid at an anode in a bath [g/L, g/L], at [degC].

    Copper that gathers pushes acid away, and less acid keeps more copper dissolved: both are sought together.
    """
    acid = sulfuric_acid
    full = float(saturation(temperature, acid))
    for _ in range(_ROUNDS):
        acid = (acid + float(acid_beside(full, copper_sulfate, sulfuric_acid))) / 2
        full = float(saturation(temperature, acid))
    return max(full, copper_sulfate), acid


def field_helps(at_surface: float, copper_sulfate: float, sulfuric_acid: float) -> float:
    """Return the factor by which ideal ions carry more copper than diffusion alone, between surface and bath [g/L].

    The integral of 1 + 2 c d(ln s)/dc over the copper c, with the bisulfate s = c + sqrt(c2 + K) that Boltzmann's law
    leaves (see `transport.acid_beside`), over the difference of c.
    """
    product = float(ion_product(copper_sulfate, sulfuric_acid))
    there, here = at_surface / COPPER_SULFATE_PENTAHYDRATE, copper_sulfate / COPPER_SULFATE_PENTAHYDRATE
    if there - here < 1e-9:
        return 1.0 + 2.0 * here / math.sqrt(here**2 + product) if here > 0 else 1.0
    return 1.0 + 2.0 * (math.sqrt(there**2 + product) - math.sqrt(here**2 + product)) / (there - here)
