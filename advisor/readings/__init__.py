"""The kinds of reading, by the name they have in a bench sheet. A new kind is one module and one line here."""

from advisor.readings.acid_titration import AcidTitration
from advisor.readings.hydrometer import Hydrometer
from advisor.readings.model import Reading
from advisor.readings.previous_check import MakeUp, PreviousCheck

KINDS: dict[str, type[Reading]] = {kind.kind: kind for kind in (AcidTitration, Hydrometer, MakeUp, PreviousCheck)}

__all__ = ["KINDS", "Reading"]
