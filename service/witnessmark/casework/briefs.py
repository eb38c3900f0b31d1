"""What of a part always stands in an answer: its verdict, what people act on, and the next step that it asks for.

A short answer gives the result of a part whole or its brief: what was worked out is never left out altogether.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.summary import gate_step
from witnessmark.diagnosis.phrases import percent

Result = Mapping[str, Any]
MOST_RANKED, MOST_PLACES, LONGEST = 3, 3, 1000
"""Modes and places that a brief names, and characters of one of its texts."""


@dataclass(frozen=True, slots=True)
class Brief:
    """A part in short. points: what stands behind the verdict, what can hurt first. next: what the part asks for."""

    verdict: str
    points: tuple[str, ...] = ()
    next: str = ""


def brief(part: str, result: Result) -> Brief:
    """The brief of a result."""
    made = _OF.get(part, _plain)(result)
    points = dict.fromkeys(_cut(text) for text in made.points if text)
    return Brief(_cut(made.verdict), tuple(points), _cut(made.next))


def _plain(result: Result) -> Brief:
    """A part whose result says its verdict itself, and perhaps why."""
    reasons = result.get("reasons") or result.get("likely_reasons") or result.get("refusals") or ()
    return Brief(result["verdict"], (result.get("explanation") or "", *map(_text, reasons)))


def _text(reason: Any) -> str:
    return reason if isinstance(reason, str) else str(reason.get("text", "")) if isinstance(reason, Mapping) else ""


def _note(heard: Result) -> Brief:
    """What must be done at once, then what was understood."""
    call = heard["call_back"]
    first = () if call is None else (f"Call back before anything else: {call['reason']}.",)
    rules = (note["text"] for note in heard["safety"])
    return Brief(heard["verdict"], (*first, *rules, *(f"{m['text']}: {m['state']}" for m in heard["matches"])))


def _diagnosis(found: Result) -> Brief:
    """What must not be done and whether it may run on, then what leads."""
    modes = (f"{row['name']}: {row['words']} ({percent(row['probability'])})" for row in found["modes"][:MOST_RANKED])
    points = (*(note["text"] for note in found["safety"]), found["operation"]["reason"], *modes)
    check = next(iter(at(found, "next_checks.checks") or ()), {"text": ""})
    return Brief(found["verdict"]["text"], points, check["text"])


def _cleanup(plan: Result) -> Brief:
    severity = plan["severity"]
    graded = f"Grade {severity['grade']} ({severity['name']}); loose solids: {severity['solids']}"
    return Brief(graded, (severity["text"],), plan["steps"][0]["text"] if plan["steps"] else "")


def _debris(balance: Result) -> Brief:
    places = (f"{place['name']}: {percent(place['share'])}" for place in balance["places"][:MOST_PLACES])
    return Brief(balance["verdict"], (balance["statement"], *places))


def _vacuum(evacuation: Result) -> Brief:
    """What the rise says; of a dilution by itself there is no verdict."""
    decay = evacuation["decay"]
    return Brief("") if decay is None else _plain(decay)


def _gate(gate: Result) -> Brief:
    """Whether it may start, each check that stands in the way, and the first of them as a step."""
    blocking = set(gate["blocking"])
    shut = (f"{check['title']}: {check['state']}" for check in gate["checks"] if check["check"] in blocking)
    return Brief(gate["verdict"], (*gate["contradictions"], *shut), gate_step(gate)[0])


_OF: dict[str, Callable[[Result], Brief]] = {
    "note": _note,
    "diagnosis": _diagnosis,
    "cleanup": _cleanup,
    "debris": _debris,
    "evacuation": _vacuum,
    "restart": _gate,
}


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1].rstrip() + "…"
