"""The kinds of reading, by the name they have in a bench sheet. A new kind is one module and one line here."""

from advisor.readings.acid_titration import AcidTitration
from advisor.readings.cemented_copper import CementedCopper
from advisor.readings.chloride import ChlorideLadder, ChlorideStrip, ChlorideTitration
from advisor.readings.colour_match import ColourMatch
from advisor.readings.copper_titration import CopperTitration
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.laboratory_report import LaboratoryReport
from advisor.readings.model import Reading
from advisor.readings.ph_curve import PHCurve
from advisor.readings.photo_colour import PhotoColour
from advisor.readings.plated_out import PlatedOutCopper
from advisor.readings.previous_check import MakeUp, PreviousCheck
from advisor.readings.thinned_conductivity import ThinnedConductivity
from advisor.readings.thinned_pH import ThinnedPH
from advisor.readings.weighed_density import WeighedDensity

KINDS: dict[str, type[Reading]] = {
    kind.kind: kind
    for kind in (
        AcidTitration,
        CopperTitration,
        Hydrometer,
        WeighedDensity,
        PlatedOutCopper,
        CementedCopper,
        ColourMatch,
        PhotoColour,
        PHCurve,
        ThinnedConductivity,
        ThinnedPH,
        ChlorideTitration,
        ChlorideStrip,
        ChlorideLadder,
        LaboratoryReport,
        MakeUp,
        PreviousCheck,
    )
}

__all__ = ["KINDS", "Reading"]
