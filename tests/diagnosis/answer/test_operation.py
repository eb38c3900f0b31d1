"""Stop, keep running, or nobody can say. Worst: a grounded motor runs on; a sound one is locked out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.operation import _how_likely, operation, running
from witnessmark.diagnosis.answer.safety import abnormal, notices
from witnessmark.diagnosis.case import Case, Condition, Doubt, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import Operation

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")


def told(known: Knowledge, case: Case, **heard: str) -> Operation:
    inquiry = inquire(known, case)
    return operation(inquiry, notices(inquiry, heard), {**heard, **abnormal(inquiry)})


def case(*keys: str, state: str = "present", **more: object) -> Case:
    return Case(SCROLL, tuple(Report(key, state) for key in keys), **more)  # type: ignore[arg-type]


GROUNDED = ("insulation-low", "breaker-trips-at-once", "terminal-burnt", "winding-open", "oil-burnt", "phase-missing")


@pytest.mark.parametrize("key", GROUNDED)
def test_a_grounded_or_burnt_motor_never_runs_on(shipped: Knowledge, key: str) -> None:
    """Whatever else speaks for running: it ran, it is quiet, it pumps."""
    good = (Report("pumps-and-holds", "present"), Report("quiet-running", "present"))
    said = told(shipped, Case(SCROLL, (Report(key, "present", 0.6), *good), ran=True))
    assert said.advice == "stop"
    assert said.because[0] == key
    assert said.reason.startswith("Keep it off: ")


@pytest.mark.parametrize(
    "reports",
    [
        (("frost-on-suction", "present"), ("running-current", "normal")),
        (("protector-open-hot", "present"), ("windings-balanced-insulation-good", "present")),
        (("quiet-running", "present"), ("pumps-and-holds", "present")),
        (("charge-short", "present"), ("suction-superheat", "high"), ("suction-pressure", "low")),
        (("high-hours", "present"),),
        (("condenser-fouled", "present"),),
        (("supply-voltage", "low"),),
        (),
    ],
)
def test_nothing_that_merely_troubles_a_machine_stops_it(
    shipped: Knowledge, reports: tuple[tuple[str, str], ...]
) -> None:
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    for ran in (False, True):
        inquiry = inquire(shipped, Case(SCROLL, built, ran=ran))
        assert operation(inquiry, notices(inquiry), abnormal(inquiry)).advice != "stop"
        assert not [notice.rule for notice in notices(inquiry) if "energise" in notice.forbids]


def test_a_sign_stops_what_would_be_ruined(shipped: Knowledge) -> None:
    said = told(shipped, case("knock-while-running", ran=True))
    assert (said.advice, said.because) == ("stop", ("knock-while-running",))
    pumped = Machine("reciprocating", None, "fixed-speed", "semi-hermetic", "three-phase")
    low, high = (Case(pumped, (Report("net-oil-pressure", state),), ran=True) for state in ("low", "high"))
    assert told(shipped, low).advice == "stop"
    assert told(shipped, high).advice == "keep-running"


def test_a_mode_stops_it_where_something_that_it_shows_was_found(shipped: Knowledge) -> None:
    said = told(shipped, case("coupling-keys-broken"))
    assert (said.advice, said.because) == ("stop", ("coupling-failure",))
    assert said.reason.endswith(" is very likely.")
    assert told(shipped, case("oil-return-piping-poor", ran=True)).advice == "keep-running"


def test_a_mode_of_a_rule_is_named(small: Knowledge) -> None:
    reports = (Report("oil-black", "present"), Report("oil-acid", "present"))
    said = told(small, Case(Machine("scroll", "low-side", "fixed-speed"), reports))
    assert said == Operation("stop", "Keep it off: burnout is likely.", ("burnout",))


def test_what_was_heard_in_doubt_stops_it_too(shipped: Knowledge) -> None:
    assert told(shipped, Case(SCROLL, ran=True), **{"insulation-low": "present"}).advice == "stop"


def test_it_runs_on_where_it_runs_and_nothing_speaks_against(shipped: Knowledge) -> None:
    said = told(shipped, case("capacity-low", ran=True))
    assert (said.advice, said.because) == ("keep-running", ("compressor-runs",))
    assert told(shipped, case("suction-superheat", state="normal")).because == ("suction-superheat",)
    assert told(shipped, case("compressor-runs")).advice == "keep-running"
    assert told(shipped, Case(SCROLL, conditions=("compressor-runs",))).advice == "keep-running"


def test_nobody_can_say(shipped: Knowledge) -> None:
    assert told(shipped, Case(SCROLL)).advice == "unknown"
    said = told(shipped, case("no-pressure-difference", ran=True))
    assert (said.advice, said.because) == ("unknown", ("no-pressure-difference",))


@pytest.mark.parametrize("value", [1.52, 1.6, 1.7, 1.8, 1.84])
@pytest.mark.parametrize("quantity", ["compression-ratio", "compression-ratio-low-temperature"])
def test_what_may_hardly_pump_does_not_run_on(shipped: Knowledge, quantity: str, value: float) -> None:
    """Worst: `let it run` at a ratio at which most machines with leaking valves stand."""
    said = told(shipped, Case(SCROLL, readings=(Reading(quantity, value, 0.03),), ran=True))
    assert said.advice != "keep-running"
    assert said.reason != ""


@pytest.mark.parametrize(("quantity", "value"), [("compression-ratio", 2.1), ("compression-ratio-low-lift", 1.6)])
def test_an_ordinary_ratio_and_one_that_is_usual_there_run_on(shipped: Knowledge, quantity: str, value: float) -> None:
    assert told(shipped, Case(SCROLL, readings=(Reading(quantity, value, 0.03),), ran=True)).advice == "keep-running"


def test_what_runs_is_not_kept_from_starting(shipped: Knowledge) -> None:
    """A dead heater forbids the next start; it does not stop a machine that runs."""
    assert told(shipped, case("heater-dead")).advice == "stop"
    assert told(shipped, case("heater-dead", ran=True)).advice == "keep-running"


@pytest.mark.parametrize(
    ("made", "seen"),
    [
        (case("superheat-hunting"), ("superheat-hunting",)),
        (case("superheat-hunting", conditions=("compressor-removed",)), ()),
        (case("superheat-hunting", reported_by=("teardown",)), ()),
        (case("superheat-hunting", "wraps-shattered", ran=True), ()),
        (case("capacity-low"), ()),
        (case("capacity-low", ran=True), ("compressor-runs",)),
    ],
)
def test_what_can_only_be_seen_running_counts_as_running(shipped: Knowledge, made: Case, seen: tuple[str, ...]) -> None:
    assert running(inquire(shipped, made)) == seen


@pytest.mark.parametrize("reports", [(), (("capacity-low", "present"),), (("suction-superheat", "normal"),)])
def test_nothing_runs_on_on_readings_in_doubt(shipped: Knowledge, reports: tuple[tuple[str, str], ...]) -> None:
    doubt = Doubt(("running", "running_current"), "a compressor that runs has current", "the clamp")
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    said = told(shipped, Case(SCROLL, built, ran=True, doubts=(doubt,)))
    assert said.advice == "unknown"
    assert said.reason.startswith("Readings cannot be right together")


@pytest.mark.parametrize(
    "made",
    [
        Case(SCROLL, stood=True),
        case("capacity-low", stood=True),
        case("suction-superheat", state="normal", stood=True),
        case("will-not-start"),
    ],
)
def test_one_that_stands_is_said_to_stand(shipped: Knowledge, made: Case) -> None:
    said = told(shipped, made)
    assert "Nobody said whether it runs" not in said.reason
    assert said.advice != "keep-running"


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.95, "very likely"), (0.75, "likely"), (0.6, "more likely than not"), (0.3, "possible"), (0.1, "possible")],
)
def test_a_mode_is_called_as_likely_as_it_is(
    shipped: Knowledge, monkeypatch: pytest.MonkeyPatch, chance: float, words: str
) -> None:
    """Worst for trust: a burnout of 26 % is called likely."""
    inquiry = inquire(shipped, case("coupling-keys-broken"))
    monkeypatch.setattr(Inquiry, "probability", lambda *_: chance)
    assert _how_likely(inquiry, "general-burnout").endswith(f" is {words}")


@pytest.mark.parametrize("more", [(), (("capacity-low", "present"), ("suction-pressure", "low"))])
def test_an_iced_coil_neither_runs_on_nor_is_locked_out(shipped: Knowledge, more: tuple[tuple[str, str], ...]) -> None:
    """Worst: the answer says let it run, and tells the caller to switch it off and thaw it."""
    built = tuple(Report(key, state) for key, state in (("coil-iced", "present"), *more))  # type: ignore[arg-type]
    said = told(shipped, Case(SCROLL, built, conditions=("compressor-runs",)))
    assert (said.advice, said.because) == ("unknown", ("coil-iced",))
    assert "off at its control until the ice has thawed" in said.reason
    clean = Case(SCROLL, (Report("coil-iced", "absent"),), conditions=("compressor-runs",))
    assert told(shipped, clean).advice == "keep-running"


@pytest.mark.parametrize("conditions", [("compressor-removed",), ("power-off", "circuit-open")])
def test_nobody_asks_whether_an_opened_machine_runs(shipped: Knowledge, conditions: tuple[Condition, ...]) -> None:
    said = told(shipped, case("bearing-fluted", conditions=conditions))
    assert said.advice == "unknown"
    assert said.reason == "It stands opened or out of the circuit: nothing runs before it is closed and proved."


def test_who_says_that_it_runs_has_not_opened_it(shipped: Knowledge) -> None:
    """A slide that sticks is seen at its indicator as well; a winding that was seen burnt stops it all the same."""
    screw = Machine("screw", None, "fixed-speed", "semi-hermetic", "three-phase")
    runs = Case(screw, (Report("slide-valve-stuck", "present"),), conditions=("compressor-runs",))
    assert told(shipped, runs).advice == "keep-running"
    burnt = Case(screw, (Report("windings-burnt-evenly", "present"),), conditions=("compressor-runs",))
    assert told(shipped, burnt).advice == "stop"
    assert told(shipped, replace(runs, conditions=None)).reason.startswith("It stands opened")


def test_a_reading_at_its_limit_stops_nothing(shipped: Knowledge) -> None:
    """A sound inverter at little lift has 12.9 K at the discharge, a window unit 4.6 K at the suction."""
    for key, value, advice in (
        ("discharge-superheat", 12.9, "keep-running"),
        ("discharge-superheat", 4.0, "stop"),
        ("suction-superheat", 4.6, "keep-running"),
        ("suction-superheat", 2.0, "unknown"),
    ):
        read = Case(SCROLL, readings=(Reading(key, value, 0.8),), ran=True)
        assert told(shipped, read).advice == advice, (key, value)
