"""What may be proposed at all: needs, safety, what is known already, what can be reached from the phone."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.permitted import HAS_TO_STOP, actions, name_of, permitted, possible, sorted_out
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Condition, Machine, Report
from witnessmark.diagnosis.catalogue.rows import CheckRow, Knowledge
from witnessmark.diagnosis.result import forbidden

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
SMALL = Machine("scroll", "low-side", "fixed-speed")


def ask(
    known: Knowledge,
    *reports: tuple[str, str],
    conditions: tuple[Condition, ...] | None = None,
    machine: Machine = SCROLL,
) -> Inquiry:
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    return inquire(known, Case(machine, built, conditions=conditions))


def allowed(inquiry: Inquiry) -> set[str]:
    return {finding.id for finding, _ in permitted(inquiry, notices(inquiry))}


def called_for(inquiry: Inquiry) -> set[str]:
    return {name_of(*pair) for pair in actions(inquiry, forbidden(notices(inquiry)))}


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        (
            None,
            {
                "oil-black",
                "oil-acid",
                "superheat",
                "sump-cold",
                "insulation-low",
                "coil-dirty",
                "head-pressure",
                "worked-on",
            },
        ),
        ((), {"coil-dirty", "worked-on"}),
        (("power-off",), {"oil-black", "oil-acid", "insulation-low", "coil-dirty", "worked-on"}),
        (("compressor-removed", "circuit-open"), {"oil-acid", "coil-dirty", "worked-on", "bearing-washed"}),
    ],
)
def test_needs_filter(small: Knowledge, conditions: tuple[Condition, ...] | None, expected: set[str]) -> None:
    assert (
        allowed(ask(small, conditions=conditions, machine=SMALL)) - {"insulation-low"} == expected - {"insulation-low"}
        or allowed(ask(small, conditions=conditions, machine=SMALL)) == expected
    )


def test_an_opened_compressor_does_not_run(small: Knowledge) -> None:
    keys = allowed(ask(small, ("wrap-broken", "present"), machine=SMALL))
    assert "bearing-washed" in keys
    assert "superheat" not in keys


def test_needs_that_exclude_one_another_are_never_met() -> None:
    both = CheckRow(minutes=5, cost=0, how="", needs=("compressor-runs", "power-off"))
    assert not possible(both, frozenset(("compressor-runs", "power-off")))
    assert possible(CheckRow(minutes=5, cost=0, how="", needs=("power-off",)), frozenset(("power-off",)))


def test_a_grounded_winding_makes_the_breaker_needless(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("insulation-low", "present"))
    assert "breaker-trips-at-once" not in allowed(inquiry)
    assert "breaker-trips-at-once" not in dict(sorted_out(inquiry, forbidden(notices(inquiry)))[1])
    assert "breaker-trips-at-once" in allowed(ask(shipped))


def test_danger_is_told_and_never_looked_for(shipped: Knowledge) -> None:
    assert not {key for key in allowed(ask(shipped)) if shipped.findings[key].group == "danger"}


def test_on_the_phone_nothing_needs_an_instrument(shipped: Knowledge) -> None:
    keys = allowed(ask(shipped, ("frost-on-suction", "present"), conditions=()))
    assert {"airflow-low", "coil-iced"} <= keys
    assert not {"suction-superheat", "insulation-low", "charge-short", "bulb-loose", "standing-pressure-high"} & keys


def test_actions_are_called_for_by_what_was_told(shipped: Knowledge) -> None:
    short = (("suction-superheat", "high"), ("suction-pressure", "low"))
    assert called_for(ask(shipped, *short)) == {"leak-search"}
    assert called_for(ask(shipped, *short, ("charge-over", "present"))) == {"weigh-out"}
    assert called_for(ask(shipped, ("condenser-fouled", "absent"))) == set()
    assert called_for(ask(shipped, ("condenser-fouled", "present"), conditions=())) == set()
    assert called_for(ask(shipped, ("bulb-loose", "present"), conditions=("power-off",))) == set()


def test_a_repair_that_starts_it_waits_for_safety(shipped: Knowledge) -> None:
    single = Machine("rotary", "high-side", "fixed-speed", "hermetic", "single-phase")
    assert called_for(ask(shipped, ("capacitor-bad", "present"), machine=single)) == {"replace-capacitor"}
    grounded = (("capacitor-bad", "present"), ("insulation-low", "present"))
    assert called_for(ask(shipped, *grounded, machine=single)) == set()


def test_single_phase_machines_swap_no_legs(shipped: Knowledge) -> None:
    single = Machine("rotary", "high-side", "fixed-speed", "hermetic", "single-phase")
    assert "swap-two-legs" in called_for(ask(shipped, ("loud-from-start", "present")))
    assert "swap-two-legs" not in called_for(ask(shipped, ("loud-from-start", "present"), machine=single))


def test_knowledge_without_an_action_s_finding_does_without_it(small: Knowledge) -> None:
    assert called_for(ask(small, ("superheat", "high"), machine=SMALL)) == set()


@pytest.mark.parametrize("more", [(), ("compressor-runs",)])
@pytest.mark.parametrize("condition", ["power-off", "circuit-open", "compressor-removed"])
def test_no_live_check_where_the_machine_stands_without_power(
    shipped: Knowledge, condition: Condition, more: tuple[Condition, ...]
) -> None:
    """Worst wrong answer: clamp and rotation meter at a live contactor of a machine whose circuit stands open.

    Who says that it runs as well contradicts himself, and is believed in what is safe.
    """
    inquiry = ask(shipped, ("knock-while-running", "present"), conditions=(condition, *more))
    fired = notices(inquiry)
    chosen, withheld = sorted_out(inquiry, forbidden(fired))
    proposed = [*chosen, *permitted(inquiry, ()), *actions(inquiry, frozenset()), *actions(inquiry, forbidden(fired))]
    assert chosen
    assert not [name_of(*pair) for pair in proposed if pair[1].energised or "compressor-runs" in pair[1].needs]
    assert "heater-dead" in dict(withheld)
    assert not called_for(inquiry) & {"heater-dead", "phase-rotation-wrong"}


def test_live_checks_stay_where_nobody_said_that_it_stands(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("capacity-low", "present"))
    assert any(check.energised for _, check in permitted(inquiry, ()))
    runs = ask(shipped, ("knock-while-running", "present"), conditions=("compressor-runs",))
    assert any(check.energised for _, check in permitted(runs, ()))


def test_no_live_check_at_a_machine_that_has_to_stop(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("knock-while-running", "present"))
    left, held = sorted_out(inquiry, HAS_TO_STOP)
    assert left
    assert not [check.how for _, check in left if check.energised or check.starts or "compressor-runs" in check.needs]
    assert dict(held)["running-current"] == "it needs power, and the machine has to stay off"
    assert any(check.energised for _, check in permitted(inquiry, ()))


@pytest.mark.parametrize(
    ("machine", "asked"),
    [
        (Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase"), False),
        (Machine("scroll", "low-side", "inverter", "hermetic", "three-phase"), False),
        (Machine("reciprocating", "low-side", "fixed-speed", "hermetic", "single-phase"), False),
        (Machine("reciprocating", "low-side", "fixed-speed", "semi-hermetic", "three-phase"), True),
        (Machine("screw"), True),
        (Machine(), True),
    ],
)
def test_nobody_looks_for_an_unloader_where_none_is(shipped: Knowledge, machine: Machine, *, asked: bool) -> None:
    inquiry = ask(shipped, ("suction-pressure", "high"), machine=machine)
    assert ("unloader-stuck" in allowed(inquiry)) is asked


def test_a_repair_is_proposed_at_its_own_machines_only(shipped: Knowledge) -> None:
    three = Machine("rotary", "high-side", "inverter", "hermetic", "three-phase")
    assert "swap-two-legs" not in called_for(ask(shipped, ("loud-from-start", "present"), machine=three))


@pytest.mark.parametrize("conditions", [("compressor-removed",), ("power-off", "compressor-removed")])
def test_no_repair_is_watched_at_an_opened_compressor(shipped: Knowledge, conditions: tuple[Condition, ...]) -> None:
    """Clean the condenser and see whether the head comes down, with the compressor on the bench."""
    seen = (("condenser-fouled", "present"), ("valve-plate-discoloured", "present"))
    assert "clean-condenser" not in called_for(ask(shipped, *seen, conditions=conditions))
    assert "clean-condenser" in called_for(ask(shipped, seen[0], conditions=("power-off",)))


def test_nobody_is_sent_to_the_terminals_of_a_compressor_of_which_one_has_blown_out(shipped: Knowledge) -> None:
    vented = ask(shipped, ("terminal-vented", "present"), ("breaker-trips-at-once", "present"))
    forbids = forbidden(notices(vented))
    free, held = sorted_out(vented, forbids)
    assert [finding.id for finding, check in free if "terminal-venting" in check.hazards] == []
    assert [action for _, action in actions(vented, forbids) if "terminal-venting" in action.hazards] == []
    assert "insulation-low" in {name for name, why in held if "at the terminals" in why}
    tripped = ask(shipped, ("breaker-trips-at-once", "present"))
    assert "insulation-low" in allowed(tripped)


RESTRICTED = (("liquid-line-temperature-drop", "present"), ("moisture-high", "present"), ("oil-burnt", "present"))


@pytest.mark.parametrize(("drier", "sent"), [(None, True), (True, True), (False, False)])
def test_nobody_is_sent_to_a_filter_drier_that_is_not_there(
    shipped: Knowledge, *, drier: bool | None, sent: bool
) -> None:
    built = tuple(Report(key, state) for key, state in RESTRICTED)  # type: ignore[arg-type]
    inquiry = inquire(shipped, Case(SCROLL, built, conditions=("power-off", "circuit-open"), liquid_drier=drier))
    assert ("replace-drier" in called_for(inquiry)) is sent
    assert ("drier-discoloured" in allowed(inquiry)) is sent
