"""The wheel carries all that the app needs, and finds it there without the checkout."""

import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from advisor import sheet
from advisor.basis import __version__
from advisor.measure import photograph, solid
from advisor.readings import ph_curve
from advisor.record import exchange

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[1]


def wheel_of(source: Path, folder: Path) -> Path:
    """Build a wheel of a checkout or of a source archive, without fetching anything, and return it unpacked."""
    built, unpacked = folder / "built", folder / "unpacked"
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*command, "--wheel-dir", str(built), str(source)], check=True)
    (wheel,) = built.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(unpacked)
    return unpacked


@pytest.fixture(scope="module")
def unpacked_wheel(tmp_path_factory) -> Path:
    return wheel_of(ROOT, tmp_path_factory.mktemp("wheel"))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_source_archive_makes_the_same_wheel(unpacked_wheel, tmp_path):
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", str(tmp_path)], cwd=ROOT, check=True
    )
    (archive,) = tmp_path.glob("*.tar.gz")
    assert archive.name == f"copper_bath_advisor-{__version__}.tar.gz"
    assert contents(wheel_of(archive, tmp_path)) == contents(unpacked_wheel)


def test_the_wheel_carries_its_papers(unpacked_wheel):
    for name in ("LICENSE", "CHANGES.md", "words/on_a_network.md"):
        assert (unpacked_wheel / "advisor" / name).read_bytes() == (ROOT / "advisor" / name).read_bytes()
    assert f"## {__version__}" in (ROOT / "advisor/CHANGES.md").read_text("utf-8")


@pytest.mark.parametrize(("source", "target"), [("pages", "_pages"), ("reference_tables", "_reference_tables")])
def test_wheel_carries_the_whole_folder(unpacked_wheel, source, target):
    def files(folder: Path) -> dict[str, bytes]:
        found = (path for path in folder.rglob("*") if path.is_file() and path.suffix != ".pyc")
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}

    assert files(ROOT / source)
    assert files(unpacked_wheel / "advisor" / target) == files(ROOT / source)


def test_wheel_carries_settings_and_types(unpacked_wheel):
    settings = tomllib.loads((unpacked_wheel / "advisor/.streamlit/config.toml").read_text("utf-8"))
    assert settings["browser"]["gatherUsageStats"] is False
    assert settings["server"]["address"] == "localhost"
    assert (unpacked_wheel / "advisor/py.typed").is_file()


def test_wheel_carries_templates_and_drawings(unpacked_wheel):
    for pattern in ("*.j2", "*.svg", "*.css"):
        here = {path.relative_to(ROOT / "advisor").as_posix() for path in (ROOT / "advisor").rglob(pattern)}
        there = {
            path.relative_to(unpacked_wheel / "advisor").as_posix()
            for path in (unpacked_wheel / "advisor").rglob(pattern)
        }
        assert here
        assert there == here


def test_the_server_takes_the_largest_file_of_any_page_and_none_larger():
    settings = tomllib.loads((ROOT / "advisor/.streamlit/config.toml").read_text("utf-8"))
    limits = (
        sheet.LARGEST_FILE,
        ph_curve.LARGEST_TEXT,
        photograph.LARGEST_FILE,
        solid.LARGEST_FILE,
        exchange.LARGEST_IMPORT,
    )
    assert settings["server"]["maxUploadSize"] * 1_000_000 == max(limits)
    assert all(limit % 1_000_000 == 0 for limit in limits)  # Streamlit counts in whole MB


def test_every_uploader_says_its_own_limit():
    uploaders = [
        text
        for file in (ROOT / "advisor/ui").rglob("*.py")
        for text in file.read_text("utf-8").split("file_uploader(")[1:]
    ]
    assert len(uploaders) == 5
    assert all("max_upload_size=" in text[:300] for text in uploaders)


def test_a_page_is_printed_inside_the_wheel(unpacked_wheel):
    program = (
        "from advisor.words.report import page; from advisor.ui.drawings import drawing; "
        "print(page('T', ()), drawing('dull').title)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=unpacked_wheel, check=True, capture_output=True, encoding="utf-8"
    )
    assert "<h1>T</h1>" in run.stdout
    assert run.stdout.rstrip().endswith("Dull")


def test_places_are_found_inside_the_wheel(unpacked_wheel):
    program = "from advisor.basis.places import PAGES, REFERENCE_TABLES; print(PAGES, REFERENCE_TABLES, sep='\\n')"
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=unpacked_wheel, check=True, capture_output=True, text=True
    )
    found = [Path(line).resolve() for line in run.stdout.splitlines()]
    assert found == [(unpacked_wheel / "advisor" / name).resolve() for name in ("_pages", "_reference_tables")]
