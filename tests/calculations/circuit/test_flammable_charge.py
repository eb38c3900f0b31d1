"""Charge limits and room size of flammable refrigerants."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark import data
from witnessmark.calculations.circuit import flammable_charge as core
from witnessmark.calculations.circuit.flammable_charge import (
    TABLE,
    ByStandard,
    Mounting,
    RoomVerdict,
    _each_burns,
    flammable_charge,
    lower_limit,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue

IEC, EN = TABLE().rules["iec-60335-2-40"], TABLE().rules["en-378-1"]
FLAMMABLE = sorted(TABLE().lower_limit)


def standard(charge: float, area: float | None = None, refrigerant: str = "R-32", which: int = 0) -> ByStandard:
    room = None if area is None else Measured(area)
    return flammable_charge(refrigerant, Measured(charge), 1.8, room).standards[which]


@pytest.mark.parametrize("refrigerant", FLAMMABLE)
@given(st.floats(0.05, 300.0), st.floats(0.5, 500.0), st.floats(0.0, 3.0))
def test_no_room_that_would_reach_the_lower_limit_is_large_enough(
    refrigerant: str, charge: float, area: float, height: float
) -> None:
    """Worst wrong answer: a room called large enough where the gas, spread up to the release height, could burn."""
    found = flammable_charge(refrigerant, Measured(charge), height, Measured(area))
    if found.verdict == "room large enough":
        assert charge / (area * max(height, 0.6)) < found.lower_limit.value
        assert all(s.most is not None and charge <= s.most.value <= s.m2 for s in found.standards)


@pytest.mark.parametrize(
    ("charge", "area", "verdict"),
    [
        (1.8359, 1.0, "no room limit"),  # 6 m3 * 0.306 kg/m3
        (1.837, None, "room size needed"),
        (2.2, 4.0, "room too small"),
        (2.2, 16.0, "room large enough"),
        (11.934, 1e4, "room large enough"),  # 39 m3 * 0.306
        (11.935, 1e4, "ventilation or other measures needed"),  # EN 378; IEC allows 15.912
        (15.913, 1e4, "ventilation or other measures needed"),
        (59.67, 1e4, "ventilation or other measures needed"),  # 195 m3 * 0.306
        (59.68, 1e4, "not for such a room"),
    ],
)
def test_the_strictest_standard_decides_at_every_cap(charge: float, area: float | None, verdict: RoomVerdict) -> None:
    found = flammable_charge("R-32", Measured(charge), 2.2, None if area is None else Measured(area))
    assert found.verdict == verdict
    assert found.decided_by in {s.source for s in found.standards if s.verdict == verdict}


@pytest.mark.parametrize("which", [0, 1])
@pytest.mark.parametrize("area", [3.0, 20.0])
def test_the_edge_of_the_room(which: int, area: float) -> None:
    most = standard(3.0, area, which=which).most
    assert most is not None
    if most.value > standard(3.0).m1:
        assert standard(most.value * 0.999, area, which=which).verdict == "room large enough"
        assert standard(most.value * 1.001, area, which=which).verdict == "room too small"


@given(st.sampled_from(FLAMMABLE), st.floats(0.6, 2.5), st.floats(0.01, 10.0))
def test_the_least_area_is_the_inverse_of_the_most(refrigerant: str, height: float, charge: float) -> None:
    limit = lower_limit(refrigerant).value
    for rule in (IEC, EN):
        area = rule.least_area(limit, height, charge)
        assert rule.most(limit, height, area) == pytest.approx(charge, rel=1e-9)


@pytest.mark.parametrize(
    ("charge", "spread", "area", "area_spread", "verdict"),
    [
        (1.836, 0.05, None, 0.0, "cannot tell"),
        (1.80, 0.05, 50.0, 0.0, "room large enough"),  # near m1 from either side: the room is large enough anyway
        (1.84, 0.05, 1.0, 0.0, "cannot tell"),
        (11.934, 0.5, 1e4, 0.0, "cannot tell"),
        (11.934, 0.5, 1.0, 0.0, "room too small"),  # IEC is sure of that, EN 378 may ask for more
        (59.67, 1.0, 1e4, 0.0, "ventilation or other measures needed"),  # likewise
        (79.56, 1.0, 1e4, 0.0, "not for such a room"),
        (2.2, 0.01, 5.4, 1.0, "cannot tell"),
        (2.2, 0.01, 30.0, 1.0, "room large enough"),
        (2.2, 0.01, 1.0, 0.1, "room too small"),
    ],
)
def test_between_two_verdicts_the_readings_cannot_tell(
    charge: float, spread: float, area: float | None, area_spread: float, verdict: RoomVerdict
) -> None:
    room = None if area is None else Measured(area, area_spread)
    found = flammable_charge("R-32", Measured(charge, spread), 1.8, room)
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("refrigerant", "why"),
    [("R-410A", "does not propagate"), ("R-744", "does not propagate"), ("R-717", "toxicity"), ("R-516A", "not known")],
)
def test_what_these_rules_are_not_for_is_refused_with_the_reason(refrigerant: str, why: str) -> None:
    with pytest.raises(InputError, match=why) as caught:
        flammable_charge(refrigerant, Measured(1.0), 1.8)
    assert caught.value.field == "refrigerant"
    assert "R-32" in caught.value.accepted


LACKING = {
    "R-41",
    "R-50",
    "R-141b",
    "R-161",
    "R-601",
    "R-601a",
    "R-610",
    "R-702",
    "R-365mfc",
    "R-1150",
    "R-1243zf",
    "R-C270",
    "R-1234ze(Z)",
    "R-E170",
    "R-411A",
    "R-411B",
    "R-415A",
    "R-415B",
    "R-418A",
    "R-419A",
    "R-419B",
    "R-430A",
    "R-431A",
    "R-432A",
    "R-433A",
    "R-433B",
    "R-433C",
    "R-436A",
    "R-436B",
    "R-436C",
    "R-439A",
    "R-440A",
    "R-441A",
    "R-443A",
    "R-444A",
    "R-444B",
    "R-445A",
    "R-447A",
    "R-447B",
    "R-451A",
    "R-451B",
    "R-457A",
    "R-457B",
    "R-457C",
    "R-459A",
    "R-459B",
    "R-462A",
    "R-465A",
    "R-467A",
    "R-474A",
    "R-510A",
    "R-511A",
    "R-512A",
    "R-516A",
}
"""No lower flammability limit that names its source was found for these."""


def test_every_flammable_refrigerant_has_a_limit_or_is_named_as_lacking_one() -> None:
    burning = {n for n in catalogue.designations() if catalogue.recipe(n).safety_class in ("A2L", "A2", "A3")}
    assert burning - set(FLAMMABLE) == LACKING
    assert len(FLAMMABLE) == 16
    _each_burns()


def test_a_row_for_a_refrigerant_that_does_not_burn_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = TABLE().model_copy(update={"lower_limit": {"R-22": TABLE().lower_limit["R-32"]}})
    monkeypatch.setattr(core, "TABLE", lambda: wrong)
    with pytest.raises(data.DataError, match="R-22"):
        _each_burns()


@pytest.mark.parametrize(
    ("charge", "height", "area", "field"),
    [(0.0, 1.8, 10.0, "charge"), (1.0, -0.1, 10.0, "height"), (1.0, 1.8, 0.0, "area")],
)
def test_impossible_values_name_their_field(charge: float, height: float, area: float, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        flammable_charge("R-32", Measured(charge), height, Measured(area))
    assert caught.value.field == field
    with pytest.raises(UnknownNameError):
        flammable_charge("R-33", Measured(1.0), 1.8)


@pytest.mark.parametrize(("mounting", "height"), [("floor", 0.6), ("window", 1.0), ("wall", 1.8), ("ceiling", 2.2)])
def test_the_heights_by_mounting(mounting: Mounting, height: float) -> None:
    assert TABLE().heights.of(mounting) == height
    assert flammable_charge("R-32", Measured(1.0), 0.2).height == 0.6


def test_the_caps_of_the_file_by_class() -> None:
    assert [(r.A2L, r.A2, r.A3, r.small_room) for r in (IEC, EN)] == [
        ((6, 52, 260), (4, 26, 130), (4, 26, 130), 0.75),
        ((6, 39, 195), (4, 26, 130), (4, 26, 130), None),
    ]


def test_the_examples_of_the_docstrings() -> None:
    assert IEC.caps("A3", 0.038) == pytest.approx((0.152, 0.988, 4.94))
    assert IEC.most(0.307, 0.6, 7) == pytest.approx(0.907, abs=5e-4)
    assert IEC.least_area(0.307, 0.6, 1.84) == pytest.approx(28.8, abs=0.05)
    assert flammable_charge("R-32", Measured(1.5), 1.8).verdict == "no room limit"
    assert standard(1.5).least_area is None
    assert standard(70.0).least_area is None
    assert standard(3.0).least_area is not None


@pytest.mark.parametrize(
    ("refrigerant", "charge", "height", "area"),
    [("R-290", 1.0, 0.6, 10.0), ("R-290", 0.98, 1.8, 15.0), ("R-600a", 1.0, 0.6, 5.0), ("R-290", 0.99, 2.2, 20.0)],
)
def test_a_charge_too_great_on_either_side_of_a_cap_is_never_cannot_tell(
    refrigerant: str, charge: float, height: float, area: float
) -> None:
    """Worst wrong answer: twelve times what the room may take, and "cannot tell" for lying near the cap."""
    room = Measured(area, 0.1)
    for uncertainty in (0.0, 0.006, 0.02):
        found = flammable_charge(refrigerant, Measured(charge, uncertainty), height, room)
        assert found.verdict in ("room too small", "ventilation or other measures needed", "not for such a room")


def test_a_large_room_near_the_cap_is_still_open() -> None:
    found = flammable_charge("R-290", Measured(0.988, 0.01), 2.2, Measured(200.0, 0.1))
    assert found.verdict == "cannot tell"


@pytest.mark.parametrize("area", [0.5, 4.0, 30.0, 1e3])
@pytest.mark.parametrize("refrigerant", ["R-32", "R-290"])
def test_any_room_takes_what_has_no_room_limit(refrigerant: str, area: float) -> None:
    """Worst wrong answer: two figures for one room, 0.55 kg at most beside a charge of 1.5 kg without a limit."""
    for found in flammable_charge(refrigerant, Measured(0.1), 0.6, Measured(area)).standards:
        assert found.most is not None
        assert found.m1 <= found.most.value <= found.m2
