"""The dilution series of oil changes."""

import pytest

from witnessmark.cleanup.oil_changes import changes_needed, dilution
from witnessmark.errors import OutOfRangeError


def test_the_series_shrinks_by_what_stays() -> None:
    found = dilution(0.8, 0.75, 0.05)
    assert found.series == pytest.approx((0.8, 0.2, 0.05))
    assert found.changes == 2
    assert found.residual == pytest.approx(0.05)


def test_nothing_to_do_below_the_target() -> None:
    assert dilution(0.03, 0.5, 0.05).changes == 0


def test_a_full_drain_needs_one_change() -> None:
    assert dilution(1.0, 1.0, 0.01).changes == 1


def test_more_than_a_plan_of_changes_is_no_answer_but_the_series_is_shown() -> None:
    found = dilution(1.0, 0.05, 0.01)
    assert found.changes is None
    assert len(found.series) == 13
    assert found.residual > 0.01


def test_the_last_change_that_is_still_a_plan() -> None:
    """Half drains each time: 2^-12 is reached by twelve changes, a little less by thirteen."""
    assert changes_needed(1.0, 0.5, 2.0**-12) == 12
    assert changes_needed(1.0, 0.5, 2.0**-12 * 0.999) is None


@pytest.mark.parametrize("share", [0.0, -0.1, 1.1])
def test_the_drained_share_must_be_a_share(share: float) -> None:
    with pytest.raises(OutOfRangeError):
        changes_needed(1.0, share, 0.05)
