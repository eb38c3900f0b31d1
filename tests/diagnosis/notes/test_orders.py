"""Work orders without a finding: the name of a part is none, whatever was learned. All lines are our own (memory)."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.calling import Listening
from witnessmark.diagnosis.notes.matching import alarms, match
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard
from witnessmark.diagnosis.notes.orders import names_only
from witnessmark.diagnosis.notes.scoring import clauses_of

NAMES = (
    "KT4410 replace condenser fans",
    "c/o evaporator blower motor",
    "repair a/c clutch relay",
    "check air con compressor",
    "Supply and fit suction hose, drier and o ring",
    "investigate fault with the air conditioner",
    "FM207 air con",
)
NO_PART = ("air con not working", "A/C u/s", "aircon no good", "air conditioning inop", "the unit is not working")
A_PART = ("evap fan u/s", "condenser fan not working", "filters blocked", "air con blowing warm", "condenser dirty")


def only_names(text: str, *words: str) -> bool:
    clauses = [clause for clause, _ in clauses_of(text)]
    return names_only(clauses, [(text.index(word), text.index(word) + len(word)) for word in words])


def heard(text: str, finding: str) -> Heard:
    return Heard(finding, "present", 0.99, 0.99, ((0, len(text)),), ())


@pytest.mark.parametrize("text", NAMES)
def test_a_line_of_parts_and_work_names_nothing(text: str) -> None:
    assert only_names(text, *text.split())
    assert match(text) == ()


@pytest.mark.parametrize("text", NO_PART)
def test_trouble_of_the_machine_as_a_whole_is_trouble_of_no_part(text: str) -> None:
    assert only_names(text, text.split(maxsplit=1)[0])
    assert match(text) == ()


@pytest.mark.parametrize("text", A_PART)
def test_what_is_said_of_a_part_is_believed(text: str) -> None:
    """The worst wrong answer of such a rule: a finding told in few words, thrown away as a work order."""
    assert not only_names(text, *text.split())
    assert match(text)


def test_names_are_judged_clause_by_clause() -> None:
    text = "replace belt. condenser dirty"
    assert only_names(text, "belt")
    assert not only_names(text, "dirty")
    assert not only_names(text, "belt", "dirty")
    assert not only_names(text)


def test_danger_is_heard_though_the_words_are_names() -> None:
    text = "gas in the plant room"
    listening = Listening(clauses_of(text))
    assert only_names(text, *text.split())
    assert [one.finding for one in listening.believable([heard(text, "refrigerant-smell"), heard(text, DANGER)])]
    assert listening.believable([heard(text, "airflow-low")]) == []


@pytest.mark.parametrize("text", ["adjust air compressor pressure", "air line pressure 8 bar", "plant air pressure"])
def test_the_pressure_of_an_air_compressor_is_no_danger(text: str) -> None:
    assert alarms(match(text)) == ()


@pytest.mark.parametrize(
    "text",
    ["he pressured it up with shop air", "pressure tested with compressed air", "pressured with air compressor"],
)
def test_air_put_into_the_circuit_is(text: str) -> None:
    assert "wrong-gas-under-pressure" in {m.finding for m in match(text)}


@pytest.mark.parametrize("text", ["air horn not working", "air brakes not working", "air seat not working"])
def test_air_of_a_vehicle_is_no_air_over_the_coil(text: str) -> None:
    assert "airflow-low" not in {m.finding for m in match(text)}
