"""Print the oldest libraries that pyproject.toml allows, as constraints for pip: python .ci/lowest.py > lowest.txt."""

import re
import tomllib
from pathlib import Path

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text("utf-8"))["project"]

if __name__ == "__main__":
    print(*(re.sub(r"\s*>=\s*([\d.]+).*", r"==\1", wanted) for wanted in PROJECT["dependencies"]), sep="\n")
