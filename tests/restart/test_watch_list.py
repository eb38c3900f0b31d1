"""What is watched in the first hour."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.restart.machines import SCROLL, exact

from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.context import Application, Machine
from witnessmark.restart.watch_list import MakerBand, WatchItem, data, items, reading_times, standing, watch_list


def item(name: str, machine: Machine = SCROLL, maker: MakerBand | None = None) -> WatchItem:
    return next(i for i in watch_list(machine, {name: maker} if maker else None) if i.item == name)


def names(machine: Machine) -> set[str]:
    return {i.item for i in watch_list(machine)}


def test_sump_superheat_belongs_to_low_side_shells() -> None:
    sump = {"sump_superheat", "shell_above_suction"}
    assert sump <= names(SCROLL)
    for shell in ("high-side", "unknown"):
        assert not sump & names(replace(SCROLL, shell_side=shell))


def test_cores_and_phases_decide_too() -> None:
    cores = {"core_drop", "core_drop_rise"}
    assert not cores & names(SCROLL)
    assert cores <= names(replace(SCROLL, suction_core=True))
    assert "current_unbalance" not in names(replace(SCROLL, phases=1))


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("suction_superheat", Measured(15.0, 1.0), "within"),
        ("suction_superheat", Measured(7.5, 0.5), "sources disagree"),
        ("suction_superheat", Measured(2.0, 0.5), "outside"),
        ("suction_superheat", Measured(35.0, 1.0), "outside"),
        ("suction_superheat", Measured(29.5, 1.0), "cannot tell"),
        ("discharge_temperature", exact(370.0), "within"),
        ("discharge_temperature", exact(390.0), "outside"),
        ("sump_superheat", exact(8.0), "outside"),
        ("voltage_deviation", exact(-0.12), "outside"),
        ("current_deviation", exact(-0.35), "outside"),
        ("core_drop", exact(1e4), None),
        ("oil_and_sound", exact(1.0), None),
    ],
)
def test_readings_against_the_list(name: str, value: Measured, expected: Standing | None) -> None:
    assert standing(item(name, replace(SCROLL, suction_core=True)), value) == expected


@pytest.mark.parametrize(
    ("application", "limit"), [("air conditioning", 6.0), ("low temperature", 10.0), ("medium temperature", None)]
)
def test_the_ratio_depends_on_the_application(application: Application, limit: float | None) -> None:
    found = item("compression_ratio", replace(SCROLL, application=application))
    assert (found.high.value if found.high else None) == limit
    assert found.needs_maker == (limit is None)


def test_the_makers_limits_override() -> None:
    found = item("suction_superheat", maker=MakerBand(low=6.0, high=20.0))
    assert found.low is not None
    assert found.high is not None
    assert (found.low.basis, found.high.basis) == ("maker", "maker")
    assert found.low.conflicting
    assert standing(found, Measured(7.5, 0.5)) == "within"


def test_the_makers_limit_stands_alone_where_nothing_is_published() -> None:
    found = item("core_drop", replace(SCROLL, suction_core=True), MakerBand(high=2e4))
    assert standing(found, exact(3e4)) == "outside"
    assert not found.needs_maker
    assert not item("oil_and_sound").needs_maker


def test_reading_times_rise_through_the_first_hour() -> None:
    times = reading_times()
    assert list(times) == sorted(times)
    assert times[-1] == 3600


def test_every_item_says_what_to_do() -> None:
    assert all(row["act"] and row["title"] for row in data()["items"].values())
    assert set(items()) == set(data()["items"])


def test_a_limit_without_an_item_is_found_when_loading(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = {**data(), "low": {"luck": {}}}
    monkeypatch.setattr("witnessmark.restart.watch_list.read_data", lambda *_: broken)
    with pytest.raises(ValueError, match="belongs to no item"):
        data.__wrapped__()
