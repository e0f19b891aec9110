"""Sheets as they were typed and not yet saved, kept so that a reload, a sleeping phone or a stopped app loses nothing.

One small file a sheet, in a folder for each device, beside the logbook. What stands in them may be right or wrong;
they are read by the same rules as any bench sheet. No draft outlives `DAYS`, and no device keeps more than `KEPT`.
"""

from __future__ import annotations

import datetime
import shutil
import tempfile
import uuid
from dataclasses import dataclass
from pathlib import Path

from advisor.record.logbook import data_folder
from advisor.sheet import LARGEST_FILE

DAYS = 30
KEPT = 50  # sheets a device; visitors through a tunnel look like one
DEVICES = 100


@dataclass(frozen=True)
class Draft:
    """One sheet: its file, when it was last changed (local time), and its text."""

    path: Path
    when: datetime.datetime
    text: str


def new_path(device: str) -> Path:
    """Return a file for a new sheet of a device, whose name must be fit for a folder."""
    return _folder(device) / f"{uuid.uuid4().hex}.toml"


def save(path: Path, text: str) -> None:
    """Write a sheet to its file, whole or not at all; one larger than a sheet may be is not kept.

    Raises OSError where the folder cannot be written.
    """
    if len(text.encode("utf-8")) > LARGEST_FILE:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", dir=path.parent, suffix=".part", delete=False) as part:
        part.write(text)
    Path(part.name).replace(path)
    _clear_out(path.parent)


def recent(device: str) -> tuple[Draft, ...]:
    """Return the sheets of a device, the last changed first. One that cannot be read is passed over."""
    kept = [draft for path in _folder(device).glob("*.toml") if (draft := read(path)) and draft.when > _oldest()]
    return tuple(sorted(kept, key=lambda draft: draft.when, reverse=True))


def read(path: Path) -> Draft | None:
    """Return the sheet in a file; None where it is gone, or no text."""
    try:
        return Draft(path, _changed(path), path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return None


def drop(path: Path) -> None:
    """Delete a sheet; its file may be gone already. Raises OSError where it cannot be deleted."""
    path.unlink(missing_ok=True)


def _folder(device: str) -> Path:
    return data_folder() / "drafts" / device


def _oldest() -> datetime.datetime:
    return datetime.datetime.now() - datetime.timedelta(days=DAYS)


def _changed(path: Path) -> datetime.datetime:
    return datetime.datetime.fromtimestamp(path.stat().st_mtime)


def _clear_out(folder: Path) -> None:
    """Delete what is too old or too much, of this device and of devices that were not seen for longest."""
    files = sorted(folder.iterdir(), key=_changed, reverse=True)
    for number, path in enumerate(files):
        if number >= KEPT or _changed(path) < _oldest():
            drop(path)
    devices = sorted(folder.parent.iterdir(), key=_changed, reverse=True)
    for number, path in enumerate(devices):
        if number >= DEVICES or _changed(path) < _oldest():
            shutil.rmtree(path, ignore_errors=True)
