"""Where things lie: pages and reference tables beside the package in a checkout or inside it in a wheel, and what a
person keeps in a folder of its own.

Only finds the places; reading what is in them is the work of `tables`, of the record and of the app.
"""

import os
from pathlib import Path

FOLDER_VARIABLE = "ADVISOR_DATA_FOLDER"

_PACKAGE = Path(__file__).resolve().parents[1]


def _folder(name: str) -> Path:
    """The folder as the wheel packs it (`advisor/_name`) if it is there, else the one of the checkout."""
    packed = _PACKAGE / f"_{name}"
    return packed if packed.is_dir() else _PACKAGE.parent / name


PAGES = _folder("pages")
REFERENCE_TABLES = _folder("reference_tables")


def logbook_file() -> Path:
    """Return where the logbook of this person is, or would be."""
    return data_folder() / "logbook.sqlite3"


def data_folder() -> Path:
    """Return the folder of the person's own data; the environment variable ADVISOR_DATA_FOLDER moves it.

    For a user without a home, such as a service's, it lies in the folder that the program was started in.
    """
    moved = os.environ.get(FOLDER_VARIABLE)
    if moved:
        return Path(moved)
    import platformdirs

    name = "copper-bath-advisor"
    try:
        folder = platformdirs.user_data_path(name, appauthor=False)
    except RuntimeError:  # newer versions refuse where no home is known; older ones return "~/..."
        return Path.cwd() / name
    return folder if folder.is_absolute() else Path.cwd() / name
