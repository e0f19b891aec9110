"""The command line under attack: hostile files, closed and full streams, no home, an impatient hand. Never a traceback."""

import os
import pwd
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.__main__ import main
from advisor.basis import files
from advisor.basis.places import data_folder
from advisor.examples import example_text
from advisor.record import exchange

ROOT = Path(__file__).parents[1]
ADVISOR = [sys.executable, "-m", "advisor"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}

pytestmark = [pytest.mark.slow, pytest.mark.skipif(sys.platform == "win32", reason="pipes, links and signals of POSIX")]


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "bath.toml"
    path.write_text(example_text("dull"), encoding="utf-8")
    return path


def shell(command: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    """Run a line of shell in which "advisor" stands for the command line."""
    line = command.replace("advisor", " ".join(ADVISOR), 1)
    return subprocess.run(["/bin/sh", "-c", line], cwd=folder, env=ENVIRONMENT, capture_output=True, timeout=60)


@pytest.mark.parametrize(
    ("command", "code", "said"),
    [
        ("advisor check bath.toml >&-", 1, b"standard output is closed"),
        ("advisor check - <&-", 2, b"standard input is closed"),
        ("advisor check missing.toml 2>&-", 2, b""),
        ("advisor check $(printf 'none\\377.toml')", 2, b"none\\udcff.toml: it cannot be read"),
        ("advisor log Tank note $(printf 'x\\377')", 2, b"only characters that can be printed"),
        ("advisor --example nope", 2, b'you gave "nope"; it must be one of'),
    ],
)
def test_streams_and_names(command, code, said, sheet):
    done = shell(command, sheet.parent)
    assert done.returncode == code
    assert said in done.stderr
    assert b"Traceback" not in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full")
def test_a_full_disk_behind_standard_output(sheet):
    done = shell("advisor check bath.toml >/dev/full", sheet.parent)
    assert done.returncode == 1
    assert done.stderr == b"advisor: the answer could not be written (No space left on device)\n"


def test_a_number_of_thousands_of_digits(tmp_path, capsys):
    path = tmp_path / "big.toml"
    path.write_text(f"[bath]\nvolume = {'9' * 5000}\n")
    assert main(["check", str(path)]) == 2
    assert "is not sound TOML" in capsys.readouterr().err


def test_links_in_a_circle(tmp_path, capsys):
    (tmp_path / "loop.toml").symlink_to("loop.toml")
    (tmp_path / "curve.csv").symlink_to("curve.csv")
    sheet = tmp_path / "bath.toml"
    sheet.write_text('[bath]\nvolume = "5 L"\n[[reading]]\nkind = "pH curve"\nfile = "curve.csv"\n')
    for path in ("loop.toml", "bath.toml"):
        assert main(["check", str(tmp_path / path)]) == 2
    said = capsys.readouterr().err
    assert "loop.toml: it cannot be read" in said
    assert "reading 1: file" in said


def test_a_silent_pipe_times_out_and_a_pipe_that_speaks_is_read(tmp_path, capsys, monkeypatch):
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    monkeypatch.setattr(files, "PIPE_WAIT", 0.2)
    assert main(["check", str(pipe)]) == 2
    assert "nothing came through the pipe" in capsys.readouterr().err
    monkeypatch.undo()
    with subprocess.Popen(["/bin/sh", "-c", f"cat > {pipe}"], stdin=subprocess.PIPE) as writer:
        writer.stdin.write(example_text("dull").encode())
        writer.stdin.close()
        assert main(["check", str(pipe)]) == 0
    assert "What the bath holds" in capsys.readouterr().out


def test_no_pipe_holds_an_import_or_a_page_up_and_no_device_without_end_fills_the_memory(
    sheet, tmp_path, capsys, monkeypatch
):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    monkeypatch.setattr(files, "PIPE_WAIT", 0.2)
    for words in (["import", str(pipe)], ["check", str(sheet), "--html", str(pipe)]):
        assert main(words) == 2
        assert "the pipe for" in capsys.readouterr().err
    monkeypatch.setattr(exchange, "LARGEST_IMPORT", 1000)
    assert main(["import", "/dev/zero"]) == 2
    with subprocess.Popen(["/bin/cat", pipe], stdout=subprocess.PIPE) as reader:
        monkeypatch.undo()
        assert main(["check", str(sheet), "--html", str(pipe)]) == 0
        assert b"</html>" in reader.stdout.read()


@pytest.mark.parametrize("part", ["a", '"!"', '"a b" ', r'"\""', "'é é'"])
def test_a_key_without_end_is_refused_at_once(tmp_path, capsys, part):
    path = tmp_path / "bath.toml"
    path.write_text(f"{part}." * 50_000 + "b = 1", encoding="utf-8")
    began = time.process_time()
    assert main(["check", str(path)]) == 2
    assert time.process_time() - began < 5
    assert "more than 100 parts" in capsys.readouterr().err


def test_our_own_modules_are_imported_where_control_c_is_awaited():
    program = "import sys, advisor.__main__; print(*(name for name in sys.modules if name.startswith('advisor')))"
    done = subprocess.run([sys.executable, "-c", program], env=ENVIRONMENT, capture_output=True, check=True)
    assert {*done.stdout.decode().split()} == {"advisor", "advisor.__main__", "advisor.basis", "advisor.basis.places"}


def test_control_c_ends_quietly_with_130(tmp_path):
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    with subprocess.Popen(
        [*ADVISOR, "check", str(pipe)],
        env=ENVIRONMENT,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # a shell's background ignores it
    ) as waiting:
        descriptor = _open_when_read(pipe)
        waiting.send_signal(signal.SIGINT)
        assert waiting.wait(20) == 130
        assert waiting.stderr.read() == b""
        os.close(descriptor)


def _open_when_read(pipe: Path) -> int:
    """Open a pipe for writing as soon as somebody reads it."""
    for _ in range(400):
        try:
            return os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
        except OSError:
            time.sleep(0.05)
    raise AssertionError("nobody reads the pipe")


def test_a_user_without_a_home_keeps_the_record_where_the_program_was_started(tmp_path, monkeypatch):
    def unknown(_number):
        raise KeyError

    for name in ("HOME", "XDG_DATA_HOME", "ADVISOR_DATA_FOLDER"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pwd, "getpwuid", unknown)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.chdir(tmp_path)
    assert data_folder() == tmp_path / "copper-bath-advisor"


# --- Writing a page -------------------------------------------------------------------------------


def test_a_page_replaces_a_page_but_no_sheet_and_no_file_of_another_kind(sheet, capsys):
    page, notes, other = (sheet.with_name(name) for name in ("advice.html", "notes.txt", "sheet.txt"))
    notes.write_text("keep me")
    other.write_text(sheet.read_text(encoding="utf-8"), encoding="utf-8")
    before = sheet.read_bytes()
    for _ in range(2):
        assert main(["check", str(sheet), "--html", str(page)]) == 0
    for name in (sheet, other):
        assert main(["check", str(sheet), "--html", str(name), "--overwrite"]) == 2
        assert "no answer replaces" in capsys.readouterr().err
        assert name.read_bytes() == before
    assert main(["check", str(sheet), "--html", str(notes)]) == 2
    assert "--overwrite" in capsys.readouterr().err
    assert notes.read_text() == "keep me"
    assert main(["check", str(sheet), "--html", str(notes), "--overwrite"]) == 0
    assert "Bath check" in notes.read_text(encoding="utf-8")


def test_a_page_half_written_leaves_the_old_one(sheet, monkeypatch, capsys):
    page = sheet.with_name("advice.html")
    assert main(["check", str(sheet), "--html", str(page)]) == 0
    before = page.read_bytes()

    def full(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["check", str(sheet), "--html", str(page)]) == 2
    assert "No space left on device" in capsys.readouterr().err
    assert page.read_bytes() == before
    assert sorted(path.name for path in sheet.parent.iterdir()) == ["advice.html", "bath.toml"]


def test_a_page_goes_through_a_link_and_to_standard_output(sheet):
    target = sheet.with_name("real.html")
    target.touch()
    link = sheet.with_name("advice.html")
    link.symlink_to(target)
    assert main(["check", str(sheet), "--html", str(link), "--overwrite"]) == 0
    assert link.is_symlink()
    assert b"Bath check" in target.read_bytes()
    done = shell("advisor check bath.toml --html /dev/stdout", sheet.parent)
    assert b"<!doctype html>" in done.stdout
