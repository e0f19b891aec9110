"""The reference tables and their reader: each has a source, no cell changes unnoticed, errors are named."""

import hashlib

import numpy as np
import pytest

from advisor.basis import tables
from advisor.basis.places import PAGES, REFERENCE_TABLES
from advisor.basis.tables import TableError

NAMES = sorted(path.stem for path in REFERENCE_TABLES.glob("*.csv"))

# SHA-256 of the file's text, first 16 digits: a tripwire, not a proof.
CHECKSUMS = {
    "acid_strength": "46e6bd4a1083a956",
    "acts": "74c1bfb062e8a440",
    "anode_looks": "6f36d96b3c398555",
    "bench_cards": "b8159ee7b4d576d7",
    "copper_absorptivity": "03d716b1ffc23009",
    "density_binary": "b00be732c87e5ae8",
    "fault_causes": "3494713ce50d41a3",
    "faults": "53d5da9f8dd1da19",
    "hydrochloric_acid": "77abea65e41129b1",
    "ionic_conductivities": "8dbd1d5f909a3483",
    "materials": "ca489793438df280",
    "molar_masses": "0bd71d636529b66f",
    "phreeqc_end_points": "c97da49ef6526dee",
    "phreeqc_ph_grid": "70fe8af16a5b3ed3",
    "solubility": "e4209798e0b7fe61",
    "tool_tolerances": "17cc935d6a08e304",
    "treatments": "6c34da6452d8b779",
    "waste_rules": "45113cd4473e7203",
    "windows": "e79bb4fec36eeaa1",
    "worked_examples": "c8878d7b92138f4b",
}


def test_folders_are_found():
    assert REFERENCE_TABLES.is_dir()
    assert PAGES.name in {"pages", "_pages"}


@pytest.mark.parametrize("name", NAMES)
def test_every_table_has_rows_and_a_complete_source(name):
    source = tables.source(name)
    assert tables.rows(name)
    assert all([source.author, source.year, source.title, source.where, source.units, source.range])
    assert source.status in {"read", "memory", "computed", "judgement", "mixed"}


def test_every_source_has_a_table():
    assert sorted(tables._sources()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_source_key_in_a_table_is_explained_and_used(name):
    used = {row["source"] for row in tables.rows(name) if "source" in row}
    assert used == set(tables.source(name).keys)


@pytest.mark.parametrize("name", NAMES)
def test_no_cell_changes_unnoticed(name):
    text = (REFERENCE_TABLES / f"{name}.csv").read_text(encoding="utf-8")
    assert hashlib.sha256(text.encode()).hexdigest()[:16] == CHECKSUMS[name]


def test_columns_are_numbers_and_can_be_narrowed():
    strength = tables.column("density_binary", "mass_fraction", solute="H2SO4", source="CRC")
    assert strength[0] == 0.005
    assert strength[-1] == 1.0
    assert (np.diff(strength) > 0).all()


def test_columns_cannot_be_changed():
    with pytest.raises(ValueError, match=r"read-only"):
        tables.column("acid_strength", "density_g_mL")[0] = 2.0


def test_an_empty_cell_is_no_number():
    with pytest.raises(TableError, match=r"windows.csv, line 3, column 'chloride_high_mg_L': '' is not a number"):
        tables.column("windows", "chloride_high_mg_L")


@pytest.mark.parametrize(
    ("name", "key", "where", "message"),
    [
        ("moon_phases", "phase", {}, r"moon_phases.csv is missing"),
        ("windows", "zinc", {}, "no column 'zinc'; it has name, copper_sulfate_low_g_L"),
        ("windows", "name", {}, "line 2, column 'name': 'standard' is not a number"),
        ("windows", "copper_sulfate_low_g_L", {"name": "best"}, r"no row with .*best"),
    ],
)
def test_bad_requests_are_named(name, key, where, message):
    with pytest.raises(TableError, match=message):
        tables.column(name, key, **where)


def test_table_without_a_source_is_named():
    with pytest.raises(TableError, match=r"no entry 'moon_phases'"):
        tables.source("moon_phases")


def test_broken_file_is_named(tmp_path, monkeypatch):
    (tmp_path / "broken.csv").write_text("a,b\n1,2\n3\n", encoding="utf-8")
    (tmp_path / "infinite.csv").write_text("a,b\n1,inf\n", encoding="utf-8")
    monkeypatch.setattr(tables, "REFERENCE_TABLES", tmp_path)
    with pytest.raises(TableError, match=r"broken.csv, line 3: the number of cells is wrong"):
        tables.rows("broken")
    with pytest.raises(TableError, match=r"infinite.csv, line 2, column 'b': 'inf' is not finite"):
        tables.column("infinite", "b")


@pytest.mark.parametrize("class_b", [row["tool"] for row in tables.rows("tool_tolerances") if "class B" in row["tool"]])
def test_class_b_glass_is_twice_class_a(class_b):
    b = tables.column("tool_tolerances", "absolute_from_half", tool=class_b)
    a = tables.column("tool_tolerances", "absolute_from_half", tool=class_b.replace("class B", "class A"))
    assert b == pytest.approx(2 * a)


@pytest.mark.parametrize("tool", [row["tool"] for row in tables.rows("tool_tolerances") if "syringe" in row["tool"]])
def test_syringe_tolerances_of_iso_7886_1(tool):
    nominal, absolute, below, from_half = (
        tables.column("tool_tolerances", key, tool=tool)[0]
        for key in ("nominal_mL", "absolute_below_half", "relative_below_half", "relative_from_half")
    )
    assert absolute == pytest.approx(0.015 * nominal)
    assert (below, from_half) == ((0.01, 0.04) if nominal >= 5 else (0.02, 0.05))
    # The two branches meet at half the nominal volume.
    assert absolute + below * nominal / 2 == pytest.approx(from_half * nominal / 2)


def test_tools_have_unique_names_and_one_tolerance_above_zero():
    rows = tables.rows("tool_tolerances")
    assert len({row["tool"] for row in rows}) == len(rows)
    for row in rows:
        assert float(row["absolute_from_half"]) + float(row["relative_from_half"]) > 0


def test_worked_examples_are_all_there():
    assert [row["id"] for row in tables.rows("worked_examples")] == [f"W{n}" for n in range(1, 34)]


def test_equivalence_volumes_of_the_computed_titrations():
    # The one column of the computed titrations that follows from stoichiometry alone.
    protons_taken = {"sodium hydroxide": 1, "sodium bicarbonate": 1, "sodium carbonate": 2}
    for row in tables.rows("phreeqc_end_points"):
        moles = 2 * float(row["sulfuric_acid_g_L"]) * float(row["sample_mL"]) / 1000 / 98.07
        volume = 1000 * moles / protons_taken[row["titrant"]] / float(row["strength_mol_L"])
        assert float(row["equivalence_mL"]) == pytest.approx(volume, rel=3e-4)
