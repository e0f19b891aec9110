"""Tries the readers of files with spoilt ones: `python -m tests.fuzz SECONDS [READER ...]` gives each reader that long.

Each case is read soundly or refused by an InputError, in at most MOST_SECONDS and MOST_BYTES. What does neither is
shortened, written to `fuzz_cases/` and told at the end; `test_fuzz.py` then reads it at every test run. The seed counts
up from 0 (`--seed`), so that a run can be repeated. A reader that hangs or brings Python down leaves its file behind.
"""

from __future__ import annotations

import argparse
import datetime
import faulthandler
import io
import json
import math
import random
import re
import struct
import sys
import tempfile
import time
import traceback
import warnings
import zlib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import trimesh
from PIL import Image

from advisor import advise
from advisor.__main__ import QUESTIONS, _function
from advisor.basis.fields import InputError
from advisor.examples import EXAMPLES, example_text
from advisor.measure import photograph
from advisor.measure.solid import UNITS, read_stl
from advisor.readings.ph_curve import read_points
from advisor.record.account import where_it_went
from advisor.record.carried import carry_forward
from advisor.record.drift import NotEnoughKnown
from advisor.record.entries import CONTENTS, Check, Withdrawn, standing
from advisor.record.entry_text import read_content
from advisor.record.exchange import carry_out, entries_as_csv, export, plan_import
from advisor.record.forecast import forecast
from advisor.record.logbook import Logbook
from advisor.record.overview import overview
from advisor.sheet import parse_sheet, read_sheet, write_sheet

try:
    import resource
except ImportError:  # Windows does not tell it
    resource = None

MOST_SECONDS = 5.0
MOST_BYTES = 1_000_000_000
HANGS_AFTER = 300.0  # s by the clock: a sheet of 4 s of work took a minute on a busy machine
CASES = Path(__file__).parent / "fuzz_cases"


class Unsound(AssertionError):
    """A reader took a file and made something of it that cannot be."""


# --- What each reader is asked to do --------------------------------------------------------------


def require(sound: bool, what: object) -> None:
    if not sound:
        raise Unsound(str(what)[:300])


def read_bench_sheet(content: bytes) -> None:
    """The sheet, its advice and the answer to one other question."""
    sheet = parse_sheet(content)
    require(parse_sheet(write_sheet(sheet).encode("utf-8", "surrogatepass")) == sheet, "it is written otherwise")
    json.dumps(advise(sheet).to_dict(), allow_nan=False)
    question = list(QUESTIONS)[sum(content) % len(QUESTIONS)]
    try:
        answer = _function(QUESTIONS[question][0])(sheet)
    except InputError:  # the question asks for a table that this sheet does not have
        return
    json.dumps(answer.to_dict(), allow_nan=False)
    require(all(section.lines for section in answer.sections()), "a section says nothing")


def read_curve(content: bytes) -> None:
    """The points in a text, and what a bath with them holds."""
    points = read_points(content.decode("utf-8-sig", errors="replace"))
    require(all(len(point) == 2 and all(map(math.isfinite, point)) for point in points), points)
    flask = {"sample": "10 mL", "diluted_to": "100 mL", "titrant": "sodium hydroxide", "strength": "0.5 mol/L"}
    reading = {"kind": "pH curve", **flask, "points": [list(point) for point in points]}
    json.dumps(advise(read_sheet({"bath": {"volume": "5 L"}, "reading": [reading]})).to_dict(), allow_nan=False)


def read_logbook(content: bytes) -> None:
    """An export of a logbook, imported to an empty one, and everything that is said of the bath then."""
    text = content.decode("utf-8", errors="replace")
    with tempfile.TemporaryDirectory() as folder:
        logbook = Logbook(Path(folder) / "logbook.sqlite3")
        plan = plan_import(logbook, text)
        plan.summary()
        require(carry_out(logbook, plan) == len(plan.entries), "another number of entries was written")
        again = plan_import(logbook, export(logbook))
        require(again.already_there == len(logbook.entries()) and not again.entries, "its own export is not known")
        entries_as_csv(logbook.entries())
        for bath in logbook.baths():
            say_all(bath, logbook)


def say_all(bath: str, logbook: Logbook) -> None:
    entries = standing(logbook.entries(bath))
    for entry in entries:
        entry.content.summary()
        overview(bath, entries, entry.when)
    carried = carry_forward(entries, datetime.datetime.now(datetime.UTC))
    if carried is not None:
        carried.summary()
    try:
        explained = where_it_went(entries)
    except NotEnoughKnown:
        return
    coming = forecast(explained, dict.fromkeys(("copper_sulfate", "sulfuric_acid", "chloride")))
    require(all(section.lines for section in (*explained.sections(), *coming.sections())), "a section says nothing")


def read_photograph(content: bytes) -> None:
    """The pixels of a photograph and the colours in it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow complains of odd files; it is the refusal that counts
        picture = photograph.decode(content)
    require(picture.dtype == np.uint8 and picture.ndim == 3 and picture.shape[2] == 3, picture.shape)
    require(0 < max(picture.shape[:2]) <= photograph.ENOUGH_PIXELS, picture.shape)
    boxes = [photograph.Box(x, 0.1, x + 0.2, 0.9) for x in (0.0, 0.25, 0.5, 0.75)]
    found = photograph.read_jars(picture, [(0, boxes[0]), (30, boxes[1]), (None, boxes[2])], boxes[3:])
    require(bool(np.isfinite([*found.standards[0], *found.standards[1], *found.samples[0]]).all()), found)


def read_solid(content: bytes) -> None:
    """The area of a part."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # of numbers that are then refused
        found = read_stl(content, list(UNITS)[len(content) % len(UNITS)])
    require(0 <= found.area < math.inf and all(0 <= side < math.inf for side in found.size), found)


# --- Whole files to begin with --------------------------------------------------------------------

EVERY_KIND = """
[bath]
name = "Shed tank"
date = 2026-03-14
volume = "5.6 ± 0.1 L"
temperature = "21 degC"
additives = true
condition = []
iron = "2 g/L"
[window]
copper_sulfate = ["150 g/L", "220 g/L"]
[stock.crystals]
purity = "98 %"
on_hand = "2 kg"
[stock.acid]
strength = "37 %"
[stock.water]
chloride = "20 mg/L"
[stock.chloride]
kind = "hydrochloric acid"
[correction]
aim = "least"
[gear]
have = ["hydrometer"]
[mix]
volume = "5 L"
[plate]
area = "120 cm^2"
thickness = "100 um"
[deposit]
looks = ["dull"]
[hull_cell]
current = "1 A"
burnt_to = "1.0 cm"
bright_to = "6 cm"
[keep]
disposal_price = 3
[dispose]
volume = "2 L"
[[reading]]
kind = "acid titration"
sample = "5 mL"
diluted_to = "100 mL"
titrant = "sodium bicarbonate"
strength = "0.5 mol/L"
used = "12.3 ± 0.1 mL"
end_point = "methyl orange"
[[reading]]
kind = "copper titration"
method = "EDTA"
sample = "1 mL"
strength = "0.1 mol/L"
used = "8 mL"
[[reading]]
kind = "hydrometer"
scale = "SG 20/20"
value = "1.165"
temperature = "21 degC"
[[reading]]
kind = "weighed density"
empty = "100.0 g"
with_water = "200.0 g"
with_bath = "214.0 g"
[[reading]]
kind = "plated-out copper"
sample = "100 mL"
before = "10.00 g"
after = "15.10 g"
[[reading]]
kind = "colour match"
lower = "100 g/L"
upper = "250 g/L"
position = 0.6
[[reading]]
kind = "photo colour"
standards = [[0, 230, 240, 240], [10, 170, 225, 238], [20, 125, 215, 236], [30, 92, 205, 234]]
samples = [[120, 214, 236]]
dilution = 10
[[reading]]
kind = "thinned conductivity"
value = "575 ppm"
factor = 0.5
sample = "10 mL"
predilution = ["10 mL", "250 mL"]
thinned_to = "200 mL"
water = "4 uS/cm"
standard = ["1413 uS/cm", "700 ppm"]
[[reading]]
kind = "thinned pH"
value = 2.71
sample = "1 mL"
thinned_to = "500 mL"
buffer = [4.0, 4.04]
second_buffer = [7.0, 7.02]
[[reading]]
kind = "cemented copper"
sample = "10 mL"
diluted_to = "250 mL"
before = "12.00 g"
after = "12.55 g"
[[reading]]
kind = "laboratory report"
copper = "53 g/L"
sulfuric_acid = "7.4 oz/gal"
chloride = "65 ppm"
iron = "800 mg/L"
sodium = "1.1 g/L"
[[reading]]
kind = "chloride titration"
sample = "50 mL"
strength = "0.01 mol/L"
used = "7 mL"
end_point = "turbidity"
[[reading]]
kind = "chloride strip"
value = "60 mg/L"
[[reading]]
kind = "chloride ladder"
lower = "40 mg/L"
upper = "80 mg/L"
[[reading]]
kind = "make-up"
crystals = "1100 g"
acid = "200 mL"
final_volume = "5.6 L"
[[reading]]
kind = "previous check"
copper_sulfate = "200 ± 4 g/L"
sulfuric_acid = "55 g/L"
[[reading]]
kind = "pH curve"
sample = "10 mL"
diluted_to = "100 mL"
titrant = "sodium hydroxide"
strength = "0.5 mol/L"
points = [[0, 1.2], [5, 1.31], [10, 1.47], [12, 1.55], [14, 1.65], [16, 1.79], [18, 1.98], [19, 2.12], [20, 2.36], [20.5, 2.58], [20.8, 2.83]]
"""
CURVES = (
    b"mL;pH\n0;1,20\n5;1,31\n10;1,47\n12;1,55\n14;1,65\n16;1,79\n18;1,98\n19;2,12\n20;2,36\n20,5;2,58\n20,8;2,83\n",
    b"# made up\nvolume [mL],pH,temp\n0,1.2,20\n5,1.31,20\n10,1.47,20\n14,1.65,20\n16,1.79,20\n18,1.98,20\n20,2.36,20\n21,3.4,20\n",
    b'"0"\t"1.2"\r\n"10"\t"1.47"\r\n"18"\t"1.98"\r\n"20"\t"2.36"\r\n"20.8"\t"2.83"\r\n',
    b"0 1,2\n10 1,47\n18 1,98\n20 2,36\n20,8 2,83\n",
)


def sheets() -> list[bytes]:
    return [EVERY_KIND.encode(), *(example_text(name).encode() for name in EXAMPLES)]


def exports() -> list[bytes]:
    """Two checks, ten days of work between them, a correction and an entry that was taken back."""
    texts = {
        "level": 'volume = "5.4 L"', "water": 'volume = "0.3 L"', "crystals": 'mass = "120 g"',
        "plating run": 'current = "2 A"\ntime = "5 h"', "acid": 'volume = "20 mL"\nstrength = "37 %"',
        "take out": 'volume = "100 mL"\nwhy = "spilt"', "chloride": 'volume = "2 mL"', "remake": "",
        "additive dose": 'volume = "3 mL"', "carbon treatment": "", "anode change": "",
    }  # fmt: skip
    whole = []
    for kinds in (list(texts), ["plating run", "water", "crystals"]):
        entries: list[dict] = []

        def add(kind: str, day: int, content: object, entries: list[dict] = entries) -> None:
            toml, advice = (content.sheet, content.advice) if isinstance(content, Check) else (content, None)
            entries.append(
                {"id": len(entries) + 1, "bath": "Shed tank", "kind": kind, "when": f"2026-03-{day:02d}T12:00:00+00:00",
                 "written": f"2026-03-{day:02d}T12:{len(entries):02d}:00+00:00", "program": "0.1.0", "corrects": None,
                 "content": toml, "advice": advice}
            )  # fmt: skip

        add("check", 1, a_check("12.3"))
        for day, kind in enumerate(kinds, 2):
            assert read_content(kind, texts[kind], None, "seed").kind in CONTENTS
            add(kind, day, texts[kind])
        add("check", 28, a_check("12.9"))
        add("level", 28, 'volume = "5.3 L"')
        entries[-1]["corrects"] = 2
        add(Withdrawn.kind, 28, "")
        entries[-1]["corrects"] = 3
        export = {"format": "copper bath logbook", "version": 1, "program": "0.1.0", "baths": ["Shed tank"]}
        whole.append(json.dumps(export | {"entries": entries}, indent=1).encode())
    return whole


def a_check(used: str) -> Check:
    sheet = parse_sheet(example_text("dull").replace("12.3", used).encode())
    return Check(write_sheet(sheet), json.loads(json.dumps(advise(sheet).to_dict())))


def pictures() -> list[bytes]:
    """Every form of PNG and JPEG that people may have, and some that they may not."""
    rng = np.random.default_rng(0)
    pixels = rng.integers(0, 256, (24, 40, 3), dtype=np.uint8)
    pixels[4:20, 4:36] = (120, 200, 235)
    plain = Image.fromarray(pixels)
    clear = plain.copy()
    clear.putalpha(128)
    turned = Image.Exif()
    turned[0x0112] = 6
    kinds = [
        (plain, "PNG", {}), (clear, "PNG", {}), (plain.convert("P"), "PNG", {"transparency": 3}),
        (plain.convert("L"), "PNG", {}), (plain.convert("LA"), "PNG", {}), (plain.convert("1"), "PNG", {}),
        (Image.fromarray(pixels[:, :, 0].astype(np.uint16) * 257), "PNG", {}), (plain, "PNG", {"exif": turned}),
        (plain, "PNG", {"save_all": True, "append_images": [clear.convert("RGB"), plain.rotate(180)], "duration": 50}),
        (plain, "JPEG", {}), (plain, "JPEG", {"progressive": True, "quality": 95}), (plain.convert("CMYK"), "JPEG", {}),
        (plain.convert("L"), "JPEG", {}), (plain, "JPEG", {"exif": turned, "icc_profile": bytes(200)}),
        (plain, "MPO", {"save_all": True, "append_images": [plain.rotate(180)]}),
    ]  # fmt: skip
    files = []
    for image, kind, how in kinds:
        file = io.BytesIO()
        image.save(file, kind, **how)
        files.append(file.getvalue())
    deep = b"".join(b"\0" + rng.bytes(40 * 6) for _ in range(24))  # 16 bits a channel, which Pillow does not write
    return [*files, png(40, 24, 16, 2, deep), png(40, 24, 16, 6, deep + deep), png(7000, 7000, 8, 2, b"")]


def png(width: int, height: int, bits: int, kind: int, rows: bytes) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(name, data) for name, data in parts)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def solids() -> list[bytes]:
    box = trimesh.creation.box((30.0, 20.0, 10.0))
    hollow = trimesh.creation.box((10.0, 10.0, 5.0))
    hollow.invert()
    crossed = trimesh.creation.box((5.0, 40.0, 5.0))
    meshes = [box, trimesh.util.concatenate([box, hollow]), trimesh.util.concatenate([box, crossed])]
    files = [mesh.export(file_type=kind) for mesh in meshes for kind in ("stl", "stl_ascii")]
    return [file.encode() if isinstance(file, str) else file for file in files]


# --- Spoiling a file ------------------------------------------------------------------------------

ODD_NUMBERS = ["0", "-1", "1", "1e308", "-1e308", "1e-300", "nan", "inf", "0x10", "9" * 400, "1,5", "1,234", "1e5", "0.0001", "²", "٣"]  # fmt: skip
ODD_WORDS = ["", '""', "[]", "{}", "null", "true", "[[reading]]", "[bath]", "±", " ± 5 %", "%", " L", " g/L", "\0", "\u2028", "\ufeff", "'''", "facet normal", "endfacet", "vertex", "endloop", "solid"]  # fmt: skip
ODD_NODES = [None, True, 0, -1, 1e308, 5e-324, 10**400, "", "x", "\ud800", "\0", "nan", [], {}, [[]], "2026-03-14T12:00:00+00:00", "0001-01-01T00:00:00+00:00", "8999-12-31T23:59:59-23:59"]  # fmt: skip
ODD_INTEGERS = [0, 1, 2, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0x7FC00000, 0x7F7FFFFF, 0xFF800000, 0x4B000000]  # fmt: skip
_NUMBER = re.compile(rb"[-+]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]+)?")


def spoil(content: bytes, other: bytes, suffix: str, rng: random.Random) -> bytes:
    """Return a file with one to six things in it changed."""
    for _ in range(rng.choice((1, 1, 2, 3, 6))):
        content = rng.choice(WAYS[suffix])(content, other, rng)
    return with_sums(content) if suffix == ".png" and rng.random() < 0.7 else content


def flip(content: bytes, other: bytes, rng: random.Random) -> bytes:
    changed = bytearray(content)
    for _ in range(rng.choice((1, 1, 4, 16)) if changed else 0):
        changed[rng.randrange(len(changed))] ^= 1 << rng.randrange(8)
    return bytes(changed)


def cut_short(content: bytes, other: bytes, rng: random.Random) -> bytes:
    return content[: rng.randrange(len(content) + 1)]


def leave_out(content: bytes, other: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    return content[:at] + content[at + rng.choice((1, 2, 4, 50, 500)) :]


def put_in(content: bytes, other: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    start = rng.randrange(len(other) + 1)
    piece = rng.choice((rng.randbytes(rng.randrange(1, 9)), other[start : start + rng.choice((4, 50, 500))]))
    return content[:at] + piece * rng.choice((1, 1, 1, 20)) + content[at:]


def integer(content: bytes, other: bytes, rng: random.Random) -> bytes:
    size, order = rng.choice((1, 2, 4)), rng.choice(("big", "little"))
    at = rng.randrange(max(len(content) - size, 0) + 1)
    value = rng.choice(ODD_INTEGERS) & (256**size - 1)
    return content[:at] + value.to_bytes(size, order) + content[at + size :]


def number(content: bytes, other: bytes, rng: random.Random) -> bytes:
    if not (places := list(_NUMBER.finditer(content))):
        return content
    place = rng.choice(places)
    return content[: place.start()] + rng.choice(ODD_NUMBERS).encode() + content[place.end() :]


def word(content: bytes, other: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    return content[:at] + rng.choice(ODD_WORDS).encode() + content[at:]


def line(content: bytes, other: bytes, rng: random.Random) -> bytes:
    lines, strange = content.splitlines(keepends=True), other.splitlines(keepends=True)
    if not lines or not strange:
        return content
    at = rng.randrange(len(lines))
    lines[at : at + rng.choice((0, 1))] = rng.choice(([], [rng.choice(strange)], [lines[at]] * 3))
    return b"".join(lines)


def node(content: bytes, other: bytes, rng: random.Random) -> bytes:
    """Change one value somewhere in JSON that is still sound."""
    try:
        inside = whole = json.loads(content)
    except (ValueError, RecursionError):
        return content
    while isinstance(inside, dict | list) and inside:
        key = rng.choice(list(inside) if isinstance(inside, dict) else range(len(inside)))
        below = inside[key]
        if not isinstance(below, dict | list) or not below or rng.random() < 0.1:
            if isinstance(below, str) and rng.random() < 0.6:
                way = rng.choice((number, word, line, flip))
                inside[key] = way(below.encode("utf-8", "replace"), other, rng).decode("utf-8", "replace")
            elif isinstance(inside, list) and rng.random() < 0.3:
                inside.insert(rng.randrange(len(inside) + 1), json.loads(json.dumps(below)))
            else:
                inside[key] = rng.choice(ODD_NODES)
            break
        inside = below
    return json.dumps(whole).encode()


BYTES = (flip, cut_short, leave_out, put_in, integer, integer)
TEXT = (number, number, number, word, line, line, flip, leave_out, put_in)
WAYS = {
    ".toml": TEXT,
    ".csv": (*TEXT, cut_short),
    ".json": (node, node, node, node, node, node, flip, word, cut_short),
    ".png": BYTES,
    ".stl": (*BYTES, number, word, line),
}


def with_sums(content: bytes) -> bytes:
    """Make the check sums of a PNG file right again, so that what was changed gets past them."""
    found, at = bytearray(content), 8
    while content[:4] == b"\x89PNG" and at + 12 <= len(found):
        end = at + 8 + int.from_bytes(found[at : at + 4], "big")
        if end + 4 > len(found):
            break
        found[end : end + 4] = struct.pack(">I", zlib.crc32(found[at + 4 : end]))
        at = end + 4
    return bytes(found)


# --- Running --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Reader:
    """What reads a kind of file, and sound files to begin with."""

    suffix: str
    read: Callable[[bytes], None]
    seeds: Callable[[], list[bytes]]


READERS = {
    "sheet": Reader(".toml", read_bench_sheet, sheets),
    "curve": Reader(".csv", read_curve, lambda: list(CURVES)),
    "logbook": Reader(".json", read_logbook, exports),
    "photograph": Reader(".png", read_photograph, pictures),
    "solid": Reader(".stl", read_solid, solids),
}


@dataclass
class Outcome:
    """How many cases were read and refused, the slowest [s], and a file for each kind of fault."""

    counts: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    faults: dict[str, bytes] = field(default_factory=dict)


def most_memory() -> int:
    """Return the most bytes that this program ever held; 0 where the system does not tell."""
    if resource is None:
        return 0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def judge(reader: Reader, content: bytes) -> str:
    """Read a file and say how it went: "read", "refused", or what is wrong."""
    held, begun = most_memory(), time.process_time()
    try:
        reader.read(content)
        found = "read"
    except InputError:
        found = "refused"
    except Exception as error:  # any other is what is looked for
        where = [frame for frame in traceback.extract_tb(error.__traceback__) if "advisor" in frame.filename][-1:]
        found = f"{type(error).__name__} at {where[0].filename}:{where[0].lineno}" if where else repr(error)
    if time.process_time() - begun > MOST_SECONDS:
        return f"over {MOST_SECONDS:g} s"
    if most_memory() > held + MOST_BYTES:
        return f"over {MOST_BYTES / 1e9:g} GB"
    return found


def fuzz(reader: Reader, seed: int, seconds: float = math.inf, cases: float = math.inf) -> Outcome:
    """Try a reader for this long, or with this many files; the same seed gives the same files."""
    rng, outcome, seeds = random.Random(seed), Outcome(), reader.seeds()
    end = time.monotonic() + seconds
    while time.monotonic() < end and sum(outcome.counts.values()) < cases:
        content = spoil(rng.choice(seeds), rng.choice(seeds), reader.suffix, rng)
        last = Path(tempfile.gettempdir()) / f"fuzz_last_case_{seed}{reader.suffix}"
        last.write_bytes(content)
        faulthandler.dump_traceback_later(HANGS_AFTER, exit=True)
        begun = time.process_time()
        found = judge(reader, content)
        outcome.slowest = max(outcome.slowest, time.process_time() - begun)
        faulthandler.cancel_dump_traceback_later()
        last.unlink()
        good = found in ("read", "refused")
        outcome.counts[found if good else "wrong"] += 1
        if not good:
            outcome.faults.setdefault(found, content)
    return outcome


def shortened(reader: Reader, content: bytes, fault: str) -> bytes:
    """Leave out of a file what the fault does not need, for 20 s at most."""
    end, size = time.monotonic() + 20.0, len(content) // 2
    while size and time.monotonic() < end:
        at = 0
        while at < len(content) and time.monotonic() < end:
            shorter = content[:at] + content[at + size :]
            if judge(reader, shorter) == fault:
                content = shorter
            else:
                at += size
        size //= 2
    return content


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("seconds", type=float, help="for each reader")
    parser.add_argument("readers", nargs="*", help=f"of {', '.join(READERS)}; all of them if none is named")
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args(words)
    faulty = False
    for name in options.readers or READERS:
        reader = READERS[name]
        outcome = fuzz(reader, options.seed, options.seconds)
        counts = ", ".join(f"{count} {what}" for what, count in sorted(outcome.counts.items()))
        print(f"{name}: {counts}; slowest {outcome.slowest:.2f} s, memory {most_memory() / 1e6:.0f} MB", flush=True)
        for fault, content in outcome.faults.items():
            faulty = True
            case = shortened(reader, content, fault)
            path = CASES / f"{name}_{zlib.crc32(case):08x}{reader.suffix}"
            path.write_bytes(case)
            print(f"  {fault}: {path.name}", flush=True)
    return int(faulty)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
