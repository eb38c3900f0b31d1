"""What is told of another part condemns no compressor, and a machine that is locked off is none locked up."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.apart import APART, Others
from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.notes.scoring import clauses_of
from witnessmark.diagnosis.notes.telling import is_danger


def others(text: str) -> Others:
    return Others([clause for clause, _ in clauses_of(text)])


def span(text: str, words: str) -> list[tuple[int, int]]:
    return [(text.index(words), text.index(words) + len(words))]


@pytest.mark.parametrize(
    ("text", "words", "finding"),
    [
        ("water pump bearing whines", "bearing whines", "bearing-whine"),
        ("door heater dead", "heater dead", "heater-dead"),
        ("the light in the walk-in wont come on", "wont come on", "will-not-start"),
        ("Ice machine pump is knocking", "knocking", "knock-while-running"),
        ("condensate-pump seized", "seized", "shaft-seized"),
        ("condenser fan motor shorted to ground", "shorted to ground", "insulation-low"),
        ("la puerta no arranca", "no arranca", "will-not-start"),
        ("comp locked off", "locked", "shaft-seized"),
        ("all fine. compressor locked out and tagged", "locked", "shaft-seized"),
        ("prep room is plenty cold but it clanks", "cold", "capacity-low"),
    ],
)
def test_another_part_is_told_apart(text: str, words: str, finding: str) -> None:
    assert others(text).has(finding, span(text, words))


@pytest.mark.parametrize(
    ("text", "words", "finding"),
    [
        ("compressor bearing whines, fan fine", "bearing whines", "bearing-whine"),
        ("door is open. bearing whines", "bearing whines", "bearing-whine"),
        ("seized, and the fan is fine", "seized", "shaft-seized"),
        ("fan runs but I can hear from the back of it a knock", "knock", "knock-while-running"),
        ("crankcase heater dead, door ok", "heater dead", "heater-dead"),
        ("compressor locked up", "locked up", "shaft-seized"),
        ("smoke from the fan motor", "smoke", "smoke-seen"),
        ("the box is not cold enough", "cold", "capacity-low"),
        ("it never gets cool enough", "cool", "capacity-low"),
        ("the doorway is cold and bearing whines", "bearing whines", "coil-iced"),
    ],
)
def test_the_compressor_keeps_its_own(text: str, words: str, finding: str) -> None:
    assert not others(text).has(finding, span(text, words))


def test_nothing_named_is_nothing_apart() -> None:
    assert not others("fan").has("shaft-seized", [])
    assert not Others([]).has("shaft-seized", [(0, 3)])


def test_a_whole_note_is_read_so() -> None:
    assert "shaft-seized" not in {m.finding for m in match("comp locked off")}
    assert "heater-dead" not in {m.finding for m in match("door heater dead")}
    assert "bearing-whine" in {m.finding for m in match("compressor bearing whines")}


def test_the_findings_are_known_and_none_is_danger() -> None:
    named = {*APART().findings, *APART().belied}
    assert named <= knowledge().findings.keys()
    assert not [*filter(is_danger, named)]


@pytest.mark.parametrize("text", ["compressor failed at 9 months, claim", "it failed within 2 years of fitting"])
def test_an_age_is_no_rest(text: str) -> None:
    assert "long-idle-before-failure" not in {m.finding for m in match(text)}


def test_a_rest_is_still_heard() -> None:
    text = "sat idle all winter, failed at the first start of the season"
    assert "long-idle-before-failure" in {m.finding for m in match(text)}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Door open alarm wired backwards from last guy, swapped", False),
        ("thermostat wired backwards", False),
        ("heater connected in reverse", False),
        ("sensor conectado al reves", False),
        ("compressor wired backwards", True),
        ("alarm fine, phases reversed", True),
    ],
)
def test_what_is_wired_backwards_beside_the_motor_turns_no_phase(text: str, *, told: bool) -> None:
    assert (("phase-rotation-wrong", "present") in {(m.finding, m.state) for m in match(text)}) is told
