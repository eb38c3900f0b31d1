"""Somebody is well, or not; oil in an eye; animals. Worst: an emergency of nothing, or none where somebody is down."""

from __future__ import annotations

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.matching import read_note

LEARNED = True

WELL = (
    "all is well",
    "she is fine, unit quiet now",
    "the technician is well, all done",
    "everything is ok, the cooler runs well",
    "slight hum from the transformer",
    "added 2 kg R407C to the system",
)
NOT_WELL = (
    "he is not well",
    "my colleague is not ok",
    "she does not feel well",
    "the boy is not alright",
    "all is not well, it smells of gas",
    "he was dizzy and is fine now",
    "the machine runs well but smells burnt",
    "the cat collapsed next to the fridge",
)
EYE = ("the helper got acid oil in his eye", "refrigerant in both eyes", "le entro aceite en el ojo")


def level(text: str) -> int:
    return dispatch_call(Case(), text).advice.priority.level


def hurt(text: str) -> bool:
    return any(match.finding == "person-hurt" and match.state == "present" for match in read_note(text).matches)


def test_who_is_well_is_no_emergency() -> None:
    assert [text for text in WELL if level(text) == 1] == []


def test_who_is_not_well_is_one() -> None:
    assert [text for text in NOT_WELL if level(text) != 1] == []


def test_what_goes_into_an_eye_hurts_somebody() -> None:
    assert [text for text in EYE if not hurt(text)] == []
