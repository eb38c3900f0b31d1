"""Gauge offset, swapped taps, torn core."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from tests.cleanup.logs import Row, log
from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.filter_log import judge_log
from witnessmark.cleanup.log_faults import _significance, _torn, zero_offset
from witnessmark.cleanup.log_readings import FilterLogCase, correct


def found(case: FilterLogCase) -> list[str]:
    return [fault.id for fault in judge_log(case).faults]


def test_a_sound_log_has_no_fault() -> None:
    assert found(log([(0, 1.0, 1.0), (1, 0.8, 0.8), (12, 0.6, 0.55), (24, 1.0, 1.4), (36, 0.7, 0.9)])) == []


def test_offset_at_zero_flow_is_found_and_taken_off() -> None:
    case = log([(0, 0.0, 0.6), (0.5, 0.0, 0.6), (1, 1.0, 2.6)], first={"new_core": False})
    made = judge_log(case)
    assert [fault.id for fault in made.faults] == ["gauge-offset"]
    assert made.faults[0].readings == (0, 1)
    assert made.readings[2].corrected.drop.value == pytest.approx(2.0 * PSI)


def test_a_zero_that_reads_zero_is_no_offset() -> None:
    assert zero_offset(log([(0, 0.0, 0.1)]).readings) == (Measured(0.0), ())
    assert zero_offset(log([(0, 1.0, 1.0)]).readings) == (Measured(0.0), ())


def test_zero_readings_are_weighed_by_their_uncertainty() -> None:
    rows = log([(0, 0.0, 1.0), (1, 0.0, 2.0)]).readings
    sharp = (replace(rows[0], drop=Measured(7e3, 200.0)), replace(rows[1], drop=Measured(14e3, 2000.0)))
    offset, places = zero_offset(sharp)
    assert offset.value == pytest.approx((7e3 / 200**2 + 14e3 / 2000**2) / (1 / 200**2 + 1 / 2000**2))
    assert places == (0, 1)


def test_swapped_taps() -> None:
    case = log([(0, 1.0, 1.0), (1, 1.0, -1.2)])
    made = judge_log(case)
    assert [(fault.id, fault.readings) for fault in made.faults] == [("swapped-taps", (1,))]
    assert made.decision.verdict == "cannot judge"
    assert "swap" in made.decision.reasons[0]


def test_no_drop_at_full_flow_may_be_an_open_bypass() -> None:
    case = log([(0, 1.0, 0.0), (12, 1.0, 0.0), (24, 1.0, 0.0), (48, 1.0, 0.01)])
    made = judge_log(case)
    assert [(fault.id, fault.readings) for fault in made.faults] == [("no-drop", (0, 1, 2, 3))]
    assert made.clean.drop_flat_and_below is None
    assert made.decision.verdict == "cannot judge"
    assert made.decision.reasons == (made.faults[0].text,)
    assert found(log([(0, 1.0, 0.0), (12, 1.0, 1.0), (24, 1.0, 1.0)])) == []
    assert found(log([(0, 0.2, 0.0)])) == []  # too little flow to tell anything


@pytest.mark.parametrize(
    ("rows", "torn"),
    [
        ([(0, 1.0, 4.0), (12, 1.0, 2.0)], True),
        ([(0, 1.0, 4.0), (12, 1.0, 3.7)], False),  # within the readings' uncertainty
        ([(0, 1.0, 4.0), (12, 0.6, 1.6)], False),  # lower only because less flows
        ([(0, 1.0, 4.0), (12, 0.6, 0.8)], True),
        ([(0, 1.0, 1.0), (12, 1.0, 4.0), (24, 1.0, 2.0), (36, 1.0, 2.2)], True),
    ],
)
def test_torn_core(rows: Sequence[Row], torn: bool) -> None:  # noqa: FBT001
    assert ("torn-core" in found(log(rows))) is torn


def test_a_fall_beyond_doubt_but_small_is_no_fault() -> None:
    case = log([(0, 1.0, 4.0), (12, 1.0, 3.5)])
    sharp = tuple(replace(r, drop=Measured(r.measured_drop.value, 50.0)) for r in case.readings)
    assert found(replace(case, readings=sharp)) == []


def test_a_new_core_may_drop_less() -> None:
    case = log([(0, 1.0, 4.0), (12, 1.0, 1.0)])
    changed = (case.readings[0], replace(case.readings[1], new_core=True))
    assert found(replace(case, readings=changed)) == []


def constant(offset: float, width: float = 200.0) -> FilterLogCase:
    rows = [(h, s, s**1.75 * 3.0 + offset) for h, s in ((0, 1.0), (2, 0.5), (4, 0.9), (6, 0.45), (8, 1.0), (10, 0.6))]
    case = log(rows)
    return replace(case, readings=tuple(replace(r, drop=Measured(r.measured_drop.value, width)) for r in case.readings))


def test_a_constant_offset_shows_at_different_flows() -> None:
    assert found(constant(-0.4)) == ["constant-offset"]
    assert found(constant(0.0)) == []


def test_a_constant_offset_is_not_claimed_where_the_gauge_is_coarse_or_flow_is_even() -> None:
    assert found(constant(-0.4, width=4000.0)) == []
    assert found(log([(h, 0.9, 1.0) for h in range(6)])) == []
    assert found(log([(0, 1.0, 2.0), (1, 0.5, 0.55), (2, 0.9, 1.6)])) == []


def test_a_log_that_cannot_tell_flow_from_time_claims_nothing() -> None:
    """Two states of flow and time, each read twice at almost the same moment: three unknowns cannot be told apart."""
    rows = [(0, 1.0, 2.0), (1e-9, 1.0, 2.0), (10, 0.5, 0.1), (10 + 1e-9, 0.5, 0.1)]
    case = log(rows)
    same = tuple(replace(r, flow_share=s) for r, s in zip(case.readings, (1.0, 1.0, 0.5, 0.5), strict=True))
    first = case.readings[0].at
    twice = [correct(replace(case, readings=same), i, first, first, Measured(0.0)) for i in range(4)]
    assert _significance(twice, 2.0) == 0.0


def test_a_fall_at_like_flow_is_the_core_even_beside_an_offset() -> None:
    case = constant(-0.4)
    rows = list(case.readings)
    rows[4] = replace(rows[4], drop=Measured(0.8 * PSI, 200.0))
    assert "torn-core" in found(replace(case, readings=tuple(rows)))


@pytest.mark.parametrize(("after", "torn"), [(800.0, ()), (799.9, (0, 1))])
def test_a_fall_by_a_fifth_itself_is_no_torn_core(after: float, torn: tuple[int, ...]) -> None:
    """From 1000 Pa, both known exactly, at the same flow."""
    case = log([(0, 1.0, 1.0), (1, 1.0, 1.0)])
    looks = [
        correct(case, k, reading.at, case.readings[0].at, Measured(0.0)) for k, reading in enumerate(case.readings)
    ]
    before, now = (
        replace(look, full=replace(look.full, low=drop, middle=Measured(drop), high=drop))
        for look, drop in zip(looks, (1000.0, after), strict=True)
        if look.full is not None
    )
    assert _torn([before, now], 0.15) == torn


def test_swapped_taps_are_told_of_an_overdue_core_too() -> None:
    decision = judge_log(log([(0, 1.0, 1.0), (80, 1.0, -1.2)])).decision
    assert decision.verdict == "change"
    assert "overdue" in decision.reasons[0]
    assert "swap" in decision.reasons[1]


@pytest.mark.parametrize(("alike", "torn"), [(0.25, (0, 1)), (0.2499, ())])
def test_flows_that_differ_by_just_so_much_are_alike(alike: float, torn: tuple[int, ...]) -> None:
    """A drop to an eighth at three quarters of the flow."""
    case = log([(0, 1.0, 4.0), (12, 0.75, 0.5)])
    looks = [
        correct(case, k, reading.at, case.readings[0].at, Measured(0.0)) for k, reading in enumerate(case.readings)
    ]
    assert looks[0].flow.share - looks[1].flow.share == 0.25
    assert _torn(looks, alike) == torn
