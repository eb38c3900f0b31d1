"""What is watched in the first hour."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from pydantic import ValidationError
from tests.restart.machines import SCROLL, exact

from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.context import Machine
from witnessmark.restart.watch_list import (
    TABLE,
    MakerBand,
    WatchItem,
    WatchTable,
    items,
    maker_span,
    standing,
    stops,
    watch_list,
)
from witnessmark.vocabulary import Application, ShellSide


def item(name: str, machine: Machine = SCROLL, maker: MakerBand | None = None) -> WatchItem:
    return next(i for i in watch_list(machine, {name: maker} if maker else None) if i.item == name)


def names(machine: Machine) -> set[str]:
    return {i.item for i in watch_list(machine)}


def test_sump_superheat_belongs_to_low_side_shells() -> None:
    sump = {"sump_superheat", "shell_above_suction"}
    assert sump <= names(SCROLL)
    shells: tuple[ShellSide | None, ...] = ("high-side", None)
    for shell in shells:
        assert not sump & names(replace(SCROLL, shell=shell))


def test_cores_and_phases_decide_too() -> None:
    cores = {"core_drop", "core_drop_rise"}
    assert not cores & names(SCROLL)
    assert cores <= names(replace(SCROLL, suction_core_fitted=True))
    assert "current_unbalance" not in names(replace(SCROLL, phases="single-phase"))


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
    assert standing(item(name, replace(SCROLL, suction_core_fitted=True)), value) == expected


@pytest.mark.parametrize(
    ("application", "limit"), [("air-conditioning", 6.0), ("low-temperature", 10.0), ("medium-temperature", 10.0)]
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
    assert len({stated.value for stated in found.low.stated}) > 1
    assert standing(found, Measured(7.5, 0.5)) == "within"


def test_the_makers_limit_stands_alone_where_nothing_is_published() -> None:
    found = item("core_drop", replace(SCROLL, suction_core_fitted=True), MakerBand(high=2e4))
    assert standing(found, exact(3e4)) == "outside"
    assert not found.needs_maker
    assert not item("oil_and_sound").needs_maker


def test_reading_times_rise_through_the_first_hour() -> None:
    times = TABLE().times.at
    assert list(times) == sorted(times)
    assert times[-1] == 3600


def test_every_item_says_what_to_do() -> None:
    assert all(row.act and row.title for row in TABLE().items.values())
    assert len(items()) == 19
    assert TABLE().times.at == (60.0, 300.0, 900.0, 1800.0, 3600.0)


@pytest.mark.parametrize("change", [{"unit": "luck"}, {"applies": ("luck",)}, {"source": "nowhere"}, {"low": {}}])
def test_items_are_checked_when_loaded(change: dict[str, object]) -> None:
    tables = json.loads(TABLE().model_dump_json())
    assert WatchTable.model_validate_json(json.dumps(tables)) == TABLE()
    tables["items"]["sump_superheat"] |= change
    with pytest.raises(ValidationError):
        WatchTable.model_validate_json(json.dumps(tables))


def test_every_dimension_has_its_span() -> None:
    tables = json.loads(TABLE().model_dump_json())
    del tables["spans"]["temperature"]
    with pytest.raises(ValidationError, match="no span of temperature"):
        WatchTable.model_validate_json(json.dumps(tables))


@pytest.mark.parametrize(
    ("item_name", "span"),
    [
        ("suction_pressure", (0.0, 30e6)),
        ("suction_superheat", (0.0, 300.0)),
        ("shell_above_suction", (-200.0, 300.0)),
        ("discharge_temperature", (150.0, 700.0)),
        ("core_drop", (-1e7, 1e7)),
        ("compression_ratio", (0.0, 1e6)),
        ("voltage_deviation", (-1.0, 1.0)),
        ("current_unbalance", (-1.0, 1.0)),
    ],
)
def test_what_a_limit_of_the_maker_may_be(item_name: str, span: tuple[float, float]) -> None:
    assert maker_span(item_name) == span


EDGES = [
    ("suction_superheat", 11.1, -1, "sources disagree"),
    ("suction_superheat", 5.0, -1, "outside"),
    ("suction_superheat", 30.0, 1, "outside"),
    ("discharge_superheat", 11.1, -1, "outside"),
    ("discharge_temperature", 380.37, 1, "outside"),
    ("sump_superheat", 10.0, -1, "outside"),
    ("shell_above_suction", 25.0, -1, "outside"),
    ("compression_ratio", 6.0, 1, "sources disagree"),
    ("compression_ratio", 8.0, 1, "outside"),
    ("current_share", 1.0, 1, "outside"),
    ("current_deviation", 0.2, 1, "outside"),
    ("current_unbalance", 0.1, 1, "outside"),
    ("voltage_unbalance", 0.01, 1, "sources disagree"),
    ("voltage_unbalance", 0.05, 1, "outside"),
    ("voltage_deviation", 0.1, 1, "outside"),
    ("core_drop_rise", 34474.0, 1, "outside"),
    ("liquid_drier_drop", 1.0, 1, "sources disagree"),
    ("liquid_drier_drop", 2.0, 1, "outside"),
    ("starts_per_hour", 10.0, 1, "sources disagree"),
    ("starts_per_hour", 12.0, 1, "outside"),
    ("net_oil_pressure", 62053.0, -1, "outside"),
]


@pytest.mark.parametrize(("name", "limit", "way", "beyond"), EDGES)
def test_the_edge_of_every_limit(name: str, limit: float, way: int, beyond: str) -> None:
    watched = item(name, replace(SCROLL, suction_core_fitted=True, oil_safety_fitted=True))
    assert standing(watched, exact(limit)) != beyond
    assert standing(watched, exact(limit * (1 + way * 1e-6))) == beyond
    if watched.two_sided:
        assert standing(watched, exact(-limit * (1 + way * 1e-6))) == beyond


def test_every_limit_of_the_file_is_tried_at_its_edge() -> None:
    stated = {
        (name, figure.value)
        for name, row in TABLE().items.items()
        for limit in (row.low, row.highest("air-conditioning"))
        if limit is not None
        for figure in limit.stated
    }
    assert stated - {(name, limit) for name, limit, _, _ in EDGES} == {("voltage_unbalance", 0.02)}  # between the two


FLOORS = [
    ("discharge_temperature", 293.15),
    ("compression_ratio", 1.2),
    ("current_share", 0.1),
    ("core_drop_rise", -13790.0),
]


@pytest.mark.parametrize(("name", "floor"), FLOORS)
def test_the_edge_below_which_a_machine_does_not_run(name: str, floor: float) -> None:
    watched = item(name, replace(SCROLL, suction_core_fitted=True))
    assert standing(watched, exact(floor)) == "within"
    assert standing(watched, exact(floor - 1e-6 * abs(floor))) == "outside"


def test_every_floor_of_the_file_is_tried() -> None:
    assert {(name, row.floor.value) for name, row in TABLE().items.items() if row.floor} == set(FLOORS)


def test_a_floor_is_no_limit_to_hold_a_high_reading_against() -> None:
    """Without a figure of its own a ratio of 20 in medium temperature is left to the maker, one of 1.0 is not."""
    watched = item("compression_ratio", replace(SCROLL, application="medium-temperature", refrigerant=None))
    assert (standing(watched, exact(20.0)), standing(watched, exact(1.0))) == (None, "outside")


def test_what_lies_within_its_limits_stops_nothing() -> None:
    machine = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1")
    unbalance = next(i for i in watch_list(machine) if i.item == "current_unbalance")
    assert not stops(unbalance, Measured(0.02))
