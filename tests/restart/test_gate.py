"""The gate: what it lets through is never more than a watched start by a licensed technician."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.restart.machines import NEED_READINGS, SCROLL, exact, proved

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.restart.after_run import Verdict as RunVerdict
from witnessmark.restart.context import HeatPump, Machine
from witnessmark.restart.evidence import Evidence, Outcome
from witnessmark.restart.gate import GateInput, State, Stated, Verdict, checks, data, gate, with_run

MAY = "a licensed technician may start, watching the listed readings"
CORE = ("insulation", "pressure_test", "vacuum", "acid", "supply")


def state(given_: GateInput, check: str) -> State:
    return next(c.state for c in gate(given_).checks if c.check == check)


def test_with_everything_proved_a_technician_may_start_under_watch() -> None:
    found = gate(proved())
    assert found.verdict == MAY
    assert found.blocking == ()
    assert "suction_superheat" in {item.item for item in found.watching}


def test_the_gate_knows_no_better_word() -> None:
    assert set(get_args(Verdict)) == {"do not start", MAY}
    assert "safe" not in MAY


def test_nothing_said_nothing_started() -> None:
    found = gate(GateInput(SCROLL))
    assert found.verdict == "do not start"
    assert set(CORE) <= set(found.blocking)
    assert {c.state for c in found.checks} == {"missing", "not required"}


@pytest.mark.parametrize("check", [c for c in checks() if "always" in data()["checks"][c]["required"]])
@pytest.mark.parametrize("said", ["failed", "not done"])
def test_every_general_check_blocks(check: str, said: Stated) -> None:
    base = proved()
    readings = {c: e for c, e in base.found.items() if c != check}
    found = gate(replace(base, stated={**base.stated, check: said}, found=readings))
    assert found.verdict == "do not start"
    assert found.blocking == (check,)


@given(st.dictionaries(st.sampled_from(checks()), st.sampled_from(["passed", "failed", "not done"])))
def test_no_start_without_the_five_that_the_design_names(stated: dict[str, Stated]) -> None:
    found = gate(GateInput(SCROLL, stated))
    if any(stated.get(check) != "passed" for check in CORE):
        assert found.verdict == "do not start"


@given(st.sampled_from(checks()), st.sampled_from(["failed", "conflicting", "undecided", "missing"]))
def test_no_claim_outweighs_a_calculation(check: str, outcome: Outcome) -> None:
    base = proved()
    found = gate(replace(base, found={**base.found, check: Evidence("readings", outcome, "")}))
    assert found.verdict == "do not start"
    expected: tuple[State, ...] = ("conflicting", "missing", "failed")
    assert state(replace(base, found={**base.found, check: Evidence("readings", outcome, "")}), check) in expected


@pytest.mark.parametrize("check", NEED_READINGS)
def test_a_claim_without_the_readings_of_the_test_is_missing(check: str) -> None:
    base = proved()
    found = gate(replace(base, found={c: e for c, e in base.found.items() if c != check}))
    assert (found.verdict, found.blocking) == ("do not start", (check,))
    (bare,) = next(c for c in found.checks if c.check == check).evidence
    assert (bare.outcome, bare.detail) == ("missing", "passed, without the readings of the test")


def test_a_single_phase_supply_may_be_stated() -> None:
    """The readings of three phases cannot be asked of one."""
    base = proved(replace(SCROLL, phases=1))
    found = gate(replace(base, found={c: e for c, e in base.found.items() if c != "supply"}))
    assert found.verdict == MAY


@pytest.mark.parametrize(
    ("run", "blocked"),
    [
        ("stop and find out", True),
        ("look into it now", True),
        ("not proved", False),
        ("go on watching", False),
        ("nothing found after two weeks", False),
    ],
)
def test_a_bad_run_allows_no_start(run: RunVerdict, blocked: bool) -> None:  # noqa: FBT001
    found = with_run(gate(proved()), run)
    assert (found.verdict == "do not start", found.blocking) == (blocked, ("after_run",) if blocked else ())


def test_a_calculation_alone_is_enough() -> None:
    base = proved()
    stated = {k: v for k, v in base.stated.items() if k != "insulation"}
    passed = Evidence("insulation test", "passed", "meets every stated minimum")
    assert gate(replace(base, stated=stated, found={**base.found, "insulation": passed})).verdict == MAY


@pytest.mark.parametrize(
    ("outcome", "expected"),
    [
        ("passed", "passed"),
        ("failed", "failed"),
        ("conflicting", "conflicting"),
        ("undecided", "missing"),
        ("missing", "missing"),
    ],
)
def test_states_from_a_calculation(outcome: Outcome, expected: State) -> None:
    assert state(GateInput(SCROLL, found={"acid": Evidence("oil", outcome, "")}), "acid") == expected


@pytest.mark.parametrize("said", ["passed", "not done"])
def test_a_test_not_proved_valid_leaves_its_check_missing_whatever_is_claimed(said: Stated) -> None:
    base = proved()
    not_proved = Evidence("insulation test", "missing", "")
    found = gate(
        replace(base, stated={**base.stated, "insulation": said}, found={**base.found, "insulation": not_proved})
    )
    assert (found.verdict, found.blocking) == ("do not start", ("insulation",))
    assert {c.check for c in found.checks if c.state == "missing"} == {"insulation"}


@given(st.dictionaries(st.sampled_from(checks()), st.sampled_from(get_args(Outcome))))
def test_a_missing_check_always_blocks(outcomes: dict[str, Outcome]) -> None:
    found = gate(
        replace(proved(), found={**proved().found, **{c: Evidence("readings", o, "") for c, o in outcomes.items()}})
    )
    missing = {c.check for c in found.checks if c.state == "missing"}
    assert missing <= set(found.blocking)
    assert (found.verdict == "do not start") == bool(found.blocking)


def test_a_check_that_is_not_required_still_blocks_when_it_fails() -> None:
    base = proved()
    found = gate(replace(base, stated={**base.stated, "suction_filter": "failed"}))
    assert found.blocking == ("suction_filter",)


def without(machine: Machine, check: str) -> State:
    base = proved(machine)
    return state(replace(base, stated={k: v for k, v in base.stated.items() if k != check}), check)


@pytest.mark.parametrize(
    ("machine", "check"),
    [
        (SCROLL, "phase_sequence"),
        (SCROLL, "drive"),
        (replace(SCROLL, safety_class="A2L"), "flammable_precautions"),
        (replace(SCROLL, safety_class="B2L"), "toxic_precautions"),
        (replace(SCROLL, burnout_grade=1), "suction_filter"),
        (replace(SCROLL, burnout_grade=2), "oil_changed"),
        (replace(SCROLL, burnout_grade=None), "suction_filter"),
        (replace(SCROLL, debris_possible=True), "fragments"),
        (replace(SCROLL, heat_pump=HeatPump(one_way_cores_fitted=True)), "mode_locked"),
        (replace(SCROLL, heat_pump=HeatPump(one_way_cores_fitted=False)), "mode_lock_released"),
        (replace(SCROLL, shell_side="unknown"), "sump_warm"),
    ],
)
def test_the_machine_decides_what_is_required(machine: Machine, check: str) -> None:
    assert without(machine, check) == "missing"


@pytest.mark.parametrize(
    ("machine", "check"),
    [
        (replace(SCROLL, phases=1), "phase_sequence"),
        (replace(SCROLL, drive="across the line"), "drive"),
        (SCROLL, "flammable_precautions"),
        (SCROLL, "suction_filter"),
        (SCROLL, "mode_locked"),
        (SCROLL, "mode_lock_released"),
        (replace(SCROLL, shell_side="high-side"), "sump_warm"),
    ],
)
def test_what_the_machine_does_not_require(machine: Machine, check: str) -> None:
    assert without(machine, check) == "not required"


@pytest.mark.parametrize("fitted", [True, False])
def test_locked_and_released_cannot_both_be_true(fitted: bool) -> None:  # noqa: FBT001
    machine = replace(SCROLL, heat_pump=HeatPump(fitted))
    both = proved(machine)
    found = replace(both, stated=dict.fromkeys(checks(), "passed"))
    assert state(found, "mode_locked") == "conflicting"
    assert state(found, "mode_lock_released") == "conflicting"
    assert gate(both).verdict == MAY


@pytest.mark.parametrize(
    ("measured", "check", "expected"),
    [
        ({"heater_on": exact(13 * 3600)}, "sump_warm", "passed"),
        ({"heater_on": exact(6 * 3600)}, "sump_warm", "conflicting"),
        ({"heater_on": exact(13 * 3600), "sump_superheat_at_rest": exact(3.0)}, "sump_warm", "conflicting"),
        ({"sump_superheat_at_rest": Measured(10.5, 1.0)}, "sump_warm", "conflicting"),
        ({"charge_deviation": exact(-0.02)}, "charge", "passed"),
        ({"charge_deviation": exact(-0.12)}, "charge", "conflicting"),
        ({"off_time": exact(60.0)}, "start_timer", "conflicting"),
    ],
)
def test_measured_values_are_held_against_limits(measured: dict[str, Measured], check: str, expected: State) -> None:
    assert state(replace(proved(), measured=measured), check) == expected


def test_a_measured_value_fails_by_itself() -> None:
    assert state(GateInput(SCROLL, measured={"off_time": exact(60.0)}), "start_timer") == "failed"


def test_the_makers_limit_overrides_and_shows() -> None:
    given_ = replace(proved(), measured={"heater_on": exact(9 * 3600)}, makers={"heater_on": 8 * 3600})
    result = next(c for c in gate(given_).checks if c.check == "sump_warm")
    assert result.state == "passed"
    assert result.held[0].limit.basis == "maker"
    assert result.held[0].limit.looser_than_published


def test_every_result_names_its_source_and_the_conditions() -> None:
    for result in gate(GateInput(replace(SCROLL, safety_class="A2L"))).checks:
        assert result.source
        assert bool(result.required_by) == (result.state == "missing")


@pytest.mark.parametrize(
    ("given_", "field"),
    [
        (GateInput(SCROLL, stated={"luck": "passed"}), "stated.luck"),
        (GateInput(SCROLL, found={"luck": Evidence("", "passed", "")}), "found.luck"),
        (GateInput(SCROLL, measured={"luck": exact(1.0)}), "measured.luck"),
        (GateInput(SCROLL, makers={"luck": 1.0}), "makers.luck"),
    ],
)
def test_unknown_names_are_refused(given_: GateInput, field: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        gate(given_)
    assert caught.value.field == field


def test_impossible_measurements_are_refused() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        gate(GateInput(SCROLL, measured={"off_time": exact(-1.0)}))
    assert (caught.value.field, caught.value.dimension) == ("measured.off_time", "time")


def test_a_measure_without_a_limit_is_found_when_loading(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = {"checks": {"a": {"source": "common-practice", "cautions": [], "measures": ["luck"]}}, "limits": {}}
    monkeypatch.setattr("witnessmark.restart.gate.read_data", lambda *_: broken)
    with pytest.raises(ValueError, match="unknown measure"):
        data.__wrapped__()
