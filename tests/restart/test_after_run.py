"""After the start: one hour, one day, two weeks."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

import pytest
from pydantic import ValidationError
from tests.restart.machines import SCROLL, heat_pump

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.restart.after_run import TABLE, AfterRun, AfterRunTable, after_run, proofs
from witnessmark.restart.context import Machine
from witnessmark.restart.run_readings import RunReading
from witnessmark.restart.watch_list import MakerBand

HOUR, DAY = 3600.0, 86400.0
GOOD = {
    "suction_superheat": Measured(15.0, 0.5),
    "discharge_temperature": Measured(355.0, 1.0),
    "compression_ratio": Measured(3.0, 0.1),
    "current_share": Measured(0.8, 0.01),
    "sump_superheat": Measured(15.0, 0.5),
}
CLEAN = {"acid_free": True, "oil_colour_good": True}


def readings(*times: float, **changed: Measured) -> tuple[RunReading, ...]:
    return tuple(RunReading(t, {**GOOD, **changed}, CLEAN) for t in times)


def states(found: AfterRun) -> dict[str, str]:
    return {s.stage: s.state for s in found.stages}


def test_a_good_first_hour() -> None:
    found = after_run(SCROLL, readings(HOUR), HOUR)
    assert found.verdict == "go on watching"
    assert states(found) == {"first-hour": "good", "first-day": "not yet due", "two-weeks": "not yet due"}
    assert found.next_look == DAY


def test_two_good_weeks_still_claim_no_more_than_nothing_found() -> None:
    found = after_run(SCROLL, readings(HOUR, DAY, 14 * DAY), 15 * DAY)
    assert found.verdict == "nothing found after two weeks"
    assert found.next_look is None
    assert {t.trend for t in found.trends} == {"steady"}


def test_a_missed_look_is_not_proved() -> None:
    found = after_run(SCROLL, readings(HOUR), 3 * DAY)
    assert found.verdict == "not proved"
    assert states(found)["first-day"] == "missing"
    day = next(s for s in found.stages if s.stage == "first-day")
    assert set(day.missing) == {"suction_superheat", "discharge_temperature", "current_share", "sump_superheat", *CLEAN}


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"discharge_temperature": Measured(395.0, 1.0)}, "stop and find out"),
        ({"suction_superheat": Measured(1.0, 0.5)}, "stop and find out"),
        ({"shell_above_suction": Measured(15.0, 1.0)}, "look into it now"),
        ({"suction_superheat": Measured(7.5, 0.5)}, "go on watching"),
        ({"suction_superheat": Measured(11.0, 3.0)}, "not proved"),
    ],
)
def test_out_of_limits(changed: dict[str, Measured], verdict: str) -> None:
    assert after_run(SCROLL, readings(HOUR, **changed), HOUR).verdict == verdict


def test_out_of_limits_between_the_looks_counts_too() -> None:
    hot = RunReading(20 * HOUR / 4, {"discharge_temperature": Measured(395.0, 1.0)})
    found = after_run(SCROLL, (*readings(HOUR), hot), 6 * HOUR)
    assert found.verdict == "stop and find out"
    assert found.next_look is None  # not a day from now: now
    assert [f.item.item for f in found.outside] == ["discharge_temperature"]
    drier = RunReading(20 * HOUR / 4, {"liquid_drier_drop": Measured(4.0, 0.1)})
    assert after_run(SCROLL, (*readings(HOUR), drier), 6 * HOUR).verdict == "look into it now"


def test_what_was_put_right_no_longer_stops_but_stays_on_record() -> None:
    hot = RunReading(HOUR, {**GOOD, "discharge_temperature": Measured(395.0, 1.0)})
    cooled = RunReading(2 * HOUR, GOOD)
    found = after_run(SCROLL, (hot, cooled), 2 * HOUR)
    assert found.verdict == "go on watching"
    assert states(found)["first-hour"] == "out of limits"


def test_acid_after_a_day_is_out_of_limits() -> None:
    bad = RunReading(DAY, GOOD, {"acid_free": False, "oil_colour_good": True})
    found = after_run(SCROLL, (*readings(HOUR), bad), DAY)
    assert found.verdict == "look into it now"
    day = next(s for s in found.stages if s.stage == "first-day")
    assert (day.state, day.failed_proofs) == ("out of limits", ("acid_free",))


def wanted(machine: Machine) -> set[str]:
    found = after_run(machine, (), 20 * DAY)
    return {m for s in found.stages if s.stage == "two-weeks" for m in s.missing} & set(proofs())


def test_proofs_depend_on_the_machine() -> None:
    assert wanted(SCROLL) == set(CLEAN)
    assert wanted(replace(SCROLL, burnout_grade=2)) == {*CLEAN, "temporary_cores_removed"}
    assert wanted(heat_pump(fitted=True)) == {*CLEAN, "control_back_to_normal"}


def test_no_core_is_to_come_out_of_what_has_no_place_for_one() -> None:
    burnt = replace(SCROLL, burnout_grade=2)
    assert "temporary_cores_removed" in wanted(burnt)
    assert "temporary_cores_removed" not in wanted(replace(burnt, compressor="centrifugal"))


def test_high_side_shells_are_not_asked_for_sump_superheat() -> None:
    high = replace(SCROLL, shell="high-side")
    values: Mapping[str, Measured] = {k: v for k, v in GOOD.items() if k != "sump_superheat"}
    assert states(after_run(high, (RunReading(HOUR, values),), HOUR))["first-hour"] == "good"
    wrong = RunReading(HOUR, {**values, "sump_superheat": Measured(0.0)})
    assert states(after_run(high, (wrong,), HOUR))["first-hour"] == "good"


@pytest.mark.parametrize("proof", ["oil_and_sound_good", "no_leak"])
def test_knocking_or_a_leak_stops_until_it_is_put_right(proof: str) -> None:
    bad = RunReading(HOUR, GOOD, {**CLEAN, proof: False})
    assert after_run(SCROLL, (bad,), HOUR).verdict == "stop and find out"
    right = RunReading(HOUR + 60, {}, {proof: True})
    assert after_run(SCROLL, (bad, right), 2 * HOUR).verdict == "go on watching"


def test_what_only_some_sources_call_low_is_shown() -> None:
    """7.5 K at the compressor: a scroll guide asks 5 K, a trade list 20 degF."""
    found = after_run(SCROLL, readings(HOUR, suction_superheat=Measured(7.5, 0.5)), HOUR)
    assert states(found)["first-hour"] == "good"
    assert [(r.item.item, r.standing) for r in found.outside] == [("suction_superheat", "sources disagree")]


def test_trends() -> None:
    first = RunReading(HOUR, {"core_drop_rise": Measured(1e3, 200.0), "current_share": Measured(0.9, 0.01)})
    last = RunReading(DAY, {"core_drop_rise": Measured(9e3, 200.0), "current_share": Measured(0.8, 0.01)})
    found = after_run(replace(SCROLL, suction_core_fitted=True), (first, last), DAY)
    assert {t.item.item: t.trend for t in found.trends} == {"core_drop_rise": "rising", "current_share": "falling"}


def test_the_makers_limits_count() -> None:
    found = after_run(
        SCROLL,
        readings(HOUR, suction_superheat=Measured(7.5, 0.5)),
        HOUR,
        {"suction_superheat": MakerBand(low=5.0)},
    )
    assert states(found)["first-hour"] == "good"


@pytest.mark.parametrize(
    ("log", "elapsed", "error", "field"),
    [
        ((), -1.0, OutOfRangeError, "elapsed"),
        ((RunReading(7200.0),), 3600.0, OutOfRangeError, "readings.0.at"),
        ((RunReading(10.0), RunReading(10.0)), 3600.0, InputError, "readings.1.at"),
        ((RunReading(10.0, {"luck": Measured(1.0)}),), 3600.0, UnknownNameError, "readings.0.values.luck"),
        ((RunReading(10.0, {}, {"luck": True}),), 3600.0, UnknownNameError, "readings.0.proofs.luck"),
    ],
)
def test_unusable_logs_name_their_field(
    log: tuple[RunReading, ...], elapsed: float, error: type[InputError], field: str
) -> None:
    with pytest.raises(error) as caught:
        after_run(SCROLL, log, elapsed)
    assert caught.value.field == field


@pytest.mark.parametrize("change", [{"items": ["luck"]}, {"proofs": ["luck"]}, {"source": "nowhere"}])
def test_a_stage_that_asks_for_the_unknown_is_found_when_loading(change: dict[str, object]) -> None:
    tables = json.loads(TABLE().model_dump_json())
    assert AfterRunTable.model_validate_json(json.dumps(tables)) == TABLE()
    tables["stages"]["first-hour"] |= change
    with pytest.raises(ValidationError):
        AfterRunTable.model_validate_json(json.dumps(tables))


@pytest.mark.parametrize(
    ("stage", "earliest", "latest"),
    [
        ("first-hour", 2700.0, 10800.0),
        ("first-day", 64800.0, 129600.0),
        ("two-weeks", 864000.0, 1814400.0),
    ],
)
def test_the_edges_of_every_window(stage: str, earliest: float, latest: float) -> None:
    for at, counts in ((earliest - 1, False), (earliest, True), (latest, True), (latest + 1, False)):
        found = after_run(SCROLL, readings(at), latest + 1)
        assert bool(next(s for s in found.stages if s.stage == stage).readings) is counts


@pytest.mark.parametrize(("elapsed", "state"), [(2699.0, "not yet due"), (2700.0, "missing")])
def test_the_edge_of_what_is_due(elapsed: float, state: str) -> None:
    assert states(after_run(SCROLL, (), elapsed))["first-hour"] == state


@pytest.mark.parametrize(
    ("change", "trend"), [(0.2, "steady"), (0.201, "rising"), (-0.2, "steady"), (-0.201, "falling")]
)
def test_a_trend_is_twice_the_uncertainty(change: float, trend: str) -> None:
    log = (RunReading(1.0, {"current_share": Measured(0.0)}), RunReading(2.0, {"current_share": Measured(change, 0.1)}))
    assert [t.trend for t in after_run(SCROLL, log, 2.0).trends] == [trend]


@pytest.mark.parametrize("elapsed", [0.0, 366 * DAY])
def test_how_long_a_run_may_be(elapsed: float) -> None:
    assert after_run(SCROLL, (), elapsed).stages
    with pytest.raises(OutOfRangeError):
        after_run(SCROLL, (), 366 * DAY + 1)


@pytest.mark.parametrize(
    ("item", "value", "verdict"),
    [
        ("compression_ratio", 1.0, "stop and find out"),
        ("compression_ratio", 0.9, "stop and find out"),
        ("compression_ratio", 1.5, "go on watching"),
        ("current_share", 0.0, "stop and find out"),
        ("current_share", 0.15, "go on watching"),
        ("discharge_temperature", 278.15, "stop and find out"),
        ("discharge_temperature", 300.0, "go on watching"),
        ("net_oil_pressure", 0.0, "stop and find out"),
        ("net_oil_pressure", -5e4, "stop and find out"),
        ("net_oil_pressure", 2e5, "go on watching"),
    ],
)
def test_a_machine_that_does_not_run_or_pump_is_never_good(item: str, value: float, verdict: str) -> None:
    """Limits have two sides; and what was read is judged, whether or not this machine asks for it."""
    assert after_run(SCROLL, readings(HOUR, **{item: Measured(value, 0.01)}), HOUR).verdict == verdict


def test_a_core_whose_drop_falls_is_torn() -> None:
    fell = readings(HOUR, core_drop_rise=Measured(-3e4, 1e3))
    fitted = replace(SCROLL, suction_core_fitted=True)
    assert after_run(fitted, fell, HOUR).verdict == "stop and find out"
    assert after_run(fitted, readings(HOUR, core_drop_rise=Measured(-2e3, 1e3)), HOUR).verdict == "go on watching"


@pytest.mark.parametrize(
    ("item", "value", "verdict"),
    [
        ("current_unbalance", 0.40, "stop and find out"),
        ("current_unbalance", 0.26, "stop and find out"),
        ("current_unbalance", 0.18, "look into it now"),
        ("voltage_unbalance", 0.08, "stop and find out"),
        ("voltage_unbalance", 0.055, "stop and find out"),
        ("voltage_unbalance", 0.03, "go on watching"),
        ("compression_ratio", 15.0, "stop and find out"),
        ("compression_ratio", 10.5, "stop and find out"),
        ("compression_ratio", 9.0, "look into it now"),
        ("voltage_deviation", -0.25, "stop and find out"),
        ("voltage_deviation", 0.25, "stop and find out"),
        ("voltage_deviation", -0.15, "look into it now"),
        ("current_deviation", -0.5, "stop and find out"),
        ("current_deviation", 0.3, "look into it now"),
        ("starts_per_hour", 60.0, "stop and find out"),
        ("starts_per_hour", 20.0, "look into it now"),
        ("shell_above_suction", 1.0, "stop and find out"),
        ("shell_above_suction", 15.0, "look into it now"),
    ],
)
def test_what_is_gross_stops_the_machine_and_what_is_a_little_out_does_not(
    item: str, value: float, verdict: str
) -> None:
    """A motor on 8 % voltage unbalance (NEMA MG 1: none above 5 %) or 40 % of the currents is not left to run."""
    for at in (300.0, HOUR):
        assert after_run(SCROLL, readings(at, HOUR + at, **{item: Measured(value, 0.001)}), 2 * HOUR).verdict == verdict


def test_a_ratio_that_no_single_stage_runs_at_stops_whatever_it_is_for_unless_the_maker_allows_it() -> None:
    medium, low = (replace(SCROLL, application=a) for a in ("medium-temperature", "low-temperature"))
    far = readings(HOUR, compression_ratio=Measured(25.0, 0.1))
    assert {after_run(machine, far, HOUR).verdict for machine in (medium, low)} == {"stop and find out"}
    less = readings(HOUR, compression_ratio=Measured(13.5, 0.1))
    for log, band, verdict in (
        (less, MakerBand(high=15.0), "look into it now"),
        (less, MakerBand(high=15.0, document="Guide 7, page 2"), "go on watching"),
        (far, MakerBand(high=50.0, document="Guide 7, page 2"), "stop and find out"),
    ):
        assert after_run(medium, log, HOUR, {"compression_ratio": band}).verdict == verdict
    wide = readings(HOUR, compression_ratio=Measured(13.0, 0.1))
    assert after_run(low, wide, HOUR).verdict == "look into it now"


def test_suction_above_discharge_stops_the_machine() -> None:
    swapped = readings(HOUR, suction_pressure=Measured(2.5e6, 5e3), discharge_pressure=Measured(0.9e6, 5e3))
    assert after_run(SCROLL, swapped, HOUR).verdict == "stop and find out"


def test_what_was_put_right_stops_nothing_any_more() -> None:
    """1 K after an hour, 12 K after a day: the look stays as it was, the machine may run on."""
    early = RunReading(3600.0, {"suction_superheat": Measured(1.0)})
    later = RunReading(86400.0, {"suction_superheat": Measured(12.0)}, {"acid_free": False})
    bad = after_run(SCROLL, (early, later), 90000.0)
    assert (states(bad)["first-hour"], bad.verdict) == ("out of limits", "look into it now")
    mended = replace(later, proofs={"acid_free": True})
    assert after_run(SCROLL, (early, mended), 90000.0).verdict == "not proved"
