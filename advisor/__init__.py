"""Keep an acid copper sulfate electroforming bath in condition.

`advise(sheet)` is the whole way in: a bench sheet (what the bath is and what was measured) gives advice (what it
holds, how surely, and what to do).
"""

__version__ = "0.1.0"

from advisor.advice import Advice
from advisor.advise import advise
from advisor.fields import InputError
from advisor.sheet import Sheet, read_sheet, write_sheet

__all__ = ["Advice", "InputError", "Sheet", "advise", "read_sheet", "write_sheet"]
