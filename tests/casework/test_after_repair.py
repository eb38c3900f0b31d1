"""Readings after a repair. Worst would be a machine that failed again and is called good by what was read before."""

from typing import Any

import pytest

from witnessmark.casework.after_repair import BURNT, gate_owed, overtaken, ran_after
from witnessmark.diagnosis.catalogue.knowledge import knowledge

GOOD, FOUND = {"of": "after-repair", "values": {}}, {"of": "found", "values": {}}


def at(entry: dict[str, Any], hour: int) -> dict[str, Any]:
    return {**entry, "at": f"2026-05-18T{hour:02d}:00"}


@pytest.mark.parametrize(
    ("case", "over"),
    [
        ({}, False),
        ({"readings": [FOUND]}, False),
        ({"readings": [FOUND, GOOD]}, False),
        ({"readings": [GOOD, FOUND]}, True),
        ({"readings": [GOOD, {"values": {}}]}, True),
        ({"readings": [at(GOOD, 9), at(FOUND, 8)]}, False),
        ({"readings": [at(FOUND, 10), at(GOOD, 9)]}, True),
        ({"readings": [at(FOUND, 8), at(GOOD, 9)], "complaint_at": "2026-05-18T07:00"}, False),
        ({"readings": [at(GOOD, 9)], "complaint_at": "2026-05-18T10:00"}, True),
        ({"readings": [at(GOOD, 9)], "notes": [{"text": "dead again", "at": "2026-05-18T10:00"}]}, True),
        ({"readings": [at(GOOD, 9)], "notes": [at({"of": "after-repair"}, 10), {"text": "x"}]}, False),
        ({"readings": [GOOD], "complaint_at": "2026-05-18T10:00"}, False),
        ({"readings": [at(GOOD, 9), {"of": "sound", "values": {}}]}, False),
    ],
)
def test_what_came_later_overtakes_good_readings(case: dict[str, Any], over: object) -> None:
    assert overtaken(case) is over


SEEN = {"findings": [{"finding": "oil-burnt", "state": "present"}]}
ORDERED = {"diagnosis": {"dispatch": {"parts": [{"id": "compressor", "when": "order"}]}}}
MAYBE = {"diagnosis": {"dispatch": {"parts": [{"id": "compressor", "when": "only-if-proved"}]}}}
REPLACED = {"work_done": [{"text": "x", "kind": "compressor-replaced"}]}


@pytest.mark.parametrize(
    ("case", "view", "done", "owed"),
    [
        ({}, {}, {}, False),
        (REPLACED, {}, {}, True),
        ({"signs": {"burn": "winding"}}, {}, {}, True),
        ({}, SEEN, {}, True),
        ({}, {"findings": [{"finding": "oil-burnt", "state": "absent"}]}, {}, False),
        ({}, {}, {"insulation": {"verdict": "grounded"}}, True),
        ({}, {}, ORDERED, True),
        ({}, {}, MAYBE, False),
        ({"work_done": [{"text": "phases swapped"}]}, {}, {"diagnosis": {}}, False),
    ],
)
def test_what_was_opened_burnt_or_found_dead_owes_the_proofs_before_a_start(
    case: dict[str, Any], view: dict[str, Any], done: dict[str, Any], owed: object
) -> None:
    assert gate_owed(case, view, done) is owed


def test_readings_after_the_repair_that_were_not_overtaken_tell_that_it_runs() -> None:
    assert ran_after({"readings": [FOUND, GOOD]})
    assert not ran_after({"readings": [GOOD, FOUND]})
    assert not ran_after({"readings": [FOUND]})
    assert knowledge().findings.keys() >= BURNT
