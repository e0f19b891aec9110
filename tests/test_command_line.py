"""The command line as a person uses it: what it prints, what it refuses, how it exits; some of it in processes of its own."""

import io
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.__main__ import QUESTIONS, main
from advisor.examples import EXAMPLES, example_text

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[1]


def run(*arguments: str, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    return subprocess.run([sys.executable, "-m", "advisor", *arguments], input=stdin, capture_output=True, env=environment, timeout=60)  # fmt: skip


@pytest.fixture
def dull(tmp_path: Path) -> Path:
    path = tmp_path / "dull bath.toml"
    path.write_text(example_text("dull"), encoding="utf-8")
    return path


def test_check_says_the_result_first_then_what_to_do_then_cautions(dull: Path) -> None:
    done = run("check", str(dull))
    text = done.stdout.decode("utf-8")  # UTF-8 even where the terminal says otherwise
    assert done.returncode == 0
    assert done.stderr == b""
    assert max(map(len, text.splitlines())) <= 80
    places = [text.index(title) for title in ("What the bath holds", "What to do", "What you should know", "Take care")]
    assert places == sorted(places)
    assert "±" in text
    assert "goggles" in text
    assert "drain" in text


def test_json_is_the_contract(dull: Path) -> None:
    done = run("check", str(dull), "--json")
    result = json.loads(done.stdout, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
    assert list(result) == [
        "estimate", "verdict", "correction", "next_reading", "slips", "foreign_salts_g_L", "ways", "taken_for_granted", "warnings", "cautions",
    ]  # fmt: skip
    estimate = result["estimate"]
    assert set(estimate) == {
        "copper_sulfate_g_L", "sulfuric_acid_g_L", "chloride_mg_L", "volume_L", "correlation", "determined", "agreement",
    }  # fmt: skip
    assert set(estimate["copper_sulfate_g_L"]) == {"value", "standard_uncertainty"}
    assert estimate["chloride_mg_L"] is None
    assert estimate["determined"] == ["copper_sulfate", "sulfuric_acid"]
    assert set(estimate["agreement"]) == {"chi_squared", "degrees_of_freedom", "p_value", "odd_one_out"}
    assert estimate["agreement"]["p_value"] is None
    verdict = result["verdict"]["sulfuric_acid"]
    assert verdict["state"] == "low"
    assert verdict["limits"] == [30.0, 75.0]
    assert verdict["probability_low"] + verdict["probability_in"] + verdict["probability_high"] == pytest.approx(1)
    assert isinstance(result["verdict"]["crystallises_below_degC"], float)
    correction = result["correction"]
    assert set(correction) == {
        "state", "steps", "after", "probability_in", "cost", "waste_L", "blocked_by", "keep_above_degC", "binds",
    }  # fmt: skip
    assert correction["state"] == "possible"
    assert [(step["do"], step["what"]) for step in correction["steps"]] == [
        ("add", "copper sulfate crystals"),
        ("add", "sulfuric acid"),
    ]
    steps = correction["steps"]
    assert set(steps[1]) == {"do", "what", "mass_g", "volume_mL", "strength_mass_fraction"}
    assert set(steps[0]) == {"do", "what", "mass_g", "purity_mass_fraction"}
    assert correction["cost"] == pytest.approx(steps[0]["mass_g"] * 0.009 + steps[1]["volume_mL"] * 0.004)
    assert set(correction["after"]) == {"volume_L", "copper_sulfate_g_L", "sulfuric_acid_g_L", "chloride_mg_L"}
    assert correction["probability_in"] >= 0.95


def test_html_is_one_page_with_everything_typed_escaped(tmp_path: Path) -> None:
    sheet, page = tmp_path / "s.toml", tmp_path / "out.html"
    sheet.write_text(
        example_text("dull").replace("Leafcast, big tank (example)", "<script>alert(1)</script>&"), encoding="utf-8"
    )
    assert main(["check", str(sheet), "--html", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    assert "<script>" not in text
    assert "&lt;script&gt;" in text
    assert "Take care" in text
    assert "2026-03-14" in text
    # It fetches nothing: the one address is the name of SVG's vocabulary, inside the map's picture.
    assert "http" not in text.replace("http%3A//www.w3.org/2000/svg", "")


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("command", QUESTIONS)
def test_every_question_answers_or_refuses_on_every_example(command: str, name: str, tmp_path: Path, capsys) -> None:
    path = tmp_path / "sheet.toml"
    path.write_text(example_text(name), encoding="utf-8")
    code = main([command, str(path), "--json"])
    out, err = capsys.readouterr()
    assert (code, bool(out), bool(err)) in [(0, True, False), (2, False, True)]
    if code == 0:
        assert all_finite(json.loads(out))


def all_finite(value: object) -> bool:
    if isinstance(value, dict):
        return all(all_finite(item) for item in value.values())
    if isinstance(value, list):
        return all(all_finite(item) for item in value)
    return not isinstance(value, float) or math.isfinite(value)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "bath: volume"),
        (b"\xff\xfe\x00\x01", "UTF-8"),
        (b"\x00" * 50, "TOML"),
        (b"x" * 10_000_000, "1 MB"),
        (b'[bath]\nvolume = "5,6 kg"', "is a mass"),
        (b'[bath]\nvolume = "1,234.5 mL"', "number and a unit"),
        (b'[bath]\nvolume = "5 L"\nvolum = "3 L"', "did you mean volume"),
        (b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = "hydrometre"', "did you mean hydrometer"),
        (
            b'[bath]\nvolume = "5 L"\n[[reading]]\nkind = "hydrometer"\nvalue = "NaN"\nscale = "SG 20/20"',
            "reading 1: value",
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else "sheet",
)
def test_bad_input_is_one_message_and_exit_2(content: bytes, said: str, monkeypatch, capsys) -> None:
    """That the program ends with what `main` returns is seen where a real one refuses an example."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))
    assert main(["check", "-"]) == 2
    out, message = capsys.readouterr()
    assert out == ""
    assert said in message
    assert len(message.strip().splitlines()) == 1


@pytest.mark.parametrize("name", ["nowhere.toml", "/", "a\0b", "x" * 5000])
def test_a_file_that_cannot_be_read(name: str, capsys) -> None:
    assert main(["check", name]) == 2
    assert capsys.readouterr().out == ""


def test_no_readings_is_an_answer_with_nulls(tmp_path: Path, capsys) -> None:
    path = tmp_path / "sheet.toml"
    path.write_text('[bath]\nvolume = "5 L"', encoding="utf-8")
    assert main(["check", str(path), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["estimate"]["copper_sulfate_g_L"] is None
    assert result["estimate"]["determined"] == []
    assert {result["verdict"][name]["state"] for name in ("copper_sulfate", "sulfuric_acid", "chloride")} == {
        "not measured"
    }
    assert result["correction"]["state"] == "measure first"
    assert result["correction"]["steps"] == []
    assert result["next_reading"]  # and it says what to measure first


def test_example_prints_a_sheet_that_check_takes() -> None:
    printed = run("example")
    assert printed.returncode == 0
    assert run("check", "-", stdin=printed.stdout).returncode == 0
    refused = run("example", "nonsense")
    assert (refused.returncode, refused.stdout) == (2, b"")
    assert len(refused.stderr.decode("utf-8").splitlines()) == 1


def test_example_without_a_name_is_the_plainest(capsys) -> None:
    assert main(["example"]) == 0
    printed = capsys.readouterr().out
    assert printed == example_text("evaporation")
    assert all(len(printed.splitlines()) <= len(example_text(name).splitlines()) for name in EXAMPLES)


def test_a_curve_is_read_from_beside_the_sheet_and_from_nowhere_else(tmp_path: Path, capsys) -> None:
    folder = tmp_path / "bench"
    folder.mkdir()
    rows = ["mL;pH", "0;1,60", "2;1,70", "4;1,82", "6;1,97", "7;2,06", "8;2,16", "9;2,30", "9,5;2,38", "10;2,47",
            "10,5;2,59", "11;2,74", "11,4;2,92", "11,6;3,04", "11,8;3,21", "12;3,47", "12,1;3,71"]  # fmt: skip
    (folder / "curve.csv").write_text("\n".join(rows))
    (tmp_path / "secret.csv").write_text("\n".join(rows))
    sheet = folder / "sheet.toml"
    text = """
[bath]
volume = "5 L"
[[reading]]
kind = "pH curve"
sample = "5 mL"
diluted_to = "100 mL"
titrant = "sodium carbonate"
strength = "0.25 mol/L"
file = "NAME"
"""
    for name, code in (("curve.csv", 0), ("../secret.csv", 2), (str(tmp_path / "secret.csv"), 2), ("none.csv", 2)):
        sheet.write_text(text.replace("NAME", name))
        assert main(["check", str(sheet), "--json"]) == code
        out, err = capsys.readouterr()
        assert ("reading 1: file" in err) == (code == 2)
        if code == 0:
            assert json.loads(out)["estimate"]["sulfuric_acid_g_L"]["value"] == pytest.approx(60, abs=1.5)


def test_check_imports_neither_streamlit_nor_pandas(dull: Path) -> None:
    code = (
        "import sys; from advisor.__main__ import main; main(['check', sys.argv[1]]);"
        "unwanted = ('streamlit', 'pandas', 'altair', 'sqlite3', 'scipy.stats', 'jinja2', 'tomli_w');"
        "print([name for name in unwanted if name in sys.modules])"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", code, str(dull)], capture_output=True, env=environment, timeout=60)
    assert done.stdout.decode().strip().endswith("[]")


# What a reader in US units is told first; metric stands behind it in brackets.
METRIC_ONLY = re.compile(
    r"(?<![\w.,(-])(?<!, )(?<!\d to )(?:\d+ to )?\d+(?:\.\d+)? (kg|g/L|g|L|A/dm²|cm²|dm²|µm|°C)(?![\w/·*²)])"
)
US_ASKED = """
[plate]
area = "85 cm2"
thickness = "150 um"
[deposit]
looks = ["dull"]
[treat]
what = "warming"
[part]
made_of = ["PLA print", "wax"]
[buy]
bath = "3 L"
water = "2 L"
"""


@pytest.mark.parametrize("command", QUESTIONS)
def test_us_units_stand_first_in_every_answer(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet, page = tmp_path / "sheet.toml", tmp_path / "page.html"
    sheet.write_text(example_text("dull") + US_ASKED, "utf-8")
    assert main([command, str(sheet), "--units", "us"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    text = re.sub(r"[\d.]+ g scale", "scale", text)  # a tool by its name
    # Made up to a litre and given by a syringe, the salt solution is metric for everybody.
    text = re.sub(r"salt solution of 16\.5 g/L|Dissolve 16\.5 g of table salt", "", text)
    assert not METRIC_ONLY.findall(text), METRIC_ONLY.search(text)
    assert re.search(r"\d (oz/gal|gal|oz|lb|qt|mil|°F) \(", text)
    assert main([command, str(sheet), "--units", "us", "--html", str(page)]) == 0
    assert re.search(r"\d\s(oz/gal|gal|oz|lb|qt|mil|°F) \(", page.read_text("utf-8"))
    capsys.readouterr()
    for units in ("us", "metric"):
        assert main([command, str(sheet), "--json", "--units", units]) == 0
    both = capsys.readouterr().out
    assert both[: len(both) // 2] == both[len(both) // 2 :]


def test_a_sheet_in_us_units_says_what_the_same_one_in_metric_does(tmp_path: Path, capsys) -> None:
    """1 1/2 gal is 5.678118 L, 9 oz 255.1457 g, 70 °F 21.1111 °C, 27 oz/gal 202.2071 g/L, 1 qt 0.9463529 L."""
    said = []
    for number, volume, warmth, held, have in (
        (1, "1 1/2 gallons", "70F", "27 ± 1 oz/gal", "1 quart"),
        (2, "5.678118 L", "21.11111 degC", "202.2071 ± 7.489152 g/L", "946.3529 mL"),
    ):
        path = tmp_path / f"{number}.toml"
        path.write_text(
            f'[bath]\nvolume = "{volume}"\ntemperature = "{warmth}"\n[stock.acid]\ndensity = "1.265 SG"\n'
            f'on_hand = "{have}"\n[[reading]]\nkind = "previous check"\ncopper_sulfate = "{held}"\n'
            'sulfuric_acid = "20 ± 2 g/L"\n',
            "utf-8",
        )
        assert main(["check", str(path), "--units", "us"]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1]
