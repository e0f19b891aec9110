"""How many random cases a test takes: some in the usual run, many where `HYPOTHESIS_PROFILE=long` asks for them. Not a test module."""

import os

LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"


def cases(usual: int, long: int) -> int:
    """Return how many cases this run takes."""
    return long if LONG else usual


def shares(share: float, count: int) -> tuple[float, float]:
    """Return what a share that is true may come out as in so many cases: four binomial standard deviations either way.

    Of 2,000 cases of 95 % that is 93 to 97 %; of 500, 91.1 to 98.9 %. Chance alone leaves it once in 16,000. Fewer than
    304 cases cannot show that 95 % is too often: the upper bound is then above 1.
    """
    within = 4 * (share * (1 - share) / count) ** 0.5
    return share - within, share + within
