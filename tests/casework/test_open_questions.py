"""What is worth asking next."""

from typing import Any

import pytest

from witnessmark.api.routes.case_parts import work
from witnessmark.casework import open_questions, stages
from witnessmark.casework.danger import Danger, danger
from witnessmark.casework.open_questions import Question
from witnessmark.demo import cases
from witnessmark.diagnosis.notes.danger_rows import as_ruled

KNOWN: dict[str, Any] = {
    "complaint": "dead",
    "refrigerant": "R-32",
    "machine": dict.fromkeys(("compressor", "shell", "construction", "phases", "drive", "application"), "x"),
}


def questions(seen: dict[str, Any], lacking: dict[str, tuple[str, ...]], done: dict[str, Any]) -> list[Question]:
    return without_stages(open_questions.questions(seen, lacking, done, danger({}, done)))


CALM = Danger()


def without_stages(asked: list[Question]) -> list[Question]:
    """Without readings of the machine and what the cleanup begins with, which are asked of nearly every case."""
    stages = {"It decides the verdict of a machine that runs.", "The cleanup and the gate before power begin with it."}
    return [question for question in asked if question.why not in stages]


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


def test_readings_are_asked_for_by_how_the_machine_stands() -> None:
    def read(seen: dict[str, Any], standing: Danger = CALM) -> list[str]:
        asked = open_questions.questions({**KNOWN, **seen}, {}, {}, standing)
        return [question.field.rsplit(".", 1)[-1] for question in asked if question.field.startswith("readings")]

    every = ["running", "suction_pressure", "discharge_pressure", "suction_temperature", "liquid_temperature"]
    assert read({})[:5] == every
    assert read({"now": {"running": False}}) == []
    assert read({"conditions": ["compressor-runs"]})[0] == "suction_pressure"
    assert read({"findings": [{"finding": "compressor-runs", "state": "present"}]})[0] == "suction_pressure"
    assert read({"findings": [{"finding": "will-not-start", "state": "present"}]}) == []
    noted = {"note": {"readings": {"suction_pressure": {"value": 1}, "running": None}}}
    told = open_questions.questions(KNOWN, {}, noted, CALM)
    assert "readings.0.values.suction_pressure" not in [question.field for question in told]
    assert read({"now": {"running": True, "suction_superheat": 5}})[0] == "discharge_pressure"
    unwell = {"text": "x", "cautions": [], "because": ["people-unwell"]}
    for standing in (Danger(standing=(unwell,)), Danger(repaired=True), Danger(good=True),
                     Danger(standing=({**unwell, "because": ["shaft-seized"], "forbids": ["start"]},))):  # fmt: skip
        assert read({}, standing) == []


def test_what_the_cleanup_begins_with_is_asked_once_a_compressor_failed() -> None:
    def later(
        state: str, standing: Danger = CALM, checks: tuple[Any, ...] = (), order: str = "order", **more: Any
    ) -> list[str]:
        parts = [{"id": "compressor", "when": order}] if order else []
        found = {"verdict": {"state": state}, "next_checks": {"checks": checks}, "dispatch": {"parts": parts}}
        asked = open_questions.questions({**KNOWN, **more}, {}, {"diagnosis": found}, standing)
        return [q.field for q in asked if q.why.startswith("The cleanup")]

    check = {"finding": "oil-burnt", "text": "Oil burnt?", "how": "Look.", "outcomes": []}
    tests = ["tests_of_failure.insulation.resistance", "tests_of_failure.windings.terminals"]
    assert later("diagnosed")[:2] == tests
    assert not any(field in later("diagnosed") for field in stages.OPENED_ONLY)
    assert set(stages.OPENED_ONLY) < set(later("diagnosed", Danger(repaired=True)))
    assert later("diagnosed", order="only-if-proved") == tests
    assert later("diagnosed", order="") == []
    assert later("diagnosed", order="", compressor_fate="known-failed")[:2] == tests
    taken = {"insulation_resistance": 1, "winding_resistances": [1]}
    assert not any(field in later("diagnosed", now=taken) for field in tests)
    runs = ["compressor-runs"]
    assert later("not-enough-evidence", order="", conditions=runs) == []
    assert later("not-enough-evidence", checks=(check,), order="") == []
    assert later("not-enough-evidence", order="") != []
    assert later("no-compressor-fault-likely") == later("diagnosed", Danger(good=True)) == []
    assert later("not-enough-evidence", Danger(repaired=True), (check,)) != []


def test_a_check_that_no_claim_passes_is_asked_by_its_readings_and_once() -> None:
    checks = [
        {"check": key, "title": key, "state": "missing"}
        for key in ("insulation", "pressure-test-low", "charge", "brazing")
    ]
    done = {"restart": {"blocking": [row["check"] for row in checks], "checks": checks}}

    def asked(before: dict[str, Any]) -> list[str]:
        return [q.field or q.check for q in questions({**KNOWN, "before_start": before}, {}, done)]

    assert asked({}) == [
        "before_start.insulation",
        "before_start.pressure_tests.0",
        "brazing",
        "before_start.measured.charge",
    ]
    told: dict[str, Any] = {
        "insulation": {"conditions": {"through_drive": False}},
        "pressure_tests": [{"side": "high"}],
        "measured": {"charge": {}},
        "stated": [{"check": "brazing", "outcome": "failed"}],
    }
    assert asked(told) == [
        "before_start.insulation.conditions.under_vacuum",
        "before_start.insulation.conditions.power_locked_out",
        "before_start.pressure_tests.1",
    ]
    assert asked({**told, "pressure_tests": [{"side": "whole"}]})[-1] != "before_start.pressure_tests.1"


def test_a_bridge_that_the_gate_denies_is_not_asked_for_again() -> None:
    check = {"finding": "protection-bridged", "text": "Bridged?", "how": "Look.", "outcomes": []}
    running = {"finding": "x", "kind": "trial", "text": "Run it?", "how": "Look.", "outcomes": []}
    done = {"diagnosis": {"next_checks": {"checks": [check, running]}}}
    stated = {"before_start": {"stated": [{"check": "protections", "outcome": "passed"}]}}
    bridged = next(iter(as_ruled()))
    check["finding"] = bridged
    assert [q.finding for q in questions(KNOWN, {}, done) if q.finding] == [bridged, "x"]
    assert [q.finding for q in questions({**KNOWN, **stated}, {}, done) if q.finding] == ["x"]
    out = open_questions.questions(KNOWN, {}, done, Danger(repaired=True))
    assert [q.finding for q in out if q.finding] == [bridged]


def test_next_checks_and_the_gate() -> None:
    checks = {
        "next_checks": {
            "checks": [{"finding": "oil-burnt", "how": "Look at the oil.", "text": "Burnt?", "outcomes": []}]
        }
    }
    gate = {
        "blocking": ["leak-check"],
        "checks": [
            {"check": "leak-check", "title": "No leak", "state": "missing"},
            {"check": "brazing", "title": "Brazed", "state": "passed"},
        ],
    }
    asked = questions(KNOWN, {}, {"diagnosis": checks, "restart": gate})
    assert [(question.kind, question.finding, question.check) for question in asked] == [
        ("finding", "oil-burnt", ""),
        ("check", "", "leak-check"),
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
    assert (asked[0].field, asked[0].preset) == ("work_done.0", (("kind", "made-safe"),))
    told = questions({"work_done": [{"text": "x"}]}, {}, {"note": {"safety": [note]}})
    assert told[0].field == "work_done.1"


def test_after_the_repair_the_gate_is_asked_before_the_failed_machine() -> None:
    checks = [
        {"how": "Look.", "text": "a", "finding": "oil-burnt", "outcomes": [{"words": "if so: x"}]},
        {"how": "Who?", "text": "b", "finding": "people-unwell", "outcomes": []},
    ]
    gate = {"blocking": ["charge"], "checks": [{"check": "charge", "title": "Charge", "state": "missing"}]}
    done: dict[str, Any] = {"diagnosis": {"next_checks": {"checks": checks}}, "restart": gate}
    past = without_stages(open_questions.questions(KNOWN, {}, done, Danger(repaired=True)))
    assert [question.field or question.finding for question in past] == ["before_start.measured.charge", "oil-burnt"]
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


def test_the_gate_asks_what_failed_and_what_hurts_people_first_and_words_before_tests() -> None:
    """The worst wrong answer: the door to power is asked about its timer before its terminal cover."""
    done = work(cases.everything()["slug-after-overcharge"])
    asked = [q.check for q in open_questions.questions(done.view, done.lacking, done.results, done.danger) if q.check]
    assert asked[:4] == ["protections", "terminal-cover", "vacuum-broken", "flammable-precautions"]
    whole = [q.check or q.field for q in open_questions.questions(done.view, done.lacking, done.results, done.danger)]
    assert whole.index("strainers") < whole.index("before_start.measured.charge")


def test_nothing_answered_elsewhere_and_nothing_that_cannot_be_seen_yet_is_asked() -> None:
    for name, gone in (
        ("burnout-with-acid", {"signs.acid_test"}),
        ("long-floodback", {"signs.burn", "signs.debris", "signs.deposits"}),
        (
            "start-gear-failed",
            {"signs.burn", "signs.debris", "signs.deposits", "tests_of_failure.insulation.resistance"},
        ),
        ("slug-after-overcharge", {"signs.acid_test"}),
    ):
        done = work(cases.everything()[name])
        asked = {q.field for q in open_questions.questions(done.view, done.lacking, done.results, done.danger)}
        assert asked & gone == set(), name


def test_what_a_customer_told_is_asked_of_the_technician_first() -> None:
    done = work({"notes": [{"text": "customer says not pumping"}], "refrigerant": "R-134a"})
    asked = [q for q in open_questions.questions(done.view, done.lacking, done.results, done.danger) if q.finding]
    assert (asked[0].finding, asked[0].why) == ("no-pressure-difference", open_questions.SAID)


@pytest.mark.parametrize(("construction", "asked"), [("hermetic", True), ("semi-hermetic", False), (None, True)])
def test_nobody_is_asked_for_the_shell_of_what_has_none(construction: str | None, asked: bool) -> None:  # noqa: FBT001
    machine = {"construction": construction} if construction else {}
    fields = [question.field for question in questions({"machine": machine}, {}, {})]
    assert ("machine.shell" in fields) is asked
