"""How far the steps of a correction have been done."""

import pytest

from advisor.ui.parts.carried_out import in_a_row


@pytest.mark.parametrize(
    ("done", "count"), [([], 0), ([1], 1), ([2], 0), ([1, 2, 4], 2), ([1, 3, 4], 1), ([1, 2, 3], 3)]
)
def test_only_steps_that_follow_one_another_from_the_first_move_the_bath(done, count):
    assert in_a_row(done) == count
