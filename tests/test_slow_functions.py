"""What `-m fast` leaves out because it was measured to be slow."""

from pathlib import Path

from tests.conftest import MEASURED_SLOW

ROOT = Path(__file__).parents[1]


def test_every_line_names_a_test_that_is_there() -> None:
    for line in MEASURED_SLOW:
        file, name = line.split("::")
        assert f"def {name}(" in (ROOT / file).read_text("utf-8"), line
