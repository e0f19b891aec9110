"""Sheets as they were typed and not yet saved, kept so that a reload, a sleeping phone or a stopped app loses nothing.

One small JSON file a draft, in a folder for each device, beside the logbook. What stands in the sheets may be right or
wrong; they are read by the same rules as any bench sheet. No draft outlives `DAYS`, and no device keeps more than
`KEPT`. That a draft is not to be offered stands in a file of its own, since another tab may be saving the draft at that
moment. Earlier versions wrote that into the draft, and a draft as TOML, with comments for what is not the sheet, then
as JSON without a form; all are still read, their ± in the meaning that it has now (see `before`).
"""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import json
import re
import shutil
import uuid
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeGuard

from advisor.basis.files import write_whole
from advisor.basis.places import data_folder
from advisor.record.before import at_95_percent
from advisor.record.done_steps import STEP_AMOUNTS
from advisor.sheet import LARGEST_FILE

FORM = 2  # of the file (exact); the first had no number, and its ± was one standard uncertainty

# Judgement: how long a draft is kept, how many sheets a device (visitors through a tunnel look like one) and devices.
DAYS = 30
KEPT = 50
DEVICES = 100
_FORMS = (".json", ".toml")
_DISMISSED = ".dismissed"  # of the file beside a draft, with a mark of its text as it was when nobody wanted it offered
_SAFE_BEFORE = "# This sheet stands elsewhere too: it is not offered.\n"
_TICKS_BEFORE = re.compile(r"# Steps done, of plan (\w+): ([\d ]+)\n")

CardStep = str | int  # of a test's card: a mark of its words; in drafts of before its number, from 1


@dataclass(frozen=True)
class Ticks:
    """Which steps of a correction are done (numbered from 1), and a mark of the plan that they are of.

    used: what went in or out in each of them, and how much, as typed; empty in what older versions wrote.
    saved: the numbers in the logbook of the check and of its first steps, so far as they are saved.
    """

    plan: str
    done: tuple[int, ...]
    used: tuple[tuple[str, str], ...] = ()
    saved: tuple[int, ...] = ()

    def not_saved(self) -> Ticks:
        """Return it without the steps that stand in the logbook; those were saved in a row from the first."""
        done = tuple(number for number in self.done if number >= len(self.saved))
        return Ticks(self.plan, done, self.used[-len(done) :] if done else ())


@dataclass(frozen=True)
class Draft:
    """What is kept of a visit. sheet: TOML as typed, right or wrong; safe: it stands elsewhere too.

    question: the one of the guided check that was shown, from 0; None where all were asked at once.
    plans: the sheet, as TOML, that each reading was planned with; empty texts for those that no plan began.
    steps: of each reading the steps of its card that are done; empty where no step of any is.
    dismissed: the person wants no offer of it, unless it was changed after that.
    """

    sheet: str
    ticks: Ticks | None = None
    safe: bool = False
    question: int | None = None
    plans: tuple[str, ...] = ()
    steps: tuple[tuple[CardStep, ...], ...] = ()
    dismissed: bool = field(default=False, compare=False)  # of the same draft


@dataclass(frozen=True)
class KeptDraft:
    """A draft with its file, when it was last changed (local time), and a mark of the file's text."""

    path: Path
    when: datetime.datetime
    draft: Draft
    mark: str


def new_path(device: str) -> Path:
    """Return a file for a new draft of a device, whose name must be fit for a folder."""
    return _folder(device) / f"{uuid.uuid4().hex}.json"


def save(path: Path, draft: Draft) -> Path:
    """Write a draft to its file, whole or not at all, and return that; a sheet larger than one may be is not kept.

    A file of the form before gives way to one of this form. Raises OSError where the folder cannot be written.
    """
    target = path.with_suffix(".json")
    if len(draft.sheet.encode("utf-8")) > LARGEST_FILE:
        return path
    path.parent.mkdir(parents=True, exist_ok=True)
    text = json.dumps({"form": FORM, **dataclasses.asdict(draft)}, ensure_ascii=False)
    write_whole(target, text, private=True)
    if path != target:
        drop(path)
    _clear_out(path.parent)
    return target


def dismiss(kept: KeptDraft) -> None:
    """Note beside a draft that it is not to be offered any more, unless it was changed since, or is at this moment.

    Raises OSError where the folder cannot be written.
    """
    now = read(kept.path)
    if now is not None and now.draft == kept.draft:
        write_whole(kept.path.with_suffix(_DISMISSED), now.mark, private=True)


def recent(device: str) -> tuple[KeptDraft, ...]:
    """Return the drafts of a device, the last changed first. One that cannot be read is passed over."""
    files = [path for form in _FORMS for path in _folder(device).glob(f"*{form}")]
    kept = [draft for path in files if (draft := read(path)) and draft.when > _oldest()]
    return tuple(sorted(kept, key=lambda draft: draft.when, reverse=True))


def read(path: Path) -> KeptDraft | None:
    """Return the draft in a file; None where it is gone, or none."""
    try:
        text = path.read_text(encoding="utf-8")
        draft = _read_old(text) if path.suffix == ".toml" else _from_json(json.loads(text))
        if draft is None:
            return None
        mark = hashlib.sha256(text.encode()).hexdigest()
        is_dismissed = draft.dismissed or _mark_dismissed(path) == mark
        return KeptDraft(path, _changed(path), dataclasses.replace(draft, dismissed=is_dismissed), mark)
    except (OSError, ValueError, RecursionError):  # ValueError: no UTF-8, no JSON
        return None


def _mark_dismissed(path: Path) -> str:
    """Return the mark of the text that a draft's file had when it was dismissed; empty where it never was."""
    try:
        return path.with_suffix(_DISMISSED).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _from_json(whole: object) -> Draft | None:
    """Return the draft in what a file held, which somebody may have changed by hand; None where it is not one."""
    if not isinstance(whole, dict) or not isinstance(whole.get("sheet"), str):
        return None
    sheet = whole["sheet"] if "form" in whole else at_95_percent(whole["sheet"])
    question = whole.get("question")
    asked = question if _are_numbers([question]) else None
    plans = whole.get("plans")
    texts = tuple(plans) if isinstance(plans, list) and all(isinstance(plan, str) for plan in plans) else ()
    steps = whole.get("steps")
    of_cards = tuple(map(tuple, steps)) if isinstance(steps, list) and all(map(_are_card_steps, steps)) else ()
    is_safe, is_dismissed = (whole.get(name) is True for name in ("safe", "dismissed"))
    return Draft(sheet, _ticks(whole.get("ticks")), is_safe, asked, texts, of_cards, is_dismissed)


def _ticks(raw: object) -> Ticks | None:
    match raw:
        case {"plan": str(plan), "done": list(done), **more} if _are_numbers(done):
            saved = more.get("saved")
            return Ticks(plan, tuple(done), _used(more.get("used")), tuple(saved) if _are_numbers(saved) else ())
    return None


def _are_numbers(raw: object) -> TypeGuard[list[int]]:
    return isinstance(raw, list) and all(type(number) is int for number in raw)


def _are_card_steps(raw: object) -> TypeGuard[list[CardStep]]:
    return isinstance(raw, list) and all(type(step) in (int, str) for step in raw)


def _used(raw: object) -> tuple[tuple[str, str], ...]:
    """Return what was really used, if that is what stands there: a pair of texts for each step."""
    pairs = [tuple(pair) for pair in raw if isinstance(pair, list)] if isinstance(raw, list) else []
    sound = all(len(pair) == 2 and pair[0] in STEP_AMOUNTS and isinstance(pair[1], str) for pair in pairs)
    return tuple(pairs) if sound else ()


def _read_old(text: str) -> Draft:
    """Return a draft as versions before wrote it: the sheet as TOML, the rest in comments above it."""
    safe = text.startswith(_SAFE_BEFORE)
    sheet = text.removeprefix(_SAFE_BEFORE)
    ticked = _TICKS_BEFORE.match(sheet)
    if not ticked:
        return Draft(at_95_percent(sheet), None, safe)
    done = tuple(int(number) for number in ticked[2].split())
    return Draft(at_95_percent(sheet[ticked.end() :]), Ticks(ticked[1], done), safe)


def drop(path: Path) -> None:
    """Delete a draft; its file may be gone already. Raises OSError where it cannot be deleted."""
    path.unlink(missing_ok=True)
    path.with_suffix(_DISMISSED).unlink(missing_ok=True)


def _folder(device: str) -> Path:
    return data_folder() / "drafts" / device


def _oldest() -> datetime.datetime:
    return datetime.datetime.now() - datetime.timedelta(days=DAYS)


def _changed(path: Path) -> datetime.datetime:
    return datetime.datetime.fromtimestamp(path.stat().st_mtime)


def _clear_out(folder: Path) -> None:
    """Delete what is too old or too much, of this device and of devices that were not seen for longest."""
    newest = _newest_first(folder)
    kept = [path for _, path in newest if path.suffix in _FORMS][:KEPT]
    for when, path in newest:
        if (path.suffix in _FORMS and path not in kept) or when < _oldest():
            drop(path)
    for number, (when, path) in enumerate(_newest_first(folder.parent)):
        if number >= DEVICES or when < _oldest():
            shutil.rmtree(path, ignore_errors=True)


def _newest_first(folder: Path) -> list[tuple[datetime.datetime, Path]]:
    """Return what is in a folder with when it was changed; what another visit takes away meanwhile is passed over."""
    found = []
    for path in folder.iterdir():
        with suppress(FileNotFoundError):
            found.append((_changed(path), path))
    return sorted(found, reverse=True)
