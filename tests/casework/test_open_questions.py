"""What is worth asking next."""

from typing import Any

import pytest

from witnessmark.casework import open_questions
from witnessmark.casework.danger import Danger, danger
from witnessmark.casework.open_questions import Question

KNOWN: dict[str, Any] = {
    "complaint": "dead",
    "refrigerant": "R-32",
    "machine": dict.fromkeys(("compressor", "shell", "construction", "phases", "drive", "application"), "x"),
}


def questions(seen: dict[str, Any], lacking: dict[str, tuple[str, ...]], done: dict[str, Any]) -> list[Question]:
    return open_questions.questions(seen, lacking, done, danger({}, done))


def test_danger_is_asked_first() -> None:
    first, *_ = questions({}, {}, {"note": {"call_back": {"reason": "alarm"}}})
    assert first.kind == "danger"


def test_an_empty_case_is_asked_what_was_said_first() -> None:
    asked = questions({}, {}, {})
    assert [question.field for question in asked][:3] == ["complaint", "refrigerant", "machine.compressor"]
    assert "restart" in asked[2].unlocks
    assert questions(KNOWN, {}, {}) == []


def test_what_is_lacking_is_asked_where_something_began_the_most_helpful_first() -> None:
    seen = {**KNOWN, "filter_log": {"readings": [1]}}
    lacking = {
        "filter_log": ("site.time_zone", "machine.evaporating_temperature"),
        "cleanup": ("machine.oil", "site.time_zone"),
        "debris": ("breakage.parts",),
        "superheat": ("now.suction_temperature",),
    }
    asked = questions(seen, lacking, {})
    assert [question.field for question in asked] == [
        "site.time_zone",
        "machine.evaporating_temperature",
        "machine.oil",
    ]
    assert asked[0].unlocks == ("filter_log", "cleanup")
    read = questions({**KNOWN, "now": {"suction_temperature": 1}}, {"superheat": ("now.suction_pressure", "x.y_z")}, {})
    assert [(question.field, question.text) for question in read] == [
        ("readings.0.values.suction_pressure", "What does the suction pressure read?"),
        ("x.y_z", "What is the y z?"),
    ]


def test_next_checks_and_the_gate() -> None:
    checks = {
        "next_checks": {
            "checks": [{"finding": "oil-burnt", "how": "Look at the oil.", "text": "Burnt?", "outcomes": []}]
        }
    }
    gate = {
        "blocking": ["charge"],
        "checks": [
            {"check": "charge", "title": "Weighed in", "state": "missing"},
            {"check": "brazing", "title": "Brazed", "state": "passed"},
        ],
    }
    asked = questions(KNOWN, {}, {"diagnosis": checks, "restart": gate})
    assert [(question.kind, question.finding, question.check) for question in asked] == [
        ("finding", "oil-burnt", ""),
        ("check", "", "charge"),
    ]
    assert questions(KNOWN, {}, {"diagnosis": {"next_checks": None}}) == []
    unknown = {**KNOWN, "findings": [{"finding": "oil-burnt", "state": "unknown"}]}
    assert [question.kind for question in questions(unknown, {}, {"diagnosis": checks, "restart": gate})] == ["check"]


def test_people_come_before_the_plate_of_the_machine() -> None:
    note = {"text": "Bring everybody into fresh air.", "cautions": [], "because": ["people-unwell"]}
    asked = questions({}, {}, {"note": {"safety": [note]}})
    assert (asked[0].kind, asked[0].why) == ("danger", "Bring everybody into fresh air.")
    locked = {"text": "No further start.", "cautions": [], "because": ["shaft-seized"]}
    assert questions({}, {}, {"diagnosis": {"safety": [locked]}})[0].kind == "field"


def test_danger_that_stands_is_followed_by_how_to_say_that_it_is_over() -> None:
    note = {"text": "Fresh air.", "cautions": [], "because": ["people-unwell"]}
    asked = questions({}, {}, {"note": {"safety": [note]}})
    assert asked[1].field == "work_done"
    assert "made-safe" in asked[1].text


def test_after_the_repair_the_gate_is_asked_before_the_failed_machine() -> None:
    checks = [
        {"how": "Look.", "text": "a", "finding": "oil-burnt", "outcomes": [{"words": "if so: x"}]},
        {"how": "Who?", "text": "b", "finding": "people-unwell", "outcomes": []},
    ]
    gate = {"blocking": ["charge"], "checks": [{"check": "charge", "title": "Charge", "state": "missing"}]}
    done: dict[str, Any] = {"diagnosis": {"next_checks": {"checks": checks}}, "restart": gate}
    past = open_questions.questions(KNOWN, {}, done, Danger(repaired=True))
    assert [question.check or question.finding for question in past] == ["charge", "oil-burnt"]
    assert questions(KNOWN, {}, done)[0].finding == "oil-burnt"


def test_of_a_machine_in_order_after_its_repair_nothing_of_before_is_asked() -> None:
    check = {"finding": "oil-burnt", "text": "Oil burnt? Look.", "how": "Look.", "outcomes": []}
    done = {"diagnosis": {"next_checks": {"checks": [check]}}}
    assert [q for q in open_questions.questions({}, {}, done, Danger()) if q.finding]
    assert not [q for q in open_questions.questions({}, {}, done, Danger(good=True)) if q.finding]


def test_who_was_made_safe_is_not_asked_after_once_more() -> None:
    unwell = {"finding": "people-unwell", "text": "Who is unwell?", "how": "Ask.", "outcomes": []}
    burnt = {"finding": "oil-burnt", "text": "Oil burnt? Look.", "how": "Look.", "outcomes": []}
    done = {"diagnosis": {"next_checks": {"checks": [unwell, burnt]}}}
    for safe, asked in ((False, ["people-unwell", "oil-burnt"]), (True, ["oil-burnt"])):
        told = open_questions.questions({}, {}, done, Danger(made_safe=safe))
        assert [question.finding for question in told if question.finding] == asked


KEPT_OFF: dict[str, Any] = {
    "text": "Do not re-energise.",
    "cautions": ["lock-out", "insulation-test"],
    "because": ["breaker-trips"],
}


@pytest.mark.parametrize(
    ("seen", "asked"),
    [
        ({}, ["tests_of_failure.insulation.resistance", "tests_of_failure.windings.terminals"]),
        ({"now": {"insulation_resistance": 1}}, ["tests_of_failure.windings.terminals"]),
        ({"tests_of_failure": {"insulation": {}, "windings": {}}}, []),
    ],
)
def test_what_a_safety_rule_wants_proved_goes_before_what_else_might_tell(
    seen: dict[str, Any], asked: list[str]
) -> None:
    """Nobody looks at the evaporator of a machine that tripped its breaker before its winding is proved."""
    found = open_questions.questions(seen, {}, {}, Danger(standing=(KEPT_OFF,)))
    fields = [question.field for question in found if question.kind == "field"]
    assert [field for field in fields if field.startswith("tests_of_failure")] == asked
    assert fields[3 : 3 + len(asked)] == asked  # after complaint, refrigerant and compressor


@pytest.mark.parametrize(
    "standing",
    [
        Danger(standing=(KEPT_OFF, {"text": "x", "cautions": [], "because": ["people-unwell"]})),
        Danger(standing=(KEPT_OFF,), repaired=True),
        Danger(standing=({**KEPT_OFF, "cautions": ["lock-out"]},)),
    ],
)
def test_nobody_measures_where_people_are_in_danger_or_the_compressor_is_out(standing: Danger) -> None:
    assert not [q for q in open_questions.questions({}, {}, {}, standing) if q.field.startswith("tests_of_failure")]


def test_another_compressor_is_asked_for_the_tests_before_its_start() -> None:
    replaced = Danger(repaired=True, replaced=True)
    begun: dict[str, Any] = {"before_start": {"stated": []}}
    asked, later = (
        [q.field for q in open_questions.questions(seen, {}, {}, replaced) if q.field.startswith("before_start")]
        for seen in ({}, begun)
    )
    assert asked == ["before_start.pressure_tests", "before_start.evacuation", "before_start.stated"]
    assert later == []
    assert not [
        q for q in open_questions.questions({}, {}, {}, Danger(repaired=True)) if q.field.startswith("before_start")
    ]
