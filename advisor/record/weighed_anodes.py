"""What weighed anodes tell of a bath: the copper that came or went while nobody measured it, in place of a guess."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.check.known import Value
from advisor.record.balance import UnfedRun
from advisor.record.entries import Entry
from advisor.record.runs import Feed, feeds

RATE_DAYS = 90.0  # before a check, of which checks and weighings tell how fast things go (judgement)


@dataclass(frozen=True)
class Told:
    """What weighings tell together: copper that the bath gained [g], over so many days and ampere-hours."""

    net: Value
    days: float
    charge: float

    @classmethod
    def by(cls, weighings: Sequence[Feed]) -> Told:
        """Return what weighings tell, which follow one another.

        A mass that ends one and begins the next drops out of the sum; that it is counted in both is on the safe side.
        The charge errs alike in all of them.
        """
        dissolved = float(np.linalg.norm([each.dissolved.standard_uncertainty for each in weighings]))
        deposited = sum(each.deposited.standard_uncertainty for each in weighings)
        net = Value(sum(each.net.value for each in weighings), float(np.hypot(dissolved, deposited)))
        return cls(net, sum(each.days for each in weighings), sum(each.charge.value for each in weighings))


def feeds_of_copper_anodes(entries: Sequence[Entry]) -> tuple[Feed, ...]:
    """Return what anodes fed between weighings, of those that feed at all; runs at inert anodes are marked already."""
    unfed = [entry.when for entry in entries if isinstance(entry.content, UnfedRun)]
    return tuple(feed for feed in feeds(entries) if not any(feed.start <= when <= feed.end for when in unfed))


def parted(weighings: Sequence[Feed], check: datetime.datetime) -> tuple[list[Feed], list[Feed]]:
    """Return the weighings that began after a check, and those of the time before it that still tell something."""
    begins = check - datetime.timedelta(days=RATE_DAYS)
    return (
        [feed for feed in weighings if feed.start >= check],
        [feed for feed in weighings if feed.start < check and feed.end > begins],
    )
