"""An answer's steps as a text that a QR code holds: a phone without any network reads them at the bench."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.words.lines import Units, in_units
from advisor.words.sections import Block, Section

# A QR code takes 2953 bytes at most (ISO/IEC 18004, version 40-L, from memory); one of 1200 shows its dots three pixels
# wide where a phone's screen shows it, which another phone still reads (judgement).
MOST_BYTES = 1200
REST_OF_THE_CAUTIONS = "! Read the other cautions on the page before you begin."


def pocket(title: str, sections: Sequence[Section], units: Units) -> str | None:
    """Return all steps and as many cautions as fit, saying so where cautions are left out.

    None where there are no steps, or where they do not all fit.
    """
    steps = [
        f"{number}. {in_units(text, units)}"
        for block in sections
        if block.key is Block.STEPS and block.numbered
        for number, text in enumerate(block.lines, 1)
    ]
    cautions = [f"! {in_units(text, units)}" for block in sections if block.caution for text in block.lines]
    lines = [title, *steps]
    if not steps or not _fits([*lines, REST_OF_THE_CAUTIONS]):
        return None
    for caution in cautions:
        if not _fits([*lines, caution, REST_OF_THE_CAUTIONS]):
            return "\n".join([*lines, REST_OF_THE_CAUTIONS])
        lines.append(caution)
    return "\n".join(lines)


def _fits(lines: Sequence[str]) -> bool:
    return len("\n".join(lines).encode("utf-8")) <= MOST_BYTES
