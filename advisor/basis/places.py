"""Where things lie: pages and reference tables (beside the package in a checkout, inside it in a wheel), and the folder
of the user's own data.
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
    """Return where the user's logbook is, or would be."""
    return data_folder() / "logbook.sqlite3"


def data_folder() -> Path:
    """Return the folder of the user's own data; the environment variable ADVISOR_DATA_FOLDER moves it.

    For a user without a home folder, such as a service, it is the folder in which the program was started.
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
