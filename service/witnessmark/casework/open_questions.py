"""What is worth asking next of a partial case: danger, then what settles the diagnosis, then what a part lacks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from typing_extensions import TypeAliasType

from witnessmark.casework import stages
from witnessmark.casework.broken import FINDINGS_OF_SIGNS
from witnessmark.casework.cuts import CUTS, began
from witnessmark.casework.danger import SAFE, Danger
from witnessmark.casework.document import at
from witnessmark.casework.orders import lost, suspected
from witnessmark.casework.places import field_of
from witnessmark.casework.summary import NO_FAULT, UNDECIDED
from witnessmark.diagnosis.answer.verdict import NOT_WELDED
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.danger_rows import as_ruled
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
SHELL = "machine.shell"
"""Asked only of compressors that have one; what else waits for it the diagnosis asks itself."""
FIRST, SOON = ("complaint", "refrigerant", "machine.compressor"), 3
"""Of these those that go before everything else, and how many questions of the case itself go before the others."""
ASKED: dict[str, str] = {
    **dict(stages.READ),
    **dict(stages.LATER),
    "breakage.parts": "Which parts broke, and what do they weigh whole?",
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
OVER = (
    "Once nobody is in danger any more, answer with who said so and when; until then it goes before every other step."
)
"""How the question after danger ends."""
TESTED = "insulation-test"
"""The caution of safety rules that keep a machine off until its winding is proved."""
SAID = "The customer says so, and nobody measured it."
KEPT_OFF = "A safety rule keeps the machine off until this is measured with the supply locked out."
BEFORE_START: tuple[tuple[str, str], ...] = (
    ("before_start.pressure_tests", "Which gas held which pressure for how long in the repaired circuit?"),
    ("before_start.evacuation", "What did the vacuum read after the pump was shut off?"),
    ("before_start.stated", "Which checks before the start are done, and did they pass?"),
)
"""Asked once another compressor is in and nothing of the gate was told."""
NO_POWER_YET = "Another compressor is in: no power before this is proved."


@dataclass(frozen=True, slots=True)
class Question:
    """One question. field: dotted path in the document; finding, check: ids; unlocks: parts that it makes possible.

    beside: what else is asked with the field, by names below it. preset: values that go there without being asked.
    """

    kind: QuestionKind
    text: str
    why: str
    field: str = ""
    finding: str = ""
    check: str = ""
    unlocks: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    preset: tuple[tuple[str, str], ...] = ()


def questions(
    seen: Mapping[str, Any], lacking: Mapping[str, tuple[str, ...]], done: Mapping[str, Result], danger: Danger
) -> list[Question]:
    """The questions in the order worth asking. lacking: by part, paths of the view that it needs; done: results.

    Danger, then what decides the verdict (what a safety rule wants proved, what tells most, readings), then the plate
    of the machine, which nobody reads out on the phone, then the rest. What would settle the diagnosis comes last where
    the failed compressor is out: the gate waits, the shell does not. Nobody asks after people who were made safe, nor
    again what was answered, be it with "unknown".
    """
    settling, waiting = [*_settling(seen, done, danger)], (*_lacking(seen, lacking), *_blocking(seen, done))
    if danger.good:
        ordered = waiting
    elif danger.repaired:
        ordered = (*_before_start(seen, danger), *waiting, *settling, *_later(seen, done, danger, settling))
    else:
        ordered = (*settling, *waiting, *_later(seen, done, danger, settling))
    plate = [*_basic(seen)]
    named = [question for question in plate if question.field in FIRST]
    told = [*itertools.islice(ordered, SOON)]
    read = [*_readings(seen, done, danger)]
    asked = (*_danger(seen, danger), *named, *_proofs(seen, done, danger), *told, *read, *plate, *ordered)
    first: dict[str, Question] = {}
    for question in asked:
        first.setdefault(question.field or question.finding or question.check or question.text, question)
    return list(first.values())


def _danger(seen: Mapping[str, Any], danger: Danger) -> Iterator[Question]:
    """What is asked while danger to people stands; its answer is a step that says that it is over, and when."""
    if fired := danger.to_people:
        text, why = f"Is anybody hurt, unwell or still near it, and is help on its way? {OVER}", fired[0]["text"]
    elif danger.call_back is not None:
        text = f"Ring whoever wrote the note before anything else: is anybody in danger? {OVER}"
        why = "The note sounds like danger to people, and none was understood."
    else:
        return
    step = f"work_done.{len(seen.get('work_done') or ())}"
    yield Question("danger", text, why, field=step, beside=("at",), preset=(("kind", SAFE[0]),))


def _read(reading: str, seen: Mapping[str, Any], done: Mapping[str, Result]) -> bool:
    """Whether a reading is known, from a set of them or from the words of the note."""
    name = reading.removeprefix("now.")
    return at(seen, reading) is not None or at(done, f"note.readings.{name}") is not None


def _proofs(seen: Mapping[str, Any], done: Mapping[str, Result], danger: Danger) -> Iterator[Question]:
    """What a rule wants measured that keeps the machine off; where people are in danger nobody measures."""
    kept_off = any(TESTED in note.get("cautions", ()) for note in danger.standing)
    if not kept_off or danger.to_people or danger.repaired:
        return
    for field, text, reading in PROOFS:
        part = field.split(".")[1]
        if at(seen, f"tests_of_failure.{part}") is None and not _read(reading, seen, done):
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
        if path == SHELL and machine.get("construction") in NOT_WELDED:
            continue
        if (machine if name != path else seen).get(name) in (None, ""):
            parts = tuple(part for part, cut in CUTS.items() if any(source == path for source, _ in cut.moves))
            yield Question("field", text, "Rules and limits hang on it.", field=path, unlocks=parts)


def _readings(seen: Mapping[str, Any], done: Mapping[str, Result], danger: Danger) -> Iterator[Question]:
    """What a machine reads as it runs or stands: not where people are in danger, nor once the compressor is out."""
    if danger.to_people or danger.repaired or danger.good or any(note.get("forbids") for note in danger.standing):
        return
    for path, text in stages.readings(seen, at(done, "note.readings")):
        unlocks = tuple(part for part, cut in CUTS.items() if any(source == path for source, _ in cut.moves))
        yield Question(
            "field", text, "It decides the verdict of a machine that runs.", field_of(path, seen), "", "", unlocks
        )


def _later(
    seen: Mapping[str, Any], done: Mapping[str, Result], danger: Danger, settling: Sequence[Question]
) -> Iterator[Question]:
    """What the cleanup and the gate begin with, once a compressor is known to have failed or nothing is left to ask.

    Of one that runs and is kept nobody asks what lies inside it.
    """
    state = at(done, "diagnosis.verdict.state")
    failed = danger.repaired or lost(done, seen)
    undecided = done and not settling and state in UNDECIDED and stages.runs_now(seen) is not True
    if danger.to_people or danger.good or state == NO_FAULT or not (failed or suspected(done) or undecided):
        return
    for path, text in stages.LATER:
        of_failure = path.startswith("tests_of_failure.")
        fitting = not danger.repaired if of_failure else danger.repaired or path not in stages.OPENED_ONLY
        told = _settled(path, seen, danger) or any(
            path == field and _read(reading, seen, done) for field, _, reading in PROOFS
        )
        if at(seen, path) is None and fitting and not told and (of_failure or failed or undecided):
            yield Question("field", text, "The cleanup and the gate before power begin with it.", field=path)


INSIDE: tuple[str, ...] = ("signs.burn", "signs.debris", "signs.deposits")
"""What nobody sees before the compressor is out and its lines are cut."""
TOLD_BESIDE: dict[str, tuple[str, ...]] = {
    "signs.acid_test": ("old_oil.acid_number", "oil_sample.acid_number", "now.oil_acid_number", "signs.acid_number"),
}
"""By field where else the same is told, and better."""


def _settled(path: str, seen: Mapping[str, Any], danger: Danger) -> bool:
    """Whether a field of the cleanup is answered elsewhere, by a number or as a finding, or cannot be seen yet."""
    if any(at(seen, other) is not None for other in TOLD_BESIDE.get(path, ())):
        return True
    shown = {finding for (sign, _), finding in FINDINGS_OF_SIGNS.items() if f"signs.{sign}" == path}
    reported = {report["finding"] for report in seen.get("findings") or () if report["state"] == "present"}
    return bool(shown & reported) or (path in INSIDE and not danger.repaired)


def _settling(seen: Mapping[str, Any], done: Mapping[str, Result], danger: Danger) -> Iterator[Question]:
    """What would settle the diagnosis: what its next checks ask, but nothing that was answered, be it "unknown".

    Of a compressor that is out no trial by running is asked, nothing that a passed check of the gate says, nor after
    people who were made safe.
    """
    known = answered(seen)
    for key in (key for key in seen.get("hearsay", ()) if key not in known and not danger.repaired):
        row = knowledge().findings[key]
        text = f"{row.text}? {row.check.how}" if row.check else f"{row.text}?"
        yield Question("finding", text, SAID, finding=key, unlocks=("diagnosis",))
    checks = (done.get("diagnosis", {}).get("next_checks") or {}).get("checks", ())
    for check in (check for check in checks if check["finding"] not in known):
        over = danger.repaired or danger.made_safe
        if (over and is_danger(check["finding"])) or (danger.repaired and check.get("kind", "finding") != "finding"):
            continue
        why = check["outcomes"][-1]["words"] if check["outcomes"] else check["how"]
        yield Question("finding", check["text"], why, finding=check["finding"], unlocks=("diagnosis",))


def answered(case: Mapping[str, Any]) -> set[str]:
    """Findings that nobody need ask for: those reported, and a bridged protection where the gate was told of none."""
    passed = {row["check"] for row in at(case, "before_start.stated") or () if row["outcome"] == "passed"}
    reported = {report["finding"] for report in case.get("findings") or ()}
    return reported | (set(as_ruled()) if "protections" in passed else set())


def _lacking(seen: Mapping[str, Any], lacking: Mapping[str, tuple[str, ...]]) -> Iterator[Question]:
    """What parts that have begun still need, the field that helps most of them first."""
    wanted: dict[str, list[str]] = {}
    for part, paths in lacking.items():
        for path in paths if began(part, seen) else ():
            wanted.setdefault(path, []).append(part)
    for path, parts in sorted(wanted.items(), key=lambda item: -len(item[1])):
        text = ASKED.get(path) or dict(ALWAYS).get(path) or f"What is {_plain(path)}?"
        why = "Needed for: " + ", ".join(part.replace("_", " ") for part in parts) + "."
        yield Question("field", text, why, field=field_of(path, seen), unlocks=tuple(parts))


def _blocking(seen: Mapping[str, Any], done: Mapping[str, Result]) -> Iterator[Question]:
    """Checks that stand between the machine and a start: readings where no claim counts; what was told is not asked.

    What can hurt people goes before the rest, and of the rest what costs a word before what costs a test.
    """
    gate = done.get("restart", {})
    blocking = set(gate.get("blocking", ()))
    told = {row["check"] for row in at(seen, "before_start.stated") or ()}
    for check in sorted(gate.get("checks", ()), key=_urgency):
        key = check["check"]
        if key not in blocking:
            continue
        why = f"Required before a start; now: {check['state']}."
        for field, text in stages.of_check(key, seen):
            yield Question("field", text, why, field=field, unlocks=("restart",), beside=stages.beside(field))
        if key not in told and not stages.proved_by_reading(key, seen):
            yield Question("check", f"{check['title']}: is that so?", why, check=key, unlocks=("restart",))


DANGEROUS: tuple[str, ...] = (
    "flammable-precautions",
    "toxic-precautions",
    "terminal-cover",
    "protections",
    "insulation",
    "vacuum-broken",
    "pressure-test-high",
    "pressure-test-low",
)
"""Checks of the gate without which power or pressure hurts somebody: asked before those that spare the machine."""


def _urgency(check: Result) -> tuple[bool, bool, bool]:
    """What failed or contradicts itself first, then what can hurt people, then what a word answers without a test."""
    key = check["check"]
    return check["state"] == "missing", key not in DANGEROUS, stages.proved_by_reading(key, {})


def _plain(path: str) -> str:
    return "the " + path.rsplit(".", 1)[-1].replace("_", " ")
