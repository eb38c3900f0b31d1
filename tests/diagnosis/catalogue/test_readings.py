"""Readings as soft evidence: continuous, capped, blurred by the instrument."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.checks import unknown_to_readings
from witnessmark.diagnosis.catalogue.knowledge import check_knowledge
from witnessmark.diagnosis.catalogue.readings import (
    READINGS,
    Bearing,
    ReadingRow,
    catalogue,
    likelihood,
    on_finding,
    read_rows,
)
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.reference import source

SUPERHEAT = catalogue()["suction-superheat"].model_copy(update={"stray": None, "stray_high": None})
"""A row without strays, for the shape of the evidence."""
GROSS = 0.02


def decibans(value: float, uncertainty: float = 0.5, row: ReadingRow = SUPERHEAT) -> tuple[float, float]:
    """Low and high against normal."""
    normal, low, high = likelihood(row, value, uncertainty, GROSS)
    return 10 * math.log10(low / normal), 10 * math.log10(high / normal)


def test_the_middle_of_the_plateau_speaks_for_normal() -> None:
    low, high = decibans(11.0)
    assert low < -15
    assert high < -15


@pytest.mark.parametrize(("value", "side"), [(0.0, 0), (-5.0, 0), (30.0, 1), (90.0, 1)])
def test_far_out_speaks_for_one_side_and_is_capped(value: float, side: int) -> None:
    inquiry_of = decibans(value)
    assert 15 < inquiry_of[side] < 24
    assert inquiry_of[1 - side] < 1


def test_a_poor_probe_says_less() -> None:
    assert decibans(2.0, 0.5)[0] > decibans(2.0, 4.0)[0] > 0


def test_further_out_never_says_less() -> None:
    far = [decibans(value)[1] for value in (27.0, 40.0, 100.0)]
    assert far[1] >= far[0] - 3
    assert far[2] == pytest.approx(far[1])


@given(st.floats(-60, 150), st.floats(0, 20))
def test_likelihoods_are_positive_and_the_largest_is_one(value: float, uncertainty: float) -> None:
    """Never less than what gross errors leave, over the greatest density that any state can have."""
    seen = likelihood(SUPERHEAT, value, uncertainty, GROSS)
    assert max(seen) == 1
    low, high = SUPERHEAT.normal
    floor = GROSS / (high - low + 3 * (SUPERHEAT.tail_low + SUPERHEAT.tail_high))
    steepest = (1 - GROSS) / min(high - low, SUPERHEAT.tail_low, SUPERHEAT.tail_high)
    assert min(seen) >= floor / (floor + steepest)


@given(st.floats(-50, 140))
def test_no_jump_anywhere(value: float) -> None:
    before, after = decibans(value, 1.0), decibans(value + 0.01, 1.0)
    assert after == pytest.approx(before, abs=0.2)


def test_decades() -> None:
    row = catalogue()["insulation-resistance"]
    assert decibans(1e4, 0.0, row)[0] > 15
    assert decibans(1e9, 0.0, row)[0] < -15
    assert decibans(1e6, 5e5, row)[0] == pytest.approx(decibans(1e6, 0.0, row)[0], abs=6)


@pytest.mark.parametrize(
    ("bearing", "expected"),
    [
        (Bearing(finding="f", low="low", high="high"), (0.2, 0.5, 1.0)),
        (Bearing(finding="f", low="high", high="low"), (0.2, 1.0, 0.5)),
        (Bearing(finding="f", low="present", high=""), (1.0, 0.5, 1.0)),
        (Bearing(finding="f", low="", high="present"), (0.5, 1.0, 0.5)),
    ],
)
def test_what_a_reading_says_of_a_finding(bearing: Bearing, expected: tuple[float, float, float]) -> None:
    assert on_finding(bearing, (0.2, 0.5, 1.0)) == expected


def test_every_row_has_a_source_and_bears_on_findings_of_the_right_kind(shipped: Knowledge) -> None:
    for row in catalogue().values():
        assert source(row.source)
        assert row.rationale
        assert row.reviewed
        for bearing in row.bears:
            kind = shipped.findings[bearing.finding].kind
            both = {bearing.low, bearing.high} == {"low", "high"}
            assert both == (kind == "three-way"), row.id
            assert both or {bearing.low, bearing.high} == {"present", ""}, row.id


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"process": 0.0}, "process"),
        ({"tail_low": 0.0}, "tail_low"),
        ({"tail_high": 0.0}, "tail_high"),
        ({"normal": (5.0, 5.0)}, "from the lower to the higher"),
        ({"limits": (3.0, 3.0)}, "from the lower to the higher"),
        ({"bears": ()}, "bears"),
        ({"scale": "log10"}, "a logarithm needs limits above 0"),
        ({"source": "hearsay"}, "no such source: hearsay"),
        ({"rationale": ""}, "rationale"),
        ({"reviewed": ""}, "reviewed"),
    ],
)
def test_impossible_rows_are_refused(changes: dict[str, object], fault: str) -> None:
    with pytest.raises(ValidationError, match=fault):
        ReadingRow.model_validate(SUPERHEAT.model_dump() | changes)


@pytest.mark.parametrize(
    ("bearing", "fault"),
    [
        (Bearing(finding="apparent-charm", low="low", high="high"), "unknown finding apparent-charm"),
        (Bearing(finding="suction-superheat", low="present", high=""), "suction-superheat has no state present"),
        (Bearing(finding="frost-on-suction", low="low", high="high"), "frost-on-suction has no state low"),
    ],
)
def test_what_a_row_names_must_exist(shipped: Knowledge, bearing: Bearing, fault: str) -> None:
    """Else its evidence would be lost without a word."""
    row = SUPERHEAT.model_copy(update={"bears": (bearing,)})
    assert list(unknown_to_readings(shipped, [row])) == [f"reading suction-superheat: {fault}"]
    assert list(unknown_to_readings(shipped, [SUPERHEAT])) == []


def test_a_start_refuses_a_row_that_tells_of_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    check_knowledge()
    row = SUPERHEAT.model_copy(update={"bears": (Bearing(finding="apparent-charm", low="low", high="high"),)})
    monkeypatch.setattr(READINGS.shipped, "_content", [{"reading": (row,)}])
    monkeypatch.setattr("witnessmark.diagnosis.catalogue.knowledge.catalogue", catalogue.__wrapped__)  # past the cache
    with pytest.raises(DataError, match="apparent-charm"):
        check_knowledge()


def test_a_folder_without_readings_has_none(small_folder: Path) -> None:
    assert read_rows(small_folder) == ()


@pytest.mark.parametrize(("low", "refused"), [(0.0, True), (1e-9, False)])
def test_a_logarithm_begins_above_zero(low: float, refused: bool) -> None:  # noqa: FBT001
    fields = SUPERHEAT.model_dump() | {"scale": "log10", "limits": (low, 100.0), "normal": (5.0, 20.0)}
    if refused:
        with pytest.raises(ValidationError, match="a logarithm needs limits above 0"):
            ReadingRow.model_validate(fields)
    else:
        assert ReadingRow.model_validate(fields).limits == (low, 100.0)


def test_a_logarithmic_reading_is_its_logarithm_with_the_relative_uncertainty() -> None:
    """By hand: 1 MOhm to 0.230 2585 MOhm is 6.0 to 0.230 2585 / ln 10 = 0.1 on the scale of decades."""
    row = catalogue()["insulation-resistance"]
    even = row.model_copy(update={"scale": "linear"})
    assert row.scale == "log10"
    assert likelihood(row, 1e6, 230_258.5, GROSS) == pytest.approx(likelihood(even, 6.0, 0.1, GROSS), rel=1e-6)


CONDENSING = catalogue()["condensing-over-ambient"]


def test_strays_lie_close_so_that_far_out_says_more() -> None:
    """Wrong answer that hurts: 26 K over the air taken for wind and sun."""
    near, far, farther, farthest = (decibans(value, 1.0, CONDENSING)[1] for value in (21.0, 27.0, 40.0, 60.0))
    assert 0 < near < far - 5
    assert far < farther < 24
    assert farthest == pytest.approx(farther, abs=1)
    assert decibans(2.0, 1.0, CONDENSING)[0] > decibans(5.0, 1.0, CONDENSING)[0] + 3


def test_a_stray_that_reads_high_weakens_only_what_is_high() -> None:
    plain = CONDENSING.model_copy(update={"stray": None, "stray_high": None})
    high = plain.model_copy(update={"stray_high": CONDENSING.stray_high})
    assert decibans(21.0, 1.0, high)[1] < decibans(21.0, 1.0, plain)[1]
    assert decibans(5.0, 1.0, high)[0] == pytest.approx(decibans(5.0, 1.0, plain)[0], abs=0.5)


def test_deviations_from_the_same_machine_are_marked() -> None:
    marked = {key for key, row in catalogue().items() if row.of_one_machine}
    assert marked == {key for key in catalogue() if key.endswith("-against-baseline")}
