"""Files of a person's: none is written over unasked, a bench sheet never; a choice stays beside the others of a device."""

import os
import stat

import pytest

from advisor.basis.fields import InputError
from advisor.record import preferences
from advisor.record.output import write_answer

MARK = "<!-- a page of ours -->"
SHEET = '[bath]\nvolume = "5 L"\n'


@pytest.mark.parametrize(
    ("name", "there", "overwrite", "mark", "refused"),
    [
        ("new.html", None, False, MARK, ""),
        ("page.html", f"<html>{MARK}", False, MARK, ""),
        ("page.html", "x" * 480 + MARK, False, MARK, "no page of this program"),  # not at its head: somebody quotes us
        ("page.html", "<html>", False, MARK, "no page of this program; give another name, or add --overwrite"),
        ("page.html", "<html>", True, MARK, ""),
        ("due.ics", "BEGIN", False, None, "is there already; give another name, or add --overwrite"),
        ("due.ics", "BEGIN", True, None, ""),
        ("sheet", SHEET, True, None, "a bench sheet, which no answer replaces"),
        ("sheet", "[[reading]]\nkind = 'hydrometer'\n", True, MARK, "a bench sheet"),
        ("sheet", "[stock.acid]\n", True, MARK, "a bench sheet"),
        ("sheet.toml", "[bath\n", True, None, "a bench sheet"),  # one that was spoilt is still somebody's
        ("other", 'title = "no sheet"\n', True, None, ""),
        ("no/such/folder", None, False, None, r"cannot be written \(No such file or directory\)"),
    ],
)
def test_nothing_is_written_over_that_is_not_ours_or_given_up(tmp_path, name, there, overwrite, mark, refused):
    file = tmp_path / name
    if there is not None:
        file.write_text(there, "utf-8")
    if refused:
        with pytest.raises(InputError, match=refused) as caught:
            write_answer(str(file), "answer", overwrite, "--html", mark)
        assert caught.value.given.startswith(f"{file} ")
        assert ("cannot be written" in caught.value.given) == (not file.exists())
        assert (file.read_text("utf-8") if file.exists() else None) == there
    else:
        assert write_answer(str(file), "answer", overwrite, "--html", mark) == f"Written to {file}\n"
        assert file.read_text("utf-8") == "answer"


def test_choices_of_a_device_stand_beside_each_other_and_are_private():
    assert preferences.read("phone") == {}
    preferences.write("phone", "units", "US_FIRST")
    preferences.write("phone", "theme", "dark")
    preferences.write("desk", "units", "METRIC")
    preferences.write("phone", "units", "METRIC")
    assert preferences.read("phone") == {"units": "METRIC", "theme": "dark"}
    file = preferences._path("phone")
    assert os.name == "nt" or stat.S_IMODE(file.stat().st_mode) & 0o077 == 0
    for spoilt, kept in (('{"units": 3, "theme": "dark"}', {"theme": "dark"}), ('["units"]', {}), ("[" * 100_000, {})):
        file.write_text(spoilt, "utf-8")
        assert preferences.read("phone") == kept
