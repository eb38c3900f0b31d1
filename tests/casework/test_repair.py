"""Which steps of a case ended what was found."""

from datetime import UTC, datetime
from typing import Any

import pytest

from witnessmark import data
from witnessmark.casework.repair import (
    WORDINGS,
    End,
    compiled,
    ends,
    every_wording_compiles,
    kept,
    kind_of,
    unbridged_up_to,
)

REPLACED = (
    "Compressor replaced",
    "compressor was replaced, circuit closed with new drier",
    "Old one out. New compressor fitted and piped",
    "Replaced the failed compressor with a new one",
    "changed compressor and contactor",
    "swapped out compressor; no leaks",
    "Arrived after lunch. Comp changed out, nitrogen swept",
    "El compresor fue sustituido por uno nuevo",
    "Se cambió el compresor y el filtro",
    "Compressor novo instalado",
    "Trocamos o compressor e o filtro",
)
REMOVED = (
    "Coil washed, filters changed, compressor taken out",
    "burned out compressor removed",
    "removed the old compressor, lines capped",
    "Compresor retirado",
    "Compressor removido",
)
NOT_DONE = (
    "Compressor to be replaced",
    "compressor will be replaced tomorrow",
    "Compressor replaced tomorrow",
    "Quote given to have the compressor replaced",
    "Compressor not replaced",
    "No compressor fitted: new compressor in stock",
    "Customer asked if compressor replaced last year",
    "Compressor replaced last year",
    "replaced compressor contactor",
    "changed compressor oil",
    "Compressor terminal cover removed",
    "removed compressor mounting bolts to look at the feet",
    "waiting for new compressor, fitted a heater meanwhile",
    "Is the new compressor in?",
    "Before the new compressor is fitted the cause must be found",
    "Compressor running",
    "compressor cut out on high pressure, smoke from the panel",
    "Comp pulled high amps, then tripped",
    "Compressor changed over to manual",
    "compressor changed its sound",
    "New compressor on order",
    "new compressor in stock",
    "Owner says the compressor was replaced",
    "Caretaker told that compressor replaced in spring",
    "compressor taken out of service",
    "Compressor removed from sequence",
    "Compressor contactor replaced",
    "compressor 2 of 4 replaced",
    "Probably compressor replaced already",
    "El dueño dice que el compresor fue cambiado",
    "O dono disse que o compressor foi trocado",
    "No se cambió el compresor",
    "Falta presupuesto para el compresor cambiado",
    "Não trocamos o compressor",
)


@pytest.mark.parametrize("text", REPLACED)
def test_plain_words_tell_that_another_compressor_is_in(text: str) -> None:
    assert kind_of({"text": text}) == "compressor-replaced"


@pytest.mark.parametrize("text", REMOVED)
def test_plain_words_tell_that_the_failed_one_is_out(text: str) -> None:
    assert kind_of({"text": text}) == "compressor-removed"


@pytest.mark.parametrize("text", NOT_DONE)
def test_what_is_planned_or_of_another_part_ends_nothing(text: str) -> None:
    assert kind_of({"text": text}) == "other"


def test_a_kind_that_is_given_counts_whatever_the_words() -> None:
    assert kind_of({"text": "Compressor replaced", "kind": "other"}) == "other"
    assert kind_of({"text": "room aired and measured", "kind": "made-safe"}) == "made-safe"


def test_what_lies_behind_the_moment_of_the_case_is_not_done() -> None:
    step = {"at": "2026-07-02T10:00", "text": "Compressor replaced"}
    case: dict[str, Any] = {
        "as_of": "2026-07-02T12:00+02:00",
        "work_done": [step],
        "site": {"time_zone": "Europe/Rome"},
    }
    found = ends(case)
    assert [(end.kind, end.place) for end in found] == [("compressor-replaced", 0)]
    assert found[0].moment == datetime(2026, 7, 2, 8, tzinfo=UTC)
    assert ends({**case, "as_of": "2026-07-02T07:00+00:00"}) == ()
    assert ends({"work_done": [{"text": "Compressor replaced"}]}) == (End("compressor-replaced", None, 0),)


def test_work_on_the_repaired_machine_tells_of_a_repair() -> None:
    replaced = (End("compressor-replaced"),)
    assert ends({"before_start": {"pressure_tests": [{}]}}) == replaced
    assert ends({"before_start": {"stated": [{"check": "vacuum", "outcome": "passed"}]}}) == replaced
    assert ends({"before_start": {"stated": [{"check": "vacuum", "outcome": "failed"}]}}) == ()
    assert ends({"conditions": ["compressor-removed"]}) == (End("compressor-removed"),)
    opened = (End("compressor-opened"),)
    assert ends({"signs": {"debris": []}}) == opened
    assert ends({"signs": {"smell": "burnt"}}) == ()
    assert ends({"findings": [{"finding": "wraps-shattered", "state": "present"}]}) == opened
    assert ends({"findings": [{"finding": "wraps-shattered", "state": "unknown"}]}) == ()
    assert ends({}) == ()


def test_a_compressor_that_was_changed_before_the_call_ends_nothing() -> None:
    step = {"at": "2026-07-02T10:00", "text": "Compressor replaced"}
    assert ends({"complaint_at": "2026-07-05T10:00", "work_done": [step]}) == ()
    assert ends({"complaint_at": "2026-07-01T10:00", "work_done": [step]})


def test_a_wording_that_is_no_expression_is_refused() -> None:
    every_wording_compiles()
    with pytest.raises(data.DataError, match="work_steps"):
        compiled(WORDINGS().model_copy(update={"open": "("}))


@pytest.mark.parametrize(
    "text",
    [
        "Took the jumper off the high pressure switch",
        "removed the bridge across the oil safety",
        "Tested it. Jumper wire removed again",
        "pulled that old bypass",
        "Se quitó el puente del presostato",
        "Ponte retirada do pressostato",
        "jumper taken out again",
        "the jumper on the oil safety has been taken out again",
        "jumper was found on the low pressure switch and removed",
        "low pressure switch no longer bridged",
        "unjumpered the LP switch",
        "Quité el puente del presostato de baja",
        "Retirei o jumper do pressostato",
    ],
)
def test_a_bridge_that_was_taken_out_is_told_by_plain_words(text: str) -> None:
    assert kind_of({"text": text}) == "bridge-removed"


@pytest.mark.parametrize(
    "text",
    [
        "Jumper to be removed",
        "remove the jumper",
        "jumper not removed",
        "will have the bypass removed tomorrow",
        "jumped out the pressure switch",
        "removed the bridge rectifier?",
        "removed the bridge rectifier and fitted another",
        "Removed the hot gas bypass valve",
        "Hot gas bypass removed",
        "pulled the bypass line",
        "Oil bypass removed",
        "removed the shipping straps",
        "Transport strap removed",
        "Strap removed from the pipe",
        "Owner says the jumper was removed",
        "removed the jumper from the LP switch but left the one on the HP switch",
        "took out the jumper, started it, put the jumper back in",
        "removed the old jumper and fitted a new one",
        "quitó el puente y dejó otro",
        "the jumper is still in",
    ],
)
def test_a_bridge_that_is_only_spoken_of_stays(text: str) -> None:
    assert kind_of({"text": text}) == "other"


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("I removed the jumper. HP switch is jumpered.", " HP switch is jumpered."),
        ("LP switch bridged\njumper taken out again", ""),
        ("LP switch bridged", "LP switch bridged"),
        ("", ""),
        ("Jumper to be removed. LP switch is bridged.", "Jumper to be removed. LP switch is bridged."),
    ],
)
def test_what_stands_before_the_words_that_took_a_bridge_away_is_overtaken(text: str, left: str) -> None:
    assert text[unbridged_up_to(text) :] == left


@pytest.mark.parametrize(
    "text",
    [
        "cooled overnight and overload closed, runs again at 4.1 A",
        "Recommend new fan motor, keep compressor.",
        "Compressor is kept",
        "no fault found, compressor kept",
        "funciona de nuevo, se cambia el ventilador",
        "Voltou a funcionar depois da limpeza",
    ],
)
def test_a_compressor_that_runs_again_or_is_kept_is_not_opened_by_what_was_not_found_in_it(text: str) -> None:
    case: dict[str, Any] = {"notes": [{"text": text}], "signs": {"burn": "none"}}
    assert kept(case)
    assert ends(case) == ()
    assert ends({**case, "signs": {"burn": "winding"}}) == (End("compressor-opened"),)
    assert ends({"signs": {"burn": "none"}}) == (End("compressor-opened"),)
    assert not kept({**case, "work_done": [{"text": "x", "kind": "compressor-removed"}]})


@pytest.mark.parametrize(
    "text",
    [
        "it never runs again",
        "will not be running again",
        "customer wants to know when it runs again",
        "is it running again?",
        "if it runs again call us",
        "keep compressor off",
        "keep the compressor locked out",
        "do not keep the compressor",
        "keep the compressor cover on",
        "compressor dead",
        "mantener el compresor parado",
        "no vuelve a funcionar",
        "ran again for a minute and died",
    ],
)
def test_what_is_denied_hoped_or_asked_does_not_run_again(text: str) -> None:
    assert not kept({"complaint": text})
    assert not kept({"notes": [{"text": "runs again", "of": "sound"}]})
