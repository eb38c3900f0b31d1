"""When somebody is to ring back: where danger may be, not for what is asked of a desk. Worst: nobody rings a danger."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis import dispatching
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import Dispatched, dispatch_call
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.unheard import LOUD, UNEASY

LEARNED = True
REQUESTS = (
    "It's the Blue Goose on Ninth. We'd like the gaskets measured on both reach-ins.",
    "Burning question from accounts: is the March call-out the same as the April one or did we get charged twice?",
    "Pido copia de aquella factura para el seguro, es la del equipo viejo",
    "¿Cuánto cobran por cambiar el control remoto del minisplit?",
    "Agora só quero a segunda via da garantia.",
    "Preciso do manual da bomba de condensado e do preço do sensor.",
)


def said(note: str) -> Dispatched:
    return dispatch_call(Case(), note)


@pytest.mark.parametrize("note", REQUESTS)
def test_what_is_asked_of_a_desk_needs_nobody_to_ring_back(note: str) -> None:
    done = said(note)
    assert done.call_back == ""
    assert done.advice.priority.level == 8


@pytest.mark.parametrize(
    "note",
    [
        "Could we have a quote for a new one, and the old one hangs loose over the door",
        "price for two strip curtains please, something smells odd in the box too",
        "Pido copia de la factura, y el equipo gotea",
        "quero a segunda via da nota, e a geladeira parou",
        "quero a segunda via da nota e tem um cheiro forte na câmara",
        "send the warranty card, the wires at the unit are bare",
    ],
)
def test_a_fault_or_a_danger_beside_it_is_asked_about(note: str) -> None:
    """Worst of all: the quote is filed and the thing falls."""
    done = said(note)
    assert done.call_back or done.advice.priority.level < 8


def test_what_may_be_danger_is_rung_before_comfort(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing was understood, and the learned reader is uneasy."""
    reading = replace(read_note("the unit stands behind the house"), matches=(), candidates=(), call_back=None)
    for unease, level in ((UNEASY, 5), (UNEASY - 0.01, 7)):
        monkeypatch.setattr(dispatching, "read_call", lambda *_, u=unease: replace(reading, unease=u))
        done = said("it does a thing")
        assert done.advice.priority.level == level
        assert done.call_back
        assert done.advice.operation.advice != "stop", "nobody named a danger"


def test_an_uneasy_reader_lets_no_request_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    reading = replace(read_note(REQUESTS[0]), unease=UNEASY)
    monkeypatch.setattr(dispatching, "read_call", lambda *_: reading)
    assert said(REQUESTS[0]).advice.priority.level == 5


def test_what_sounds_of_danger_as_a_whole_comes_before_all_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """Worst: people breathe it while the call waits behind a warm shop, for want of a word that a rule knows."""
    reading = replace(read_note("the unit stands behind the house"), matches=(), candidates=(), call_back=None)
    for unease, level, advice in ((LOUD, 1, "stop"), (LOUD - 0.01, 5, "unknown")):
        monkeypatch.setattr(dispatching, "read_call", lambda *_, u=unease: replace(reading, unease=u))
        done = said("it does a thing")
        assert done.advice.priority.level == level
        assert done.call_back
        assert done.advice.operation.advice == advice
        assert ("keep everybody away" in done.advice.for_caller[0].lower()) == (level == 1)


def test_planned_work_that_sounds_of_danger_is_no_emergency(monkeypatch: pytest.MonkeyPatch) -> None:
    note = "Quote wanted for a new smoke detector in the machine room, any day next month"
    monkeypatch.setattr(dispatching, "read_call", lambda *_: replace(read_note(note), unease=LOUD))
    assert said(note).advice.priority.level > 1
