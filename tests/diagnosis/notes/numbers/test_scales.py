"""Values against the limits of the engine's catalogue, limits of a note, and own bands."""

from __future__ import annotations

import math

import pytest

from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.numbers.scales import NOTHING, of_bands, of_catalogue, of_limit
from witnessmark.diagnosis.notes.numbers.words.rows import BandRow


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_scales_are_those_of_the_catalogue(name: str) -> None:
    row, scale = catalogue()[name], of_catalogue(name)
    middle = sum(row.normal) / 2
    value = 10**middle if row.scale == "log10" else middle
    told = scale.says(value, value)
    assert {state for _, state in told} <= {"normal", "absent"}
    assert {finding for finding, _ in told} == {bearing.finding for bearing in row.bears}


def test_states_of_a_three_way_reading() -> None:
    scale = of_catalogue("suction-superheat")
    low, high = catalogue()["suction-superheat"].normal

    def states(a: float, b: float) -> set[str]:
        return {state for _, state in scale.says(a, b)}

    assert states(low - 0.1, low - 0.1) == states(-math.inf, low) == {"low"}
    assert states(low, low) == states(high, high) == states(low + 1, high - 1) == {"normal"}
    assert states(high + 0.1, high + 0.1) == states(high, math.inf) == {"high"}
    assert states(low - 1, low + 1) == states(-math.inf, low + 1) == states(high - 1, math.inf) == set()
    assert scale.says(1e6, 1e6) == NOTHING


def test_of_two_findings_only_the_one_out_of_order_is_named() -> None:
    scale = of_catalogue("charge-fraction")
    assert scale.says(0.5, 0.5) == {("charge-short", "present")}
    assert scale.says(1.5, 1.5) == {("charge-over", "present")}
    assert scale.says(1.0, 1.0) == {("charge-short", "absent"), ("charge-over", "absent")}


def test_a_scale_in_decades_takes_nothing_for_very_little() -> None:
    scale = of_catalogue("insulation-resistance")
    assert scale.says(0.0, 0.0) == {("insulation-low", "present")}
    assert scale.says(5e8, math.inf) == {("insulation-low", "absent")}
    assert scale.close(10**6.2)
    assert not scale.close(10**8.0)
    assert not scale.close(0.0)


def test_between_own_bands_nothing_is_said() -> None:
    rows = (BandRow(finding="x", state="absent", to=1.0), BandRow(finding="x", state="present", start=2.0))
    scale = of_bands(rows)
    assert scale.says(1.0, 1.0) == {("x", "absent")}
    assert scale.says(2.0, 5.0) == {("x", "present")}
    assert scale.says(1.5, 1.5) == scale.says(0.5, 3.0) == NOTHING


@pytest.mark.parametrize(
    ("side", "value", "state"),
    [("low", 0.9, "low"), ("low", 1.0, "normal"), ("high", 1.0, "normal"), ("high", 1.1, "high")],
)
def test_a_limit_of_the_note(side: str, value: float, state: str) -> None:
    scale = of_limit(1.0, side, [("x", "low", "high")])
    assert scale.says(value, value) == {("x", state)}


def test_a_limit_on_a_yes_no_finding() -> None:
    assert of_limit(2.0, "low", [("x", "present", "")]).says(3.0, 3.0) == {("x", "absent")}
