"""What results order by themselves. Worst would be a machine that must stop and of which the case says nothing."""

import inspect
from typing import Any

import pytest

from witnessmark.api.routes.case_parts import OPERATIONS
from witnessmark.casework.orders import AFTER, RUNNING, TABLE, Order, good_after, orders, unproved
from witnessmark.casework.summary import SOUND
from witnessmark.language.catalogue import Language, translator
from witnessmark.restart.after_run import RunVerdict
from witnessmark.vocabulary import words


def diagnosis(advice: str, state: str = "not-enough-evidence", **more: Any) -> dict[str, Any]:
    operation = {"advice": advice, "reason": "Keep it off: it knocks."}
    return {"operation": operation, "verdict": {"state": state, "text": "In the lead: x."}, **more}


def after(advice: str, pumping: str | None = None, state: str = "not-enough-evidence") -> dict[str, Any]:
    read: dict[str, Any] = {"diagnosis": diagnosis(advice, state)}
    return {AFTER: read if pumping is None else {**read, "compression": {"verdict": pumping}}}


def test_a_run_that_must_end_goes_before_everything_and_names_what_is_out() -> None:
    run = {
        "verdict": "stop and find out",
        "outside": [{"item": "discharge_temperature"}, {"item": "discharge_temperature"}],
        "stages": [{"failed_proofs": ["acid_free"]}],
    }
    bad = {"supply": {"verdict": "outside"}}
    first = orders({**bad, "restart": {"after_run": run}}, repaired=True)[0]
    assert first.urgent
    assert first.text == "Stop the machine, lock it out and find out why: discharge temperature, acid free."
    bare = orders({"restart": {"after_run": {**run, "outside": [], "stages": []}}}, repaired=True)[0]
    assert bare.text == "Stop the machine, lock it out and find out why."
    going = orders({"restart": {"after_run": {**run, "verdict": "go on watching"}}}, repaired=True)[0]
    assert (going.urgent, going.lead, going.line) == (False, False, "Run after the start: go on watching.")
    assert orders({"restart": {"after_run": None}}, repaired=True) == ()


def test_a_machine_that_must_stay_off_is_told_so_with_the_first_check_that_is_left() -> None:
    checks: dict[str, Any] = {"next_checks": {"checks": [{"text": "Sight glass? Look.", "cautions": ["hot-parts"]}]}}
    (order,) = orders({"diagnosis": diagnosis("stop", **checks)}, repaired=False)
    assert order.urgent
    assert (order.line, order.text) == ("Keep it off: it knocks.", "Keep it off: it knocks. Sight glass? Look.")
    assert order.cautions == ("lock-out", "hot-parts")
    (bare,) = orders({"diagnosis": diagnosis("stop", next_checks=None)}, repaired=False)
    assert bare.text == "Keep it off: it knocks."
    (ruled,) = orders({"diagnosis": diagnosis("stop", safety=[{"forbids": ["energise"]}])}, repaired=False)
    assert not ruled.urgent
    assert orders({"diagnosis": diagnosis("stop")}, repaired=True) == ()
    assert orders({"diagnosis": diagnosis("keep-running")}, repaired=False) == ()


def test_a_machine_that_must_stay_off_is_not_cut_open_and_nobody_is_asked_after_who_was_made_safe() -> None:
    inside = {"text": "Cut it open.", "cautions": ["cut-open-shell"], "needs": ["compressor-removed"]}
    who = {"text": "Who is unwell?", "cautions": [], "finding": "people-unwell"}
    look = {"text": "Look.", "cautions": []}
    done = {"diagnosis": diagnosis("stop", next_checks={"checks": [inside, who, look]})}
    for safe, text in ((False, "Who is unwell?"), (True, "Look.")):
        (order,) = orders(done, repaired=False, made_safe=safe)
        assert order.text == f"Keep it off: it knocks. {text}"
        assert order.cautions == ("lock-out",)


def test_good_readings_after_the_repair_end_what_was_found_before_it() -> None:
    found = {"diagnosis": diagnosis("stop"), **after("keep-running", "pumping")}
    assert good_after(found)
    assert orders(found, repaired=False) == ()
    assert good_after(after("keep-running"))
    for bad in (after("keep-running", "weak"), after("keep-running", "pumping", "diagnosed"), after("unknown"), {}):
        assert not good_after(bad)


def test_bad_readings_after_the_repair_lead() -> None:
    (stop,) = orders(after("stop"), repaired=True)
    assert stop.urgent
    assert stop.text == "After the repair: Keep it off: it knocks."
    (weak,) = orders(after("keep-running", "not pumping"), repaired=True)
    assert weak.urgent
    assert weak.text == "After the repair: In the lead: x. Does the compressor pump: not pumping."
    (open_still,) = orders(after("keep-running", None, "leading-candidates"), repaired=True)
    assert open_still.urgent
    assert orders(after("unknown"), repaired=True) == ()


@pytest.mark.parametrize("row", TABLE().row, ids=lambda row: f"{row.part}: {row.verdicts[0]}")
def test_every_verdict_of_the_table_is_one_that_its_part_can_have(row: Any) -> None:
    answer = inspect.signature(OPERATIONS[row.part], eval_str=True).return_annotation
    result = answer.model_fields["result"].annotation
    assert set(row.verdicts) <= set(words(result.model_fields["verdict"].annotation))


def test_bad_verdicts_of_the_failed_compressor_are_over_when_it_is_out_and_those_of_the_supply_are_not() -> None:
    done = {"supply": {"verdict": "outside"}, "insulation": {"verdict": "grounded"}, "oil": {"verdict": "sample again"}}
    told = orders(done, repaired=False)
    assert [order.line for order in told] == ["Supply: outside.", "Insulation: grounded.", "Oil: sample again."]
    assert [order.lead for order in told] == [True, True, False]
    assert [order.part for order in orders(done, repaired=True)] == ["supply", "oil"]
    assert orders({"supply": {"verdict": "within"}}, repaired=False) == ()


@pytest.mark.parametrize("language", ["es", "pt"])
def test_every_order_is_translated(language: Language) -> None:
    said = translator(language)
    texts = [
        *RUNNING.values(),
        SOUND,
        "Stop the machine, lock it out and find out why.",
        *(row.text for row in TABLE().row),
    ]
    texts += [f"{row.part.capitalize()}: {verdict}." for row in TABLE().row for verdict in row.verdicts]
    texts += [f"Run after the start: {verdict}." for verdict in words(RunVerdict)]
    assert [text for text in texts if said(text) == text] == []
    assert "Supply" not in said("Supply: outside.")
    assert said("Supply: outside.").count("outside") == 0


SHUT: dict[str, Any] = {"restart": {"blocking": ["fragments"]}}
OPEN: dict[str, Any] = {"restart": {"blocking": []}}


@pytest.mark.parametrize(
    ("done", "ordered", "failed", "open_still"),
    [
        ({}, (), (), False),
        (SHUT, (), (), True),
        (OPEN, (), (), False),
        ({}, (), ("restart",), True),
        ({}, (), ("superheat",), False),
        ({"debris": {"verdict": "fragments may be missing"}}, (), (), True),
        ({"debris": {"verdict": "fragments are missing"}, **OPEN}, (), (), False),
        ({}, (), ("debris",), True),
        ({"cleanup": {"severity": {"solids": "fragments"}}}, (), (), True),
        ({"cleanup": {"severity": {"solids": "fines"}}}, (), (), False),
        (OPEN, (Order("oil", "Oil: change oil and driers.", "Change it."),), (), True),
        (OPEN, (Order("oil", "Oil: sample again.", "Sample.", lead=False),), (), False),
        (OPEN, (Order("restart", "Stop.", "Stop.", urgent=True, lead=False),), (), True),
    ],
)
def test_a_machine_that_runs_is_not_proved_by_running(
    done: dict[str, Any], ordered: tuple[Order, ...], failed: tuple[str, ...], open_still: object
) -> None:
    assert unproved(done, ordered, failed) is open_still
    assert unproved(done, ordered, failed, owed=True) is (open_still or "restart" not in done)
    assert "close the job" in RUNNING[False]
    assert "speaks for stopping" not in RUNNING[True]
    assert "close the job" not in RUNNING[True]
