"""What a person chose for good on a device, such as the units: one small JSON file a device, beside the logbook.

A choice outlives the visit and the 30 days of a draft. A file that is missing or was spoilt counts as no choice.
"""

from __future__ import annotations

import json
from pathlib import Path

from advisor.basis.files import write_whole
from advisor.basis.places import data_folder


def read(device: str) -> dict[str, str]:
    """Return what was chosen on a device, by name; empty where nothing was."""
    try:
        whole = json.loads(_path(device).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):  # ValueError: no UTF-8, no JSON
        return {}
    pairs = whole.items() if isinstance(whole, dict) else ()
    return {name: choice for name, choice in pairs if isinstance(choice, str)}


def write(device: str, name: str, choice: str) -> None:
    """Keep a choice of a device, whole or not at all. Raises OSError where the folder cannot be written."""
    path = _path(device)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, json.dumps(read(device) | {name: choice}), private=True)


def _path(device: str) -> Path:
    return data_folder() / "preferences" / f"{device}.json"
