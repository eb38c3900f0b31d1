"""What was so once. Worst: danger or a fault that goes on filed as history; then a repair read as a fault of now."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.calling import alarming
from witnessmark.diagnosis.notes.matching import match, read_note


def told(text: str) -> dict[str, str]:
    """Why a finding is unknown, else its state."""
    return {m.finding: m.unknown_because or m.state for m in read_note(text).matches}


def test_what_ended_was_put_right_or_was_only_said_is_not_now() -> None:
    for text, finding in (
        ("quit knocking once we bled the line", "knock-while-running"),
        ("swapped welded contactor, ran fine", "contactor-bad"),
        ("replaced burnt contactor and tested", "contactor-bad"),
        ("prior to the cleaning the contactor was chattering", "contactor-chatter"),
        ("customer said compressor seized, found it running fine", "shaft-seized"),
        ("reported compressor locked, no fault found", "shaft-seized"),
        ("utility lost C phase, back on", "phase-missing"),
        ("running backwards after the meter change, swapped L2/L3, ok now", "phase-rotation-wrong"),
        ("at my old shop we had black oil", "oil-burnt"),
        ("coil iced up, defrosted, holding temp", "coil-iced"),
        ("lost leg discolored and loose lug, re-torqued, thermal scan ok", "contactor-bad"),
    ):
        assert told(text).get(finding) in {None, "history"}, text


def test_what_is_only_taught_or_asked_has_nobody_seen() -> None:
    for text in (
        "what does burnt oil mean",
        "training slide: black oil",
        "according to the manual black oil means a burnout",
        "for example black oil",
        "que significa aceite negro",
    ):
        assert told(text).get("oil-burnt") in {None, "advice or condition"}, text


def test_what_goes_on_is_now() -> None:
    for text, finding in (
        ("was knocking last night and still is", "knock-while-running"),
        ("never quit knocking", "knock-while-running"),
        ("has not stopped knocking", "knock-while-running"),
        ("replaced the contactor, compressor knocks", "knock-while-running"),
        ("changed oil, black oil again today", "oil-burnt"),
        ("customer said it knocks", "knock-while-running"),
        ("compressor stopped, seized", "shaft-seized"),
    ):
        assert told(text).get(finding) == "present", text


def test_danger_is_never_put_right_by_words_of_running() -> None:
    for text in (
        "customer said smoke came out of the panel, found it running ok",
        "smelled gas at noon, aired the room, unit back on",
        "training slide shows smoke but there is smoke from the panel",
        "it stopped smoking",
        "what does the smoke from the unit mean",
    ):
        states = told(text)
        assert {"smoke-seen", "refrigerant-smell"} & states.keys(), text
        assert "absent" not in states.values(), text


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("The owner says it is low on gas. It is not, ten kelvin of subcooling.", "unknown"),
        ("They said it is knocking. It does not.", "unknown"),
        ("they said knocking, I hear none", "unknown"),
        ("The owner says it is knocking. It is not cold either.", "present"),
        ("It is knocking. It is not.", "present"),
    ],
)
def test_what_another_said_and_the_writer_denies_is_not_there(text: str, state: str) -> None:
    """Worst wrong answer of this rule: a denial of something else takes the fault away."""
    matches = [m for m in match(text) if m.finding in {"charge-short", "knock-while-running"}]
    assert {m.state for m in matches} <= {state}


def test_danger_that_another_said_stands_beside_a_denial() -> None:
    text = "The guard said there is smoke in the plant room. It is not."
    assert any(alarming(m) for m in match(text) if m.finding == "smoke-seen")
