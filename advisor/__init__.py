"""Keep an acid copper sulfate electroforming bath in condition.

`advise(sheet)` is the whole way in: a bench sheet (what the bath is and what was measured) gives advice (what it
holds, how surely, and what to do).
"""

from advisor.basis import __version__
from advisor.basis.fields import InputError
from advisor.check.advice import Advice
from advisor.check.advise import advise
from advisor.sheet import Sheet, read_sheet, write_sheet

__all__ = ["Advice", "InputError", "Sheet", "__version__", "advise", "read_sheet", "write_sheet"]
