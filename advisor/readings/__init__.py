"""The kinds of reading, by the name they have in a bench sheet. A new kind is one module and one line here."""

from collections.abc import Iterator, Mapping
from importlib import import_module

from advisor.readings.model import Reading

_WHERE = {
    "acid titration": "acid_titration:AcidTitration",
    "copper titration": "copper_titration:CopperTitration",
    "hydrometer": "hydrometer:Hydrometer",
    "weighed density": "weighed_density:WeighedDensity",
    "plated-out copper": "plated_out:PlatedOutCopper",
    "cemented copper": "cemented_copper:CementedCopper",
    "colour match": "colour_match:ColourMatch",
    "photo colour": "photo_colour:PhotoColour",
    "pH curve": "ph_curve:PHCurve",
    "thinned conductivity": "thinned_conductivity:ThinnedConductivity",
    "thinned pH": "thinned_pH:ThinnedPH",
    "chloride titration": "chloride:ChlorideTitration",
    "chloride strip": "chloride:ChlorideStrip",
    "chloride ladder": "chloride:ChlorideLadder",
    "laboratory report": "laboratory_report:LaboratoryReport",
    "make-up": "previous_check:MakeUp",
    "previous check": "previous_check:PreviousCheck",
}


class _Kinds(Mapping[str, type[Reading]]):
    """The class of each kind, whose module is loaded once it is asked for: few bench sheets have more than two."""

    def __getitem__(self, kind: str) -> type[Reading]:
        module, name = _WHERE[kind].split(":")
        found: type[Reading] = getattr(import_module(f"advisor.readings.{module}"), name)
        return found

    def __contains__(self, kind: object) -> bool:
        return kind in _WHERE

    def __iter__(self) -> Iterator[str]:
        return iter(_WHERE)

    def __len__(self) -> int:
        return len(_WHERE)


KINDS = _Kinds()

__all__ = ["KINDS", "Reading"]
