"""The gate: what it lets through is never more than a watched start by a licensed technician."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from tests.restart.machines import NEED_READINGS, SCROLL, exact, heat_pump, proved

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.restart.after_run import RunVerdict
from witnessmark.restart.context import Machine
from witnessmark.restart.evidence import Evidence, EvidenceOutcome
from witnessmark.restart.gate import (
    TABLE,
    CheckState,
    GateInput,
    GateTable,
    Measure,
    StartVerdict,
    StatedOutcome,
    cautions_exist,
    charge_deviation,
    checks,
    gate,
    with_run,
)
from witnessmark.vocabulary import words

MAY = "a licensed technician may start, watching the listed readings"
CORE = ("insulation", "pressure-test-high", "pressure-test-low", "vacuum", "windings", "supply")


def state(given_: GateInput, check: str) -> CheckState:
    return next(c.state for c in gate(given_).checks if c.check == check)


def test_with_everything_proved_a_technician_may_start_under_watch() -> None:
    found = gate(proved())
    assert found.verdict == MAY
    assert found.blocking == ()
    assert "suction_superheat" in {item.item for item in found.watching}


def test_the_gate_knows_no_better_word() -> None:
    assert set(words(StartVerdict)) == {"do not start", MAY}
    assert "safe" not in MAY


def test_nothing_said_nothing_started() -> None:
    found = gate(GateInput(SCROLL))
    assert found.verdict == "do not start"
    assert set(CORE) <= set(found.blocking)
    assert {c.state for c in found.checks} == {"missing", "not required"}


@pytest.mark.parametrize("check", [c for c in checks() if "always" in TABLE().checks[c].required])
@pytest.mark.parametrize("said", ["failed", "not-done"])
def test_every_general_check_blocks(check: str, said: StatedOutcome) -> None:
    base = proved()
    readings = {c: e for c, e in base.evidence.items() if c != check}
    found = gate(replace(base, stated={**base.stated, check: said}, evidence=readings))
    assert found.verdict == "do not start"
    assert found.blocking == (check,)


@given(st.dictionaries(st.sampled_from(checks()), st.sampled_from(["passed", "failed", "not-done"])))
def test_no_start_without_the_tests_that_the_design_names(stated: dict[str, StatedOutcome]) -> None:
    found = gate(GateInput(SCROLL, stated))
    if any(stated.get(check) != "passed" for check in CORE):
        assert found.verdict == "do not start"


@given(st.sampled_from(checks()), st.sampled_from(["failed", "conflicting", "undecided", "missing"]))
def test_no_claim_outweighs_a_calculation(check: str, outcome: EvidenceOutcome) -> None:
    base = proved()
    found = gate(replace(base, evidence={**base.evidence, check: (Evidence("readings", outcome, ""),)}))
    assert found.verdict == "do not start"
    expected: tuple[CheckState, ...] = ("conflicting", "missing", "failed")
    assert (
        state(replace(base, evidence={**base.evidence, check: (Evidence("readings", outcome, ""),)}), check) in expected
    )


@pytest.mark.parametrize("check", NEED_READINGS)
def test_a_claim_without_the_readings_of_the_test_is_missing(check: str) -> None:
    base = proved()
    found = gate(replace(base, evidence={c: e for c, e in base.evidence.items() if c != check}))
    assert (found.verdict, found.blocking) == ("do not start", (check,))
    (bare,) = next(c for c in found.checks if c.check == check).evidence
    assert (bare.outcome, bare.detail) == ("missing", "passed, without the readings of the test")


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
    assert (found.verdict == "do not start", found.blocking) == (blocked, ("after-run",) if blocked else ())


def test_a_calculation_alone_is_enough() -> None:
    base = proved()
    stated = {k: v for k, v in base.stated.items() if k != "insulation"}
    passed = Evidence("insulation test", "passed", "meets every stated minimum")
    assert gate(replace(base, stated=stated, evidence={**base.evidence, "insulation": (passed,)})).verdict == MAY


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
def test_states_from_a_calculation(outcome: EvidenceOutcome, expected: CheckState) -> None:
    assert (
        state(GateInput(SCROLL, evidence={"circuit-acid": (Evidence("oil", outcome, ""),)}), "circuit-acid") == expected
    )


@pytest.mark.parametrize("said", ["passed", "not-done"])
def test_a_test_not_proved_valid_leaves_its_check_missing_whatever_is_claimed(said: StatedOutcome) -> None:
    base = proved()
    not_proved = Evidence("insulation test", "missing", "")
    found = gate(
        replace(
            base, stated={**base.stated, "insulation": said}, evidence={**base.evidence, "insulation": (not_proved,)}
        )
    )
    assert (found.verdict, found.blocking) == ("do not start", ("insulation",))
    assert {c.check for c in found.checks if c.state == "missing"} == {"insulation"}


@given(st.dictionaries(st.sampled_from(checks()), st.sampled_from(words(EvidenceOutcome))))
def test_a_missing_check_always_blocks(outcomes: dict[str, EvidenceOutcome]) -> None:
    base = proved()
    evidence = {check: (Evidence("readings", outcome, ""),) for check, outcome in outcomes.items()}
    found = gate(replace(base, evidence={**base.evidence, **evidence}))
    missing = {c.check for c in found.checks if c.state == "missing"}
    assert missing <= set(found.blocking)
    assert (found.verdict == "do not start") == bool(found.blocking)


def test_a_check_that_is_not_required_still_blocks_when_it_fails() -> None:
    base = proved()
    found = gate(replace(base, stated={**base.stated, "suction-filter": "failed"}))
    assert found.blocking == ("suction-filter",)


def without(machine: Machine, check: str) -> CheckState:
    base = proved(machine)
    evidence = {k: v for k, v in base.evidence.items() if k != check}
    return state(replace(base, stated={k: v for k, v in base.stated.items() if k != check}, evidence=evidence), check)


@pytest.mark.parametrize(
    ("machine", "check"),
    [
        (SCROLL, "phase-sequence"),
        (SCROLL, "drive"),
        (replace(SCROLL, safety_class="A2L"), "flammable-precautions"),
        (replace(SCROLL, safety_class="B2L"), "toxic-precautions"),
        (replace(SCROLL, burnout_grade=1), "suction-filter"),
        (replace(SCROLL, burnout_grade=2), "oil-changed"),
        (replace(SCROLL, burnout_grade=None), "suction-filter"),
        (replace(SCROLL, debris_possible=True), "fragments"),
        (heat_pump(fitted=True), "mode-locked"),
        (replace(SCROLL, shell=None), "sump-warm"),
        (replace(SCROLL, shell="high-side", liquid_in_shell=True), "sump-warm"),
        (replace(SCROLL, phases="single-phase"), "phase-sequence"),  # the inverter makes three
        (SCROLL, "liquid-drier"),
        (replace(SCROLL, oil_safety_fitted=True), "oil-safety"),
        (replace(SCROLL, construction="open-drive"), "coupling"),
        (replace(SCROLL, burnout_grade=1), "circuit-acid"),
        (replace(SCROLL, burnout_grade=1), "strainers"),
    ],
)
def test_the_machine_decides_what_is_required(machine: Machine, check: str) -> None:
    assert without(machine, check) == "missing"


@pytest.mark.parametrize(
    ("machine", "check"),
    [
        (replace(SCROLL, phases="single-phase", drive="fixed-speed"), "phase-sequence"),
        (heat_pump(fitted=False), "mode-lock-released"),
        (replace(SCROLL, refrigerant="R-717"), "liquid-drier"),
        (SCROLL, "circuit-acid"),
        (SCROLL, "oil-safety"),
        (replace(SCROLL, drive="fixed-speed"), "drive"),
        (SCROLL, "flammable-precautions"),
        (SCROLL, "suction-filter"),
        (SCROLL, "mode-locked"),
        (SCROLL, "mode-lock-released"),
        (replace(SCROLL, shell="high-side", crankcase_heater_fitted=False), "sump-warm"),
    ],
)
def test_what_the_machine_does_not_require(machine: Machine, check: str) -> None:
    assert without(machine, check) == "not required"


@pytest.mark.parametrize("fitted", [True, False])
def test_locked_and_released_cannot_both_be_true(fitted: bool) -> None:  # noqa: FBT001
    machine = heat_pump(fitted=fitted)
    both = proved(machine)
    found = replace(both, stated=dict.fromkeys(checks(), "passed"))
    assert state(found, "mode-locked") == "conflicting"
    assert state(found, "mode-lock-released") == "conflicting"
    assert gate(both).verdict == MAY


@pytest.mark.parametrize(
    ("measured", "check", "expected"),
    [
        ({"heater_on": exact(13 * 3600)}, "sump-warm", "passed"),
        ({"heater_on": exact(6 * 3600)}, "sump-warm", "conflicting"),
        ({"heater_on": exact(13 * 3600), "sump_superheat_at_rest": exact(3.0)}, "sump-warm", "conflicting"),
        ({"sump_superheat_at_rest": Measured(10.5, 1.0)}, "sump-warm", "missing"),
        ({"charge_deviation": exact(-0.02)}, "charge", "passed"),
        ({"charge_deviation": exact(-0.12)}, "charge", "conflicting"),
        ({"off_time": exact(60.0)}, "start-timer", "conflicting"),
    ],
)
def test_measured_values_are_held_against_limits(
    measured: dict[Measure, Measured], check: str, expected: CheckState
) -> None:
    assert state(replace(proved(), measured=measured), check) == expected


def test_what_lies_between_two_guides_says_so_and_which_to_follow() -> None:
    found = gate(replace(proved(), measured={"heater_on": exact(10 * 3600)}))
    (told,) = found.contradictions
    assert told.endswith("the guides differ, and it lies between their figures: go by the strictest")


def test_a_measured_value_fails_by_itself() -> None:
    assert state(GateInput(SCROLL, measured={"off_time": exact(60.0)}), "start-timer") == "failed"


def test_the_makers_limit_overrides_and_shows() -> None:
    given_ = replace(proved(), measured={"heater_on": exact(9 * 3600)}, makers={"heater_on": 8 * 3600})
    result = next(c for c in gate(given_).checks if c.check == "sump-warm")
    assert result.state == "passed"
    assert result.measured[0].limit.basis == "maker"
    assert result.measured[0].limit.looser_than_published


def test_every_result_names_its_source_and_the_conditions() -> None:
    for result in gate(GateInput(replace(SCROLL, safety_class="A2L"))).checks:
        assert result.source
        assert bool(result.required_by) == (result.state == "missing")


@pytest.mark.parametrize(
    ("given_", "field"),
    [
        (GateInput(SCROLL, stated={"luck": "passed"}), "stated.luck"),
        (GateInput(SCROLL, evidence={"luck": (Evidence("", "passed", ""),)}), "evidence.luck"),
        (GateInput(SCROLL, measured={"luck": exact(1.0)}), "measured.luck"),  # type: ignore[dict-item]
        (GateInput(SCROLL, makers={"luck": 1.0}), "makers.luck"),  # type: ignore[dict-item]
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


@pytest.mark.parametrize(
    "spoil",
    [
        lambda t: t["measures"].pop("off_time"),
        lambda t: t["checks"]["sump-warm"].update(contradicted_by=("luck",)),
        lambda t: t["checks"]["mode-locked"].update(excludes="luck"),
        lambda t: t["checks"]["circuit-acid"].update(measures=("luck",)),
        lambda t: t["checks"]["circuit-acid"].update(required=("luck",)),
        lambda t: t["checks"]["circuit-acid"].update(source="nowhere"),
    ],
)
def test_tables_are_checked_when_loaded(spoil: Any) -> None:
    tables = json.loads(TABLE().model_dump_json())
    assert GateTable.model_validate_json(json.dumps(tables)) == TABLE()
    spoil(tables)
    with pytest.raises(ValidationError):
        GateTable.model_validate_json(json.dumps(tables))


def test_every_caution_exists() -> None:
    cautions_exist()
    assert len(checks()) == 32


@pytest.mark.parametrize(
    ("measure", "at", "beyond", "then"),
    [
        ("heater_on", 43200.0, 43199.0, "conflicting"),  # 8 h by another source
        ("heater_on", 43200.0, 28799.0, "failed"),
        ("sump_superheat_at_rest", 10.0, 9.999, "failed"),
        ("charge_deviation", 0.05, 0.0501, "failed"),
        ("charge_deviation", -0.05, -0.0501, "failed"),
        ("off_time", 180.0, 179.9, "failed"),
        ("coupling_offset", 1e-4, 1.001e-4, "failed"),
    ],
)
def test_the_edge_of_every_measure(measure: Measure, at: float, beyond: float, then: CheckState) -> None:
    check = next(name for name, row in TABLE().checks.items() if measure in row.measures)
    for value, expected in ((at, "passed"), (beyond, then)):
        assert state(GateInput(SCROLL, measured={measure: exact(value)}), check) == expected


@pytest.mark.parametrize(
    ("measure", "low", "high"),
    [
        ("heater_on", 0.0, 3.2e7),
        ("sump_superheat_at_rest", -100.0, 200.0),
        ("charge_deviation", -1.0, 10.0),
        ("off_time", 0.0, 86400.0),
        ("coupling_offset", 0.0, 0.1),
    ],
)
def test_what_is_accepted_as_a_measure(measure: Measure, low: float, high: float) -> None:
    for value in (low, high):
        assert gate(GateInput(SCROLL, measured={measure: exact(value)})).checks
    for value in (low - 1e-6 * abs(high), high * 1.000001):
        with pytest.raises(OutOfRangeError):
            gate(GateInput(SCROLL, measured={measure: exact(value)}))


def test_the_charge_against_the_one_wanted() -> None:
    assert charge_deviation(Measured(11.4, 0.06), exact(12.0)) == Measured(pytest.approx(-0.05), pytest.approx(0.005))  # type: ignore[arg-type]
    assert charge_deviation(exact(0.7), exact(0.7)).value == 0
    assert charge_deviation(exact(100.0), exact(1.0)).value == 10.0


CONTRADICTED = (
    ("suction-filter", {"suction_core_fitted": False, "burnout_grade": 1}),
    ("liquid-drier", {"liquid_drier_fitted": False}),
    ("oil-safety", {"oil_safety_fitted": False}),
    ("sump-warm", {"liquid_in_shell": True}),
    ("sump-warm", {"liquid_in_shell": True, "shell": "high-side"}),
)


@pytest.mark.parametrize(("check", "changed"), CONTRADICTED)
def test_a_claim_that_the_machine_contradicts_is_named(check: str, changed: dict[str, Any]) -> None:
    found = gate(proved(replace(SCROLL, **changed)))
    assert (found.verdict, found.blocking) == ("do not start", (check,))
    (named,) = found.contradictions
    assert "and yet" in named


def test_what_is_not_claimed_contradicts_nothing() -> None:
    base = proved(replace(SCROLL, liquid_in_shell=True))
    evidence = {c: e for c, e in base.evidence.items() if c != "sump-warm"}
    stated = {c: o for c, o in base.stated.items() if c != "sump-warm"}
    found = gate(replace(base, stated=stated, evidence=evidence))
    assert (found.blocking, found.contradictions) == (("sump-warm",), ())


@pytest.mark.parametrize(
    ("core", "locked", "state_"),
    [
        ("cooling", "cooling", "passed"),
        ("heating", "heating", "passed"),
        ("cooling", "heating", "conflicting"),
        ("cooling", None, "missing"),
        (None, "cooling", "missing"),
        (None, None, "missing"),
    ],
)
def test_the_lock_goes_the_way_of_the_cores(core: Any, locked: Any, state_: CheckState) -> None:
    """A bare claim may lock the machine against its cores, which then give their dirt back."""
    machine = replace(heat_pump(fitted=True), core_mode=core, locked_mode=locked)
    assert state(proved(machine), "mode-locked") == state_


def test_warm_oil_settles_what_sources_say_of_the_heater() -> None:
    hours: dict[Measure, Measured] = {"heater_on": exact(9 * 3600.0)}
    base = GateInput(SCROLL, measured=hours)
    assert state(base, "sump-warm") == "conflicting"
    for superheat, expected in ((14.0, "passed"), (9.0, "failed")):
        warm = replace(base, measured={**hours, "sump_superheat_at_rest": exact(superheat)})
        assert state(warm, "sump-warm") == expected
    short = replace(base, measured={"heater_on": exact(1200.0), "sump_superheat_at_rest": exact(14.0)})
    assert state(short, "sump-warm") == "conflicting"  # twenty minutes warm the shell, not what lies in it


@pytest.mark.parametrize(
    ("charge", "fitted", "superheat", "expected"),
    [
        (1.0, False, 0.0, "passed"),
        (1.0, False, -0.1, "failed"),
        (1.001, False, 2.0, "failed"),
        (None, False, 2.0, "failed"),
        (1.0, True, 2.0, "failed"),
        (1.0, None, 2.0, "failed"),
    ],
)
def test_a_small_charge_without_a_heater(
    charge: float | None,
    fitted: bool | None,  # noqa: FBT001
    superheat: float,
    expected: CheckState,
) -> None:
    machine = replace(SCROLL, charge=charge, crankcase_heater_fitted=fitted)
    warm = GateInput(machine, measured={"sump_superheat_at_rest": Measured(superheat, 0.1 if superheat > 1 else 0.0)})
    assert state(warm, "sump-warm") == expected


def test_without_a_heater_the_reading_itself_decides() -> None:
    machine = replace(SCROLL, charge=0.12, crankcase_heater_fitted=False)
    near = GateInput(machine, measured={"sump_superheat_at_rest": Measured(1.0, 2.0)})
    assert state(near, "sump-warm") == "passed"


def test_conditions_are_handed_on() -> None:
    base = proved()
    derated = Evidence("supply readings", "passed", "within", "load the motor to 98% at most")
    found = gate(replace(base, evidence={**base.evidence, "supply": (derated,)}))
    assert (found.verdict, found.conditions) == (MAY, ("load the motor to 98% at most",))
    assert gate(base).conditions == ()


def test_oil_hotter_than_any_heater_makes_it_opens_nothing() -> None:
    """Worst wrong answer: a slip of a unit or a spot on the discharge line taken for a warm, dry sump."""
    for kelvin, outcome in ((59.0, "passed"), (61.0, "conflicting"), (200.0, "conflicting")):
        measured = {"sump_superheat_at_rest": exact(kelvin)}
        found = gate(replace(proved(), measured=measured))  # type: ignore[arg-type]
        state = next(check.state for check in found.checks if check.check == "sump-warm")
        assert state == outcome


@pytest.mark.parametrize(
    ("deviation", "uncertainty", "found"),
    [(0.048, 0.004, "passed"), (0.0, 0.024, "passed"), (0.051, 0.004, "conflicting"), (0.0, 0.03, "missing")],
)
def test_a_scale_that_is_good_enough_decides_by_itself(deviation: float, uncertainty: float, found: CheckState) -> None:
    """The limit of the charge is an estimate: no margin is taken off it; a scale for cylinders says nothing of 60 g."""
    known = replace(proved(), measured={"charge_deviation": Measured(deviation, uncertainty)})
    known = replace(known, evidence={c: e for c, e in known.evidence.items() if c != "charge"})
    assert state(known, "charge") == found
    told = [e.detail for c in gate(known).checks if c.check == "charge" for e in c.evidence]
    assert any("finer scale" in t for t in told) is (found == "missing")
