"""What was true at another time than the rest. Worst would be a reading of the call that is called an earlier one."""

from typing import Any

import pytest

from witnessmark.casework.earlier import EARLIER, of_the_failed_one, without_earlier
from witnessmark.language.catalogue import Language, translator

CALL = "2026-09-14T05:50"
RAN: dict[str, Any] = {"running": True, "suction_pressure": {"value": 18, "unit": "psig"}}
STOOD: dict[str, Any] = {"running": False, "insulation_resistance": {"value": 3, "unit": "kilohm"}}
REQUEST: dict[str, Any] = {
    "findings": [{"finding": "breaker-trips-at-once", "state": "present"}],
    "readings": {**RAN, "insulation_resistance": STOOD["insulation_resistance"]},
}


def case(*sets: tuple[str | None, dict[str, Any]], call: str | None = CALL) -> dict[str, Any]:
    readings = [{"values": values} | ({"at": when} if when else {}) for when, values in sets]
    return {"readings": readings} | ({"complaint_at": call} if call else {})


def test_what_was_read_before_the_call_is_left_out_and_what_was_read_after_it_stands() -> None:
    found = without_earlier(case(("2026-09-12T14:00", RAN), ("2026-09-14T08:30", STOOD)), REQUEST)
    assert found == {**REQUEST, "readings": STOOD}
    alone = without_earlier(case(("2026-09-12T14:00", RAN)), {**REQUEST, "readings": RAN})
    assert alone == {"findings": REQUEST["findings"]}


@pytest.mark.parametrize(
    "told",
    [
        case(("2026-09-14T05:50", RAN)),
        case(("2026-09-14T08:30", RAN)),
        case((None, RAN)),
        case(("2026-09-12T14:00", RAN), call=None),
        case(("2026-09-12T14:00", STOOD), ("2026-09-14T08:30", RAN)),
    ],
)
def test_what_was_read_at_the_call_or_at_a_time_that_nobody_knows_stands(told: dict[str, Any]) -> None:
    assert without_earlier(told, REQUEST) is None


def test_that_it_runs_is_said_of_the_new_compressor_once_the_failed_one_is_out() -> None:
    out = {"work_done": [{"text": "x", "kind": "compressor-removed"}]}
    runs = {"conditions": ["compressor-runs"]}
    assert of_the_failed_one(out, runs) == {}
    assert of_the_failed_one(out, {"conditions": ["power-off", "compressor-runs"]}) == {"conditions": ["power-off"]}
    assert of_the_failed_one(out, {"conditions": ["power-off"]}) == {"conditions": ["power-off"]}
    assert of_the_failed_one({}, runs) == runs
    assert of_the_failed_one({"signs": {"burn": "winding"}}, runs) == runs


@pytest.mark.parametrize("language", ["es", "pt"])
def test_it_is_translated(language: Language) -> None:
    assert translator(language)(EARLIER) != EARLIER
