"""Stretches of flags, sliding means."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.trend import spans

flags = st.lists(st.booleans(), min_size=1, max_size=60)


@given(flags, flags)
def test_hysteresis_is_what_a_loop_says(enter: list[bool], leave: list[bool]) -> None:
    size = min(len(enter), len(leave))
    state, wanted = False, []
    for begin, end in zip(enter[:size], leave[:size], strict=True):
        state = False if end else state or begin
        wanted.append(state)
    assert spans.hysteresis(np.array(enter[:size]), np.array(leave[:size])).tolist() == wanted


def test_runs_end_at_gaps() -> None:
    assert spans.runs(np.zeros(0, np.bool_)) == []
    on = np.array([True, True, False, True, True, True])
    assert spans.runs(on) == [(0, 1), (3, 5)]
    assert spans.runs(on, np.array([0, 0, 0, 0, 1, 1])) == [(0, 1), (3, 3), (4, 5)]


def test_duration_and_joining() -> None:
    time = np.linspace(0.0, 540.0, 10)
    assert spans.lasting([(0, 1), (3, 8)], time, 300.0, 60.0) == [(3, 8)]
    assert spans.joined([(0, 1), (3, 4), (9, 9)], time, 120.0) == [[(0, 1), (3, 4)], [(9, 9)]]


def test_since_and_until() -> None:
    time, marks = np.linspace(0.0, 30.0, 4), np.array([False, True, False, False])
    assert spans.since(marks, time).tolist() == [np.inf, 0.0, 10.0, 20.0]
    assert spans.until(marks, time).tolist() == [10.0, 0.0, np.inf, np.inf]


@given(st.lists(st.one_of(st.none(), st.floats(-1e3, 1e3)), min_size=1, max_size=40), st.sampled_from([1, 3, 5, 9]))
def test_sliding_mean(values: list[float | None], rows: int) -> None:
    column = np.array([np.nan if value is None else value for value in values])
    found = spans.mean(column, rows)
    for place in range(len(values)):
        part = column[max(0, place - rows // 2) : place + rows // 2 + 1]
        known = part[~np.isnan(part)]
        assert found[place] == pytest.approx(known.mean(), abs=1e-6) if known.size else np.isnan(found[place])


def test_shares_groups_and_medians() -> None:
    assert spans.share(np.array([True, False, False]), 3).tolist() == [0.5, pytest.approx(1 / 3), 0.0]
    groups, reduced, counts = spans.grouped(np.array([1.0, 3.0, np.nan, 5.0]), np.array([0, 0, 1, 2]), np.sum, 1)
    assert (groups.tolist(), reduced.tolist(), counts.tolist()) == ([0, 2], [4.0, 5.0], [2, 1])
    assert spans.grouped(np.array([np.nan]), np.array([0]), np.sum, 1)[0].size == 0
    assert spans.median(np.array([1.0, np.nan, 3.0])) == 2.0
    assert np.isnan(spans.median(np.array([np.nan])))


def test_rows_picked_of_groups_lie_evenly_and_their_median_is_that_of_all() -> None:
    group = np.repeat([3, 7, 9], [400, 2, 30])
    groups, picks = spans.picked(np.ones(432, np.bool_), group, 10)
    assert groups.tolist() == [3, 9]
    assert (picks[0].min(), picks[0].max(), (picks[1] >= 0).sum()) == (0, 396, 30)
    middles = spans.medians(np.arange(432.0), picks, 10)
    assert middles == pytest.approx([200.0, 417.0], abs=2.0)
    assert np.isnan(spans.medians(np.full(432, np.nan), picks, 1)).all()
    nothing, none = spans.picked(np.zeros(432, np.bool_), group, 1)
    assert (nothing.size, spans.medians(np.arange(432.0), none, 1).size) == (0, 0)


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=50), st.floats(0.0, 100.0))
def test_percentiles_are_those_of_the_library(values: list[float], percent: float) -> None:
    assert spans.median(np.array([*values, np.nan]), percent) == pytest.approx(np.percentile(values, percent), abs=1e-9)
