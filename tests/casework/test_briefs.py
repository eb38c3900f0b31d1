"""A part in short: its verdict, what people act on, and its next step always stand."""

from typing import Any

import pytest

from witnessmark.api.routes.case_parts import OPERATIONS, work
from witnessmark.casework.briefs import LONGEST, Brief, brief
from witnessmark.demo import cases

NOT_YET = "No power yet, since this is not proved: "


@pytest.fixture(scope="module")
def slugged() -> dict[str, Any]:
    return work(cases.everything()["slug-after-overcharge"]).results


def test_every_part_has_its_brief(slugged: dict[str, Any]) -> None:
    assert set(slugged) <= set(OPERATIONS)
    for part, result in slugged.items():
        made = brief(part, result)
        assert made.verdict, part
        assert all(made.points), part


def test_the_gate_says_what_keeps_it_shut_and_what_is_next(slugged: dict[str, Any]) -> None:
    gate = slugged["restart"]
    made = brief("restart", gate)
    assert made.verdict == "do not start"
    titles = [check["title"] for check in gate["checks"] if check["check"] in gate["blocking"]]
    assert [point.rsplit(":", 1)[0] for point in made.points] == titles
    assert made.next == f"{NOT_YET}{titles[0]}."


def test_the_diagnosis_says_what_must_not_be_done_before_what_leads(slugged: dict[str, Any]) -> None:
    made = brief("diagnosis", slugged["diagnosis"])
    assert made.points[0].startswith("No restart to see whether it still pumps")
    assert any(point.startswith("Keep it off: ") for point in made.points)
    assert made.points[-3].startswith("Liquid or oil slug: very likely (over 99 %)")


def test_danger_in_a_note_leads_its_brief() -> None:
    heard = {
        "call_back": {"reason": "somebody may be hurt"},
        "safety": [{"text": "Leave."}],
        "matches": [{"text": "Smoke", "state": "present"}],
        "verdict": "something matched",
    }
    assert brief("note", heard).points == (
        "Call back before anything else: somebody may be hurt.", "Leave.", "Smoke: present"
    )  # fmt: skip
    assert brief("note", {**heard, "call_back": None}).points[0] == "Leave."


def test_a_verdict_is_told_with_its_reasons_whatever_they_are() -> None:
    assert brief("windings", {"verdict": "unbalanced", "explanation": "U to V"}) == Brief("unbalanced", ("U to V",))
    assert brief("superheat", {"verdict": "above", "likely_reasons": ["a", "a"]}).points == ("a",)
    assert brief("compression", {"verdict": "weak", "reasons": [{"text": "hot"}, 3]}).points == ("hot",)
    assert brief("evacuation", {"decay": None}) == Brief("")
    long = brief("windings", {"verdict": "x" * 5000})
    assert len(long.verdict) == LONGEST
    assert long.verdict.endswith("…")


def test_a_plan_and_a_diagnosis_without_steps_ask_for_nothing() -> None:
    severity = {"grade": 0, "name": "clean", "solids": "none found", "text": "Nothing to do."}
    assert brief("cleanup", {"severity": severity, "steps": []}).next == ""
    found: dict[str, Any] = {
        "verdict": {"text": "v"},
        "safety": [],
        "operation": {"reason": ""},
        "modes": [],
        "next_checks": None,
    }
    assert brief("diagnosis", found) == Brief("v")
