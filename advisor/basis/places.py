"""Where the pages and the reference tables lie: beside the package in a checkout, inside it in a wheel.

Only finds the two folders; reading what is in them is the work of `tables` and of the app.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]


def _folder(name: str) -> Path:
    """The folder as the wheel packs it (`advisor/_name`) if it is there, else the one of the checkout."""
    packed = _PACKAGE / f"_{name}"
    return packed if packed.is_dir() else _PACKAGE.parent / name


PAGES = _folder("pages")
REFERENCE_TABLES = _folder("reference_tables")
