"""What a whole case comes to: headline, contradictions and the next step, from the results of its parts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from witnessmark.casework.danger import Danger
from witnessmark.casework.document import at
from witnessmark.casework.orders import GOOD, RUNNING, UNPROVED, Order, sure_causes, to_look_at, unproved
from witnessmark.casework.twofold import Contradiction, told_twice
from witnessmark.restart.gate import TABLE

Result = Mapping[str, Any]
Results = Mapping[str, Result]
MOST_SAFETY = 4
"""Rules of danger to people that the headline gives; without any it gives the first of the others."""
GENERAL = ("licensed", "never-more-than-may-start", "match-is-a-proposal")
"""Cautions that stand beside every answer of their kind: a person who reads three should read others."""

REPLACED = (
    "Another compressor is in: no power before tightness, vacuum, supply, windings, insulation, oil, charge and every "
    "protection are proved and written down."
)
OUT_OF_THE_CIRCUIT = (
    "The failed compressor is open or out: keep the lines capped, note what it lost, and clean the circuit and correct "
    "the cause before another one goes in."
)
SEEN_INSIDE = (
    "What was seen tells that the failed compressor was opened; the case does not say where it is now: say whether it "
    "is out, replaced or kept. As long as it is open, keep the lines capped and note what it lost. Clean the circuit "
    "and correct the cause before any compressor runs in it."
)
"""The same where no step says that it is out."""
CONTRADICTORY, NO_FAULT = "contradictory-evidence", "no-compressor-fault-likely"
UNDECIDED = (None, "not-enough-evidence", "does-not-fit")
UNSETTLED = "What the failed compressor died of is not settled: what was found contradicts itself."
"""The verdict once nothing can be measured again at it."""
"""Verdicts after which somebody is asked, where nothing is left to look at; None: there is no diagnosis."""
SOUND = (
    "No defect was found in the compressor: before it is replaced, look at supply, contactor, controls, protections "
    "and what cools and heats around it."
)
ASK = (
    "Nothing that was told says yet what failed: ask what was seen, heard and smelled at the machine and whether it "
    "runs, trips or only hums, then read pressures, temperatures, voltages and currents."
)
NO_POWER: dict[str, str] = {
    "missing": "No power yet, since this is not proved",
    "failed": "No power, since this failed when it was tried",
    "conflicting": "No power, since what was told of this contradicts itself",
}
"""How the next step names a check of the gate, whose title says how it ought to be."""
AT_THE_GATE = ("lock-out", "no-oxygen", "no-vacuum-running")
"""What can hurt between the repair and the gate, where no part of the case says it."""
AT_THE_OPEN_CIRCUIT = ("lock-out", "refrigerant-release", "burnout-oil-acid")
"""What can hurt where a circuit stands open and is cleaned."""
AT_A_LIVE_MACHINE = ("live-measurement", "moving-parts", "hot-parts")
"""What can hurt where a machine is read, heard and looked at."""
AT_THE_CORE = ("core-change-opens-circuit", "burnout-oil-acid", "lock-out")
"""What can hurt where a core is changed or its drop is read."""
ALWAYS = ("lock-out", "never-defeat-protection", "licensed")
"""What fits every step at a machine: it stands before what belongs to other steps of the same part."""
VISIBLE = 3
"""Cautions that everybody reads; the rest stands below."""


@dataclass(frozen=True, slots=True)
class Step:
    """The next step, the part that asks for it, and ids of what can hurt in it."""

    part: str
    text: str
    cautions: tuple[str, ...]


def headline(done: Results, danger: Danger, failed: Collection[str] = ()) -> tuple[str, ...]:
    """What is known now, the most important first. failed: parts that could not be worked out."""
    return tuple(filter(None, _lines(done, danger, failed)))


def _lines(done: Results, danger: Danger, failed: Collection[str]) -> Iterator[str]:
    diagnosis = done.get("diagnosis", {})
    if danger.call_back is not None:
        yield f"Call back before anything else: {danger.call_back['reason']}."
    yield from (f"Safety: {text}." for text in danger.first)
    yield from (f"Safety: {note['text']}" for note in danger.leading[:MOST_SAFETY] or danger.standing[:1])
    yield from (order.line for order in danger.orders if _early(order))
    if danger.good:
        yield _running(done, danger, failed)
    else:
        yield _found(done, danger)
        contrary = danger.repaired and at(diagnosis, "verdict.state") == CONTRADICTORY
        yield UNSETTLED if contrary else at(diagnosis, "verdict.text") or ""
        if (verdict := at(done, "compression.verdict")) is not None:
            yield f"Does the compressor pump: {verdict}."
    yield from (order.line for order in danger.orders if not _early(order))
    if (plan := done.get("cleanup")) is not None:
        severity = plan["severity"]
        yield f"Contamination: grade {severity['grade']} ({severity['name']}); loose solids: {severity['solids']}."
    yield at(done, "debris.statement") or ""
    if (verdict := at(done, "filter_log.verdict")) is not None:
        yield f"Filter log: {verdict}."
    yield from _tightness(done)
    if (gate := done.get("restart")) is not None:
        waiting = f"; {len(gate['blocking'])} checks stand in the way" if gate["blocking"] else ""
        yield f"Restart gate: {gate['verdict']}{waiting}."
    elif "restart" in failed:
        yield "Restart gate: could not be judged: do not start."
    if names := "; ".join(part.replace("_", " ") for part in failed):
        yield f"Not worked out, since something in the case cannot be used: {names}."


def _found(done: Results, danger: Danger) -> str:
    """What is as good as certain of the system, whatever is still open of the compressor; empty where it is told."""
    if danger.repaired or at(done, "diagnosis.verdict.state") in (NO_FAULT, CONTRADICTORY):
        return ""
    names = [str(cause["name"]) for cause in sure_causes(done)]
    return f"Found in the system: {' and '.join(names)}." if names else ""


def _running(done: Results, danger: Danger, failed: Collection[str] = ()) -> str:
    """What to say of a machine that was read in order after its repair: only what was proved is closed."""
    return RUNNING[open_still(done, danger, failed)]


def open_still(done: Results, danger: Danger, failed: Collection[str] = ()) -> bool:
    """Whether a machine that was read in order after its repair has to be stopped all the same."""
    standing = bool(danger.standing) or danger.call_back is not None
    return standing or unproved(done, danger.orders, failed, owed=danger.owed)


def _early(order: Order) -> bool:
    """Whether an order stands before the verdict: samples say what went round, not what must not be powered."""
    return order.lead and order.part not in ("oil", "refrigerant")


def _tightness(done: Results) -> Iterator[str]:
    if (verdict := at(done, "pressure_test.verdict")) is not None:
        yield f"Pressure test: {verdict}."
    if (verdict := at(done, "evacuation.decay.verdict")) is not None:
        yield f"Evacuation: {verdict}."


def contradictions(done: Results, case: Result | None = None) -> tuple[Contradiction, ...]:
    """Everything that the parts found to be impossible together, and what the document tells in two ways."""
    found = [*told_twice(case or {}, done)]
    found += [Contradiction("diagnosis", c["text"]) for c in at(done, "diagnosis.contradictions") or ()]
    found += [Contradiction("note", f"The note tells {f} in two ways.") for f in at(done, "note.contradictory") or ()]
    found += [Contradiction("restart", text) for text in at(done, "restart.contradictions") or ()]
    if at(done, "debris.verdict") == "weights contradict each other":
        found.append(Contradiction("debris", done["debris"]["statement"]))
    for part in ("superheat", "subcooling"):
        impossible = at(done, f"{part}.verdict") == "cannot both be right"
        reasons = (at(done, f"{part}.likely_reasons") or ()) if impossible else ()
        found += (
            [Contradiction(part, f"Pressure and temperature cannot both be right: {reasons[0]}")] if reasons else []
        )
    return tuple(found)


def next_step(
    done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger, failed: Collection[str] = ()
) -> Step | None:
    """What to do next. Danger to people that stands first, then what the job has come to.

    cautions: of each part, in its order. failed: parts that could not be worked out. The step of a part that is nearer
    to power goes before one that is further: a machine whose gate is being filled in is not sent back to be diagnosed.
    """
    step = _next(done, cautions, danger, failed)
    return None if step is None else replace(step, cautions=_each_once(danger.of_the_gas, step.cautions))


def _next(
    done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger, failed: Collection[str]
) -> Step | None:
    if (call := danger.call_back) is not None:
        return Step("note", f"Ring back before anything else: {call['reason']}.", cautions.get("note", ()))
    if danger.leading:
        step = _safety_step(done, danger.leading, cautions)
        return replace(step, text=f"{danger.first[0]}.") if danger.first else step
    if danger.orders and danger.orders[0].urgent:
        return _ordered(danger.orders[0], cautions)
    if danger.good and open_still(done, danger, failed):
        return _stop_it(done, cautions, danger)
    if "restart" in done and _started(done["restart"]):
        return _of_the_gate(done["restart"], cautions)
    return _of_the_job(done, cautions, danger)


def _stop_it(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step:
    """What runs goes before what is to be proved: first that it is to stop, then what stands open."""
    if danger.standing:
        return _safety_step(done, danger.standing, cautions)
    if at(done, "restart.blocking"):
        of_gate = _of_the_gate(done["restart"], cautions)
        return replace(of_gate, text=f"{UNPROVED} {of_gate.text}")
    more = f" {REPLACED}" if danger.replaced else ""
    return Step("restart", UNPROVED + more, _first(AT_THE_GATE, cautions.get("diagnosis", ())))


def _of_the_job(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step | None:
    """The next step of a job that has not come to its gate and on which nothing is urgent."""
    if danger.standing:
        return _safety_step(done, danger.standing, cautions)
    if danger.good:
        return Step("diagnosis", GOOD, _first(AT_A_LIVE_MACHINE, cautions.get("diagnosis", ())))
    return _before_the_gate(done, cautions, danger)


def _ordered(order: Order, cautions: Mapping[str, tuple[str, ...]]) -> Step:
    return Step(order.part, order.text, _first(order.cautions, cautions.get(order.part, ())))


def _safety_step(done: Results, notices: Sequence[Result], cautions: Mapping[str, tuple[str, ...]]) -> Step:
    """What the first of these safety rules orders."""
    own = [key for note in notices for key in note["cautions"]]
    part = "diagnosis" if notices[0] in (at(done, "diagnosis.safety") or ()) else "note"
    return Step(part, notices[0]["text"], _each_once(own, _general_last(cautions.get("diagnosis", ()))))


def _of_the_gate(gate: Result, cautions: Mapping[str, tuple[str, ...]]) -> Step:
    text, own = gate_step(gate)
    return Step("restart", text, _first(own, cautions.get("restart", ())))


def _before_the_gate(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step | None:
    """What the job has come to, the nearest to power first."""
    if "filter_log" in done:
        text = f"{done['filter_log']['verdict']}: {_why(done['filter_log'])}"
        return Step("filter_log", text, _first(AT_THE_CORE, cautions.get("cleanup", ())))
    if danger.replaced:
        gate = done.get("restart")
        return Step("restart", REPLACED, AT_THE_GATE) if gate is None else _of_the_gate(gate, cautions)
    if at(done, "diagnosis.verdict.state") == CONTRADICTORY and not danger.repaired:
        text = done["diagnosis"]["verdict"]["text"]
        return Step("diagnosis", text, _first(AT_A_LIVE_MACHINE, cautions.get("diagnosis", ())))
    if steps := at(done, "cleanup.steps"):
        return Step("cleanup", steps[0]["text"], _first(steps[0]["cautions"], cautions.get("cleanup", ())))
    if danger.orders and danger.orders[0].lead:
        return _ordered(danger.orders[0], cautions)
    return _of_the_compressor(done, cautions, danger)


def _of_the_compressor(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step | None:
    """What is to be done about a compressor for which no part of the job is planned yet."""
    if at(done, "diagnosis.verdict.state") == NO_FAULT:
        return _of_a_sound_one(done, cautions, danger)
    if danger.repaired:
        return Step("restart", OUT_OF_THE_CIRCUIT if danger.out else SEEN_INSIDE, AT_THE_OPEN_CIRCUIT)
    return _at_the_machine(done, cautions, danger)


def _of_a_sound_one(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step:
    """Away from the compressor, which is left alone, and what to look at around it without opening its circuit."""
    diagnosing = cautions.get("diagnosis", ())
    check = None if danger.repaired else to_look_at(done, made_safe=danger.made_safe, closed=True)
    if check is None:
        return Step("diagnosis", SOUND, _first(AT_A_LIVE_MACHINE, diagnosing))
    return Step("diagnosis", f"{SOUND} {check['text']}", _first((*check["cautions"], *AT_A_LIVE_MACHINE), diagnosing))


def _at_the_machine(done: Results, cautions: Mapping[str, tuple[str, ...]], danger: Danger) -> Step | None:
    """What to look at next at a machine of which nobody knows yet what failed; else what a bad verdict asks for."""
    diagnosing = cautions.get("diagnosis", ())
    if (check := to_look_at(done, made_safe=danger.made_safe)) is not None:
        return Step("diagnosis", check["text"], _first(check["cautions"], diagnosing))
    if danger.orders:
        return _ordered(danger.orders[0], cautions)
    unknown = at(done, "diagnosis.verdict.state") in UNDECIDED
    return Step("diagnosis", ASK, _first(AT_A_LIVE_MACHINE, diagnosing)) if "note" in done and unknown else None


def _started(gate: Result) -> bool:
    """Whether anything at all was said or measured for the gate."""
    return any(check["evidence"] or check["measured"] for check in gate["checks"])


def gate_step(gate: Result) -> tuple[str, tuple[str, ...]]:
    """The first check that stands in the way with its own cautions, or the verdict where none does.

    What was tried and did not pass goes before what was not tried yet.
    """
    blocking = [check for check in gate["checks"] if check["check"] in set(gate["blocking"])]
    if not blocking:
        return f"{gate['verdict']}: read what to watch.", ()
    first = min(blocking, key=lambda check: check["state"] == "missing")
    why = next((e["detail"] for e in first["evidence"] if e["outcome"] != "passed"), "")
    told = f"{NO_POWER[first['state']]}: {first['title']}."
    reason = f" {why[:1].upper()}{why[1:].rstrip('.')}." if why not in ("", first["state"]) else ""
    return told + reason, tuple(TABLE().checks[first["check"]].cautions)


def _why(log: Result) -> str:
    return log["reasons"][0] if log["reasons"] else ""


def _first(own: Iterable[str], rest: tuple[str, ...]) -> tuple[str, ...]:
    """Each caution once: those of the step, what fits every step until three stand, then those of its part."""
    fitting = [*dict.fromkeys(own)]
    fitting += [key for key in ALWAYS if key not in fitting][: max(0, VISIBLE - len(fitting))]
    return _each_once(fitting, _general_last(rest))


def _general_last(keys: Iterable[str]) -> list[str]:
    """What holds for every answer last."""
    return sorted(keys, key=GENERAL.__contains__)


def _each_once(*groups: Iterable[str]) -> tuple[str, ...]:
    """Each caution once, where it stands first."""
    return tuple(dict.fromkeys(key for group in groups for key in group))
