"""Calls, sound machines and situations, judged before the service answered. Worst: power where it kills, none needed.

One writer, who knew the code, judged 163 calls (danger, spreading damage, loss, comfort, planned; stop or not), 61
sound machines and 86 situations with their next checks. They are constructed, common practice of the trade, no
practitioner labelled them, and classes of misses were mended on them: they guard against falling back and measure no
skill. What the service still judges otherwise stands in `OTHERWISE`, with the reason; labels were not changed. Notes
are counted, since their reading is learned anew from time to time.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from tests.evaluation.calls.calls import SHOWN_BY

from witnessmark.api.app import app

ROWS: list[dict[str, Any]] = [
    json.loads(line)
    for line in Path(__file__).with_name("data").joinpath("judged_calls.jsonl").read_text("utf-8").splitlines()
]
LEVELS = {"danger": (1, 2), "damage": (3,), "loss": (4, 5), "comfort": (6, 7), "planned": (8,)}
_BROKEN = "it is broken already: it is stopped, and how soon to come goes by what depends on it"
OTHERWISE: Mapping[str, str] = {
    "call-056": "foam and low superheat together make floodback likely: it is stopped, not only watched",
    **dict.fromkeys(("call-154", "call-155", "call-156", "call-157", "call-158"), _BROKEN),
    "call-161": "a dead heater harms nothing while it runs: it is mended as planned work",
}
FIRST, AMONG_THREE = 0.9, 0.95


def of(name: str, *, noted: bool = False) -> list[dict[str, Any]]:
    return [
        row for row in ROWS if row["set"] == name and row["id"] not in OTHERWISE and ("note" in row["call"]) == noted
    ]


@cache
def client() -> TestClient:
    return TestClient(app)


def dispatched(call: Mapping[str, Any]) -> dict[str, Any]:
    answer = client().post("/v1/dispatch", json=call).json()["result"]["calls"][0]
    assert answer["problem"] is None
    outcome: dict[str, Any] = answer["outcome"]
    return outcome


def diagnosed(call: Mapping[str, Any], **want: bool) -> dict[str, Any]:
    told = {key: value for key, value in call.items() if key not in {"note", "urgency"}}
    answer = client().post("/v1/diagnosis", json={**told, "want": {"explanation": False, **want}}).json()
    result: dict[str, Any] = answer["result"]
    return result


def judged_alike(row: dict[str, Any]) -> bool:
    said = dispatched(row["call"])
    return said["priority"]["level"] in LEVELS[row["about"]] and (said["operation"]["advice"] == "stop") == row["stop"]


def left_alone(row: dict[str, Any]) -> bool:
    said = dispatched(row["call"])
    return said["operation"]["advice"] != "stop" and not said["safety"]


@pytest.mark.parametrize("row", of("call"), ids=[row["id"] for row in of("call")])
def test_priority_and_stop_of_a_call(row: dict[str, Any]) -> None:
    assert judged_alike(row)


def test_notes_are_judged_alike() -> None:
    rows = of("call", noted=True)
    assert sum(map(judged_alike, rows)) >= 0.9 * len(rows)


def test_no_note_of_danger_is_left_running() -> None:
    dangers = [row for row in of("call", noted=True) if row["about"] == "danger"]
    assert len(dangers) > 15
    assert [row["id"] for row in dangers if dispatched(row["call"])["operation"]["advice"] != "stop"] == []


def test_hardly_any_call_is_judged_otherwise() -> None:
    assert len(OTHERWISE) <= 0.05 * sum(row["set"] == "call" for row in ROWS)
    for row in ROWS:
        if row["id"] in OTHERWISE:
            assert not judged_alike(row)


@pytest.mark.parametrize("row", of("sound"), ids=[row["id"] for row in of("sound")])
def test_a_sound_machine_gets_no_alarm_and_no_verdict_against_it(row: dict[str, Any]) -> None:
    assert left_alone(row)
    verdict = diagnosed(row["call"], next_checks=False)["verdict"]
    assert verdict["state"] in {"no-compressor-fault-likely", "not-enough-evidence"}


def test_sound_machines_in_words_get_hardly_any_alarm() -> None:
    rows = of("sound", noted=True)
    assert sum(map(left_alone, rows)) >= 0.9 * len(rows)


@cache
def proposed(number: int) -> tuple[frozenset[str], ...]:
    checks = diagnosed(ROWS[number]["call"])["next_checks"]["checks"][:3]
    names = [check["action"] or check["finding"] for check in checks]
    return tuple(frozenset({name, *(f"reading:{field}" for field in SHOWN_BY.get(name, ()))}) for name in names)


SITUATIONS = [number for number, row in enumerate(ROWS) if row["set"] == "next"]


def accepted(first: int) -> float:
    hits = [any(check & {*ROWS[k]["accept"]} for check in proposed(k)[:first]) for k in SITUATIONS]
    return sum(hits) / len(hits)


def test_the_first_check_is_one_that_a_technician_makes() -> None:
    assert accepted(1) >= FIRST


def test_so_is_one_of_the_first_three() -> None:
    assert accepted(3) >= AMONG_THREE


@pytest.mark.parametrize("number", SITUATIONS, ids=[ROWS[k]["id"] for k in SITUATIONS])
def test_none_of_the_first_three_is_foolish(number: int) -> None:
    assert not any(check & {*ROWS[number]["foolish"]} for check in proposed(number))
