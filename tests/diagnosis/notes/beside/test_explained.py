"""What sounds like danger and is explained by other words. Worst: people stay beside it for a harmless word."""

from __future__ import annotations

import pytest
from tests.diagnosis.notes.test_danger_told import rows

from witnessmark import data
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.beside import explained as module
from witnessmark.diagnosis.notes.beside.explained import EXPLAINED, Explained, Explanation, check_explained, explained
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.telling import is_danger

LEARNED = True
NEXT_DOOR = "there was a fire next door, it is out and cleared"


@pytest.mark.parametrize("text", rows("danger_after_all.txt"))
def test_danger_stands_beside_words_that_would_explain_it(text: str) -> None:
    advice = dispatch_call(Case(), text).advice
    assert advice.priority.level == 1
    assert advice.operation.advice == "stop"


@pytest.mark.parametrize("text", rows("drills_and_ends.txt"))
def test_what_is_explained_stops_no_machine(text: str) -> None:
    advice = dispatch_call(Case(), text).advice
    assert advice.priority.kind != "danger"
    assert advice.operation.advice != "stop"


def test_a_history_of_alarms_is_past_and_filed() -> None:
    note = "alarm history: HP trip 3 Feb, cleared. Gas detector 11 Feb, inspector test. No active alarms. Please file."
    done = dispatch_call(Case(), note)
    assert done.advice.priority.kind == "planned-work"
    assert done.call_back == ""


def test_every_wording_of_an_explanation_is_needed() -> None:
    """One group less, and nothing is explained."""
    words = [NEXT_DOOR.index("fire")]
    told = [("fire-seen", ((words[0], words[0] + 4),))]
    assert explained(NEXT_DOOR, told).has("fire-seen", told[0][1])
    for left_out in ("next door", "it is out and ", "and cleared"):
        assert explained(NEXT_DOOR.replace(left_out, ""), told) == Explained()


def test_another_danger_leaves_everything_as_it_was() -> None:
    assert explained(NEXT_DOOR, [("fire-seen", ((12, 16),)), ("electric-shock", ((0, 5),))]) == Explained()


def test_a_smell_is_explained_only_near_its_cause_and_not_behind_but() -> None:
    note = "burning smell from the grill, ignore it, but {} it smells of burning at the freezer"
    told = note.format("").index("smells")
    rows_ = [("burning-smell", ((0, 7),)), ("burning-smell", ((told, told + 6),))]
    assert explained(note.format(""), rows_) == Explained()
    assert explained(note.format("")[: told - 8], rows_[:1]).rows != ()
    before = "it smells but the burning smell is the toast, ignore it"
    assert not explained(before, []).has("burning-smell", [(3, 9)])
    far = f"smell of grill {'x' * 200} ignore it"
    assert explained(far, []) == Explained()


def test_an_explanation_names_findings_that_there_are(monkeypatch: pytest.MonkeyPatch) -> None:
    check_explained()
    row = Explanation(id="x", findings=("no-such",), groups=(("a",),), unless=(), alarm=())
    wrong = EXPLAINED().model_copy(update={"explanation": (row,)})
    monkeypatch.setattr(module, "EXPLAINED", lambda: wrong)
    with pytest.raises(data.DataError, match="unknown finding no-such"):
        check_explained()


def dangers(text: str) -> set[str]:
    return {m.finding for m in read_note(text).matches if is_danger(m.finding)}


@pytest.mark.parametrize(
    "text",
    [
        "Teardown sheet: semi-herm 10hp. Valve plates cracked 2 of 4.",
        "valve plate cracked",
        "teardown: cracked valve plates",
        "opened it up, cylinder head cracked",
        "strip down: shell weld cracked",
        "plato de valvulas agrietado",
        "R290 reach-in, leak sniffer 0 in cabinet",
        "sniffer reads 0 at the coil",
        "no reading on the detector (0 ppm)",
        "detector de fugas marca 0",
    ],
)
def test_opened_parts_and_a_detector_at_nothing_hurt_nobody(text: str) -> None:
    assert not dangers(text)


@pytest.mark.parametrize(
    "text",
    [
        "valve plates fine, discharge line cracked",
        "opened it up, valve plate cracked. receiver weld cracked too",
        "receiver cracked at weld",
        "leak sniffer 0 in cabinet, gas alarm sounding in plant room",
        "leak sniffer 450 ppm in cabinet",
        "sniffer reads 0, we still smell gas",
    ],
)
def test_what_holds_pressure_and_a_detector_in_earnest_stay_dangers(text: str) -> None:
    assert dangers(text)
