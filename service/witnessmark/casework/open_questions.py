"""What is worth asking next of a partial case: danger, then what settles the diagnosis, then what a part lacks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from typing_extensions import TypeAliasType

from witnessmark.casework.cuts import CUTS, began
from witnessmark.casework.danger import Danger
from witnessmark.casework.document import at
from witnessmark.diagnosis.notes.telling import is_danger

QuestionKind = TypeAliasType("QuestionKind", Literal["danger", "field", "finding", "check"])
"""What a question asks for: a call back, a field of the document, a finding to look at, a check of the restart gate."""
Result = Mapping[str, Any]
ALWAYS: tuple[tuple[str, str], ...] = (
    ("complaint", "What did the caller say?"),
    ("refrigerant", "Which refrigerant is in the circuit?"),
    ("machine.compressor", "How does the compressor compress?"),
    ("machine.shell", "Which gas fills the shell?"),
    ("machine.construction", "How are motor and compressor enclosed?"),
    ("machine.phases", "How many phases has the supply of the motor?"),
    ("machine.drive", "How is the motor fed?"),
    ("machine.application", "At which temperatures does the machine work?"),
)
"""Asked of every case; the rules of the diagnosis hang on them."""
FIRST, SOON = ("complaint", "refrigerant", "machine.compressor"), 3
"""Of these those that go before everything else, and how many questions of the case itself go before the others."""
ASKED: dict[str, str] = {
    "now.suction_pressure": "What does the suction pressure read?",
    "now.discharge_pressure": "What does the discharge pressure read?",
    "now.suction_temperature": "What does the suction line read at the compressor?",
    "now.liquid_temperature": "What does the liquid line read?",
    "machine.evaporating_temperature": "At which evaporating temperature does the machine run when it is sound?",
    "machine.oil": "Which oil is in the circuit?",
    "start": "When is the new compressor to start?",
    "site.time_zone": "In which time zone does the machine stand?",
    "breakage.parts": "Which parts broke, and what do they weigh whole?",
    "tests_of_failure.insulation.resistance": "What does the insulation tester read, winding to ground?",
    "tests_of_failure.windings.terminals": "What do the windings read between the terminals?",
    "refrigerant_sample.use": "Is the refrigerant sample from the circuit or still to be charged?",
    "findings": "What was seen or heard at the machine?",
}
PROOFS: tuple[tuple[str, str, str], ...] = (
    (
        "tests_of_failure.insulation.resistance",
        "What does the insulation tester read, winding to ground?",
        "now.insulation_resistance",
    ),
    (
        "tests_of_failure.windings.terminals",
        "What do the windings read between the terminals?",
        "now.winding_resistances",
    ),
)
"""What proves a winding without power: field, question, and where a reading may say the same."""
TESTED = "insulation-test"
"""The caution of safety rules that keep a machine off until its winding is proved."""
KEPT_OFF = "A safety rule keeps the machine off until this is measured with the supply locked out."
BEFORE_START: tuple[tuple[str, str], ...] = (
    ("before_start.pressure_tests", "Which gas held which pressure for how long in the repaired circuit?"),
    ("before_start.evacuation", "What did the vacuum read after the pump was shut off?"),
    ("before_start.stated", "Which checks before the start are done, and did they pass?"),
)
"""Asked once another compressor is in and nothing of the gate was told."""
NO_POWER_YET = "Another compressor is in: no power before this is proved."
_OF_LISTS = {
    "now": "readings.0.values",
    "refrigerant_sample": "refrigerant_samples.0",
    "oil_sample": "oil_samples.0",
    "pressure_test": "before_start.pressure_tests.0",
}
"""Where in the document a new entry of a list of the view would stand."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question. field: dotted path in the document; finding, check: ids; unlocks: parts that it makes possible."""

    kind: QuestionKind
    text: str
    why: str
    field: str = ""
    finding: str = ""
    check: str = ""
    unlocks: tuple[str, ...] = ()


def questions(
    seen: Mapping[str, Any], lacking: Mapping[str, tuple[str, ...]], done: Mapping[str, Result], danger: Danger
) -> list[Question]:
    """The questions in the order worth asking. lacking: by part, paths of the view that it needs; done: results.

    The plate of the machine is asked for between what tells most and the rest: nobody reads it out on the phone. What
    would settle the diagnosis comes last where the failed compressor is out: the gate waits, the shell does not. What
    a safety rule wants proved without power goes before what else might tell. Nobody asks after people who were made
    safe, nor again what was answered with "unknown".
    """
    settling, waiting = [*_settling(seen, done)], (*_lacking(seen, lacking), *_blocking(done))
    if danger.repaired or danger.made_safe:
        settling = [question for question in settling if not is_danger(question.finding)]
    if danger.good:
        ordered = waiting
    elif danger.repaired:
        ordered = (*_before_start(seen, danger), *waiting, *settling)
    else:
        ordered = (*settling, *waiting)
    plate = [*_basic(seen)]
    named = [question for question in plate if question.field in FIRST]
    told = [*itertools.islice(ordered, SOON)]
    asked = (*_danger(danger), *named, *_proofs(seen, danger), *told, *plate, *ordered)
    first: dict[tuple[str, str, str], Question] = {}
    for question in asked:
        first.setdefault((question.field, question.finding, question.check or question.text), question)
    return list(first.values())


def _danger(danger: Danger) -> Iterator[Question]:
    if danger.call_back is not None:
        why = "The note sounds like danger to people, and none was understood."
        yield Question("danger", "Ring whoever wrote the note before anything else: is anybody in danger?", why)
    if fired := danger.to_people:
        text = "Is anybody hurt, unwell or still near it, and is help on its way?"
        yield Question("danger", text, fired[0]["text"])
        over = "Is that danger over? Then add a step to `work_done` with its time and the kind `made-safe`."
        yield Question("field", over, "Until then it stands before every other step.", field="work_done")


def _proofs(seen: Mapping[str, Any], danger: Danger) -> Iterator[Question]:
    """What a rule wants measured that keeps the machine off; where people are in danger nobody measures."""
    kept_off = any(TESTED in note.get("cautions", ()) for note in danger.standing)
    if not kept_off or danger.to_people or danger.repaired:
        return
    for field, text, reading in PROOFS:
        part = field.split(".")[1]
        if at(seen, f"tests_of_failure.{part}") is None and at(seen, reading) is None:
            yield Question("field", text, KEPT_OFF, field=field, unlocks=(part,))


def _before_start(seen: Mapping[str, Any], danger: Danger) -> Iterator[Question]:
    """What the gate begins with, where another compressor is in and nothing of it was told."""
    if danger.replaced and not began("restart", seen):
        for field, text in BEFORE_START:
            yield Question("field", text, NO_POWER_YET, field=field, unlocks=("restart",))


def _basic(seen: Mapping[str, Any]) -> Iterator[Question]:
    machine = seen.get("machine", {})
    for path, text in ALWAYS:
        name = path.removeprefix("machine.")
        if (machine if name != path else seen).get(name) in (None, ""):
            parts = tuple(part for part, cut in CUTS.items() if any(source == path for source, _ in cut.moves))
            yield Question("field", text, "Rules and limits hang on it.", field=path, unlocks=parts)


def _settling(seen: Mapping[str, Any], done: Mapping[str, Result]) -> Iterator[Question]:
    """What would settle the diagnosis: what its next checks ask, but nothing to which somebody knew no answer."""
    unknown = {report["finding"] for report in seen.get("findings") or () if report["state"] == "unknown"}
    checks = (done.get("diagnosis", {}).get("next_checks") or {}).get("checks", ())
    for check in (check for check in checks if check["finding"] not in unknown):
        why = check["outcomes"][-1]["words"] if check["outcomes"] else check["how"]
        yield Question("finding", check["text"], why, finding=check["finding"], unlocks=("diagnosis",))


def _lacking(seen: Mapping[str, Any], lacking: Mapping[str, tuple[str, ...]]) -> Iterator[Question]:
    """What parts that have begun still need, the field that helps most of them first."""
    wanted: dict[str, list[str]] = {}
    for part, paths in lacking.items():
        for path in paths if began(part, seen) else ():
            wanted.setdefault(path, []).append(part)
    for path, parts in sorted(wanted.items(), key=lambda item: -len(item[1])):
        text = ASKED.get(path) or dict(ALWAYS).get(path) or f"What is {_plain(path)}?"
        why = "Needed for: " + ", ".join(part.replace("_", " ") for part in parts) + "."
        yield Question("field", text, why, field=field_of(path), unlocks=tuple(parts))


def _blocking(done: Mapping[str, Result]) -> Iterator[Question]:
    """Checks that stand between the machine and a start."""
    gate = done.get("restart", {})
    blocking = set(gate.get("blocking", ()))
    for check in gate.get("checks", ()):
        if check["check"] in blocking:
            why = f"Required before a start; now: {check['state']}."
            yield Question("check", f"{check['title']}: is that so?", why, check=check["check"], unlocks=("restart",))


def field_of(path: str) -> str:
    """Where in the document a path of the view stands.

    >>> field_of("now.suction_pressure"), field_of("machine.oil")
    ('readings.0.values.suction_pressure', 'machine.oil')
    """
    head, dot, rest = path.partition(".")
    return _OF_LISTS.get(head, head) + dot + rest


def _plain(path: str) -> str:
    return "the " + path.rsplit(".", 1)[-1].replace("_", " ")
