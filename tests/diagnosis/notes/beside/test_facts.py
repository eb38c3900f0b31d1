"""Plain facts in a note."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.beside.facts import DAY, HOUR
from witnessmark.diagnosis.notes.matching import read_note


def facts(text: str) -> list[tuple[str, str]]:
    return [(fact.kind, fact.value) for fact in read_note(text).facts]


def seconds(text: str) -> dict[str, float | None]:
    return {fact.kind: fact.seconds for fact in read_note(text).facts if fact.seconds is not None}


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("R410A unit", "R-410A"),
        ("r-448a rack", "R-448A"),
        ("R 22 charge", "R-22"),
        ("freon 22", "R-22"),
        ("HFO-1234yf", "R-1234yf"),
        ("r1234ze(e) chiller", "R-1234ze(E)"),
        ("propane fridge", "R-290"),
        ("ammonia plant", "R-717"),
    ],
)
def test_refrigerants_by_any_usual_spelling(text: str, designation: str) -> None:
    assert ("refrigerant", designation) in facts(text)


@pytest.mark.parametrize("text", ["R999 unit", "R2D2", "ward 22", "error 410a"])
def test_no_refrigerant(text: str) -> None:
    assert "refrigerant" not in dict(facts(text))


def test_the_machine() -> None:
    found = facts("semi-hermetic recip, 3 phase, soft starter")
    assert ("construction", "semi-hermetic") in found
    assert ("construction", "hermetic") not in found
    assert {("compressor", "reciprocating"), ("phases", "three-phase"), ("drive", "soft-starter")} <= set(found)
    assert "compressor" not in dict(facts("not a scroll"))
    assert "compressor" not in dict(facts("no scroll here"))


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [
        ("unit is 22 years old", "age", 22 * 365.25 * DAY),
        ("41 000 h", "running hours", 41_000 * HOUR),
        ("41,000 hours", "running hours", 41_000 * HOUR),
        ("compressor replaced two weeks ago", "replaced", 14 * DAY),
        ("replaced a couple of months ago", "replaced", 2 * 30.4375 * DAY),
        ("changed 3 days ago", "replaced", 3 * DAY),
    ],
)
def test_times(text: str, kind: str, wanted: float) -> None:
    assert seconds(text)[kind] == pytest.approx(wanted)


@pytest.mark.parametrize(
    "text", ["tripped 2 weeks ago", "runs 3 hours", "in two years", "41 000", "two", "12 000 000 h"]
)
def test_other_times_are_no_facts(text: str) -> None:
    assert not {"age", "replaced"} & seconds(text).keys()


def test_urgency_speaker_and_alarm() -> None:
    found = facts("my fridge at the pharmacy, vaccines inside, please come, it is an emergency")
    assert {("urgency", "medical"), ("speaker", "caller"), ("alarm", "emergency")} <= set(found)
    assert ("speaker", "technician") in facts("megged it, 200 M")
    assert [v for k, v in facts("handover: superheat 8 K") if k == "speaker"] == ["operator"]


def test_facts_stand_where_they_are_said() -> None:
    text = "A scroll, R-410A"
    assert {text[f.start : f.end] for f in read_note(text).facts} == {"scroll", "R-410A"}


def test_a_name_is_no_place_of_care() -> None:
    for text in (
        "Hospital Road 9, cooler warm",
        "School Street garage, ac noisy",
        "cafe across from the clinic, ac weak",
        "Calle Hospital 14, nevera",
        "pharmacy sign dark",
        "clinic office ac weak, vaccines ok",
        "patient customer waits",
        "organ concert tonight",
    ):
        assert not [value for kind, value in facts(text) if kind == "urgency" and value in {"medical", "people"}], text


def test_who_and_what_depends_on_it() -> None:
    for text, value in (
        ("transplant organ fridge warm", "medical"),
        ("jail infirmary no ac", "medical"),
        ("grandfather 91 alone", "people"),
        ("dog kennel ac out", "people"),
        ("telephone exchange hot", "process"),
        ("hospital main kitchen", "medical"),
        ("banco de organos sin frio", "medical"),
    ):
        assert ("urgency", value) in facts(text), text
