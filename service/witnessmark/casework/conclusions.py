"""What one part of a case concludes, handed to the next: note to findings, grade and fragments to the gate.

Pure functions on the JSON of answers. Each returns a new view and what it took, in words.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.casework.broken import BURNT, FINDINGS_OF_SIGNS, broken
from witnessmark.casework.danger import of_the_failed
from witnessmark.casework.document import Json, at
from witnessmark.casework.hearsay import quoted
from witnessmark.casework.moments import zone_is_known
from witnessmark.diagnosis.case import MACHINE_WORDS, Urgency
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.danger_rows import as_ruled
from witnessmark.diagnosis.notes.matching import LONGEST
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.vocabulary import words

Result = Mapping[str, Any]
_URGENCIES = {
    "medical": "medical",
    "people": "medical",
    "food": "food-at-risk",
    "process": "process-at-risk",
    "comfort": "comfort",
}
"""Urgency of a note in the words of a case, as a call has it."""
_NO_PUMPING = "the compressor moves no gas, so a difference from saturation says nothing of how it is fed"


def words_of(case: Mapping[str, Any]) -> tuple[str, str]:
    """The words to read for findings: complaint, then notes of the failed machine; and what was left unread."""
    whole = "\n".join(spoken.text for spoken in of_the_failed(case))
    if len(whole) <= LONGEST:
        return whole, ""
    return whole[:LONGEST], f"Complaint and notes: only the first {LONGEST:,} characters were read."


def with_note(seen: Json, match: Result) -> tuple[Json, tuple[str, ...]]:
    """The view with the findings and facts of the note that the document does not tell itself.

    What is doubtful, contradictory or only a candidate is not taken, nor what is quoted of a customer who cannot have
    seen it. What somebody confirmed outweighs the note.
    """
    told, text = {report["finding"] for report in seen.get("findings", ())}, words_of(seen)[0]
    taken_up = [
        found
        for found in match["matches"]
        if found["finding"] not in {*told, *match["contradictory"]} and found["state"] != "unknown"
    ]
    hearsay = [found for found in taken_up if quoted(found, text)]
    heard = [{"finding": found["finding"], "state": found["state"]} for found in taken_up if found not in hearsay]
    machine, facts = _facts(seen, match["facts"])
    filled = {**seen, "findings": [*seen.get("findings", ()), *heard], "machine": machine, **facts}
    if not filled["findings"]:
        del filled["findings"]
    if hearsay:
        filled["hearsay"] = [found["finding"] for found in hearsay]
    texts = [f"Heard in the note, to be confirmed: {_worded(found)}." for found in heard]
    texts += [f"The customer says so, nobody measured it: {_worded(found)}." for found in hearsay]
    taken = [f"Taken from the note: {_plain(value)}." for value in (*_new(seen, machine), *facts.values())]
    return filled, (*texts, *taken)


def _worded(report: Mapping[str, str]) -> str:
    """A report as a technician says it."""
    row = knowledge().findings.get(report["finding"])
    if row is not None:
        return row.wording(report["state"])
    text = knowledge().normals[report["finding"]].text
    return text if report["state"] == "present" else f"{text}: {report['state']}"


def _plain(value: str) -> str:
    """A word of a closed list as it is read; names of refrigerants stay."""
    return value if any(map(str.isdecimal, value)) else value.replace("-", " ")


def _facts(seen: Json, facts: Any) -> tuple[Json, Json]:
    """Machine, refrigerant and urgency, filled where the document leaves them out; of two values neither is taken."""
    said: dict[str, list[str]] = {}
    for fact in facts:
        said.setdefault(fact["kind"], []).append(fact["value"])
    machine = dict(seen.get("machine", {}))
    for part, known in MACHINE_WORDS.items():
        values = said.get(part, [])
        if part not in machine and len(values) == 1 and values[0] in known:
            machine[part] = values[0]
    beside: Json = {}
    if "refrigerant" not in seen and len(gases := said.get("refrigerant", [])) == 1:
        beside["refrigerant"] = gases[0]
    urgencies = [_URGENCIES[value] for value in said.get("urgency", ()) if value in _URGENCIES]
    if "urgency" not in seen and urgencies:
        beside["urgency"] = min(urgencies, key=words(Urgency).index)
    return machine, beside


def _new(seen: Json, machine: Json) -> list[str]:
    return [str(value) for part, value in machine.items() if at(seen, f"machine.{part}") is None]


def with_signs(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view in which what the opened compressor shows is a finding too, unless the document tells it itself."""
    told = {report["finding"] for report in seen.get("findings", ())}
    told |= {BURNT} if told & _BURNT_SOMEHOW else set()
    shown = [
        {"finding": finding, "state": state}
        for finding, state in shown_by(seen.get("signs") or {}).items()
        if finding not in told
    ]
    if not shown:
        return seen, ()
    said = tuple(f"Taken from the signs, as a finding: {_worded(report)}." for report in shown)
    return {**seen, "findings": [*seen.get("findings", ()), *shown]}, said


def shown_by(signs: Mapping[str, Any]) -> dict[str, str]:
    """Findings and their states; oil without loose carbon may still be burnt."""
    states: dict[str, str] = {}
    for (sign, value), finding in FINDINGS_OF_SIGNS.items():
        looked = signs.get(sign)
        if looked == value or (isinstance(looked, list) and value in looked):
            states[finding] = "present"
        elif (looked == [] and value != "carbonised-oil") or (sign, looked) == ("acid_test", "negative"):
            states[finding] = "absent"
    return states


_BURNT_SOMEHOW = {
    "windings-burnt-evenly",
    "windings-one-or-two-phases-burnt",
    "winding-one-phase-darker",
    "windings-clean",
}
"""Who says how the winding burnt, or that it did not, knows more than that it burnt."""


def with_history(seen: Json) -> Json:
    """The view in which an earlier loss of a compressor counts for the plan too, where nobody looked at it there."""
    again = at(seen, "circumstances.origin") in REPEATED
    signs = seen.get("signs")
    if not again or signs is None or signs.get("repeated_failure") is not None:
        return seen
    return {**seen, "signs": {**signs, "repeated_failure": True}}


REPEATED = ("replacement",)
"""Origins of a compressor that tell of an earlier loss."""


def with_zone(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view on the clock of UTC where nobody knows the zone that the case names: only dates hang on it."""
    name = at(seen, ZONE)
    if not name or zone_is_known(name):
        return seen, ()
    return {**seen, "site": {**seen["site"], "time_zone": "UTC"}}, (_NO_ZONE,)


ZONE = "site.time_zone"
_NO_ZONE = "The time zone of the site is not known: what is dated on its clock is dated in UTC instead."


def with_one_air(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view with the altitude alone where a barometer is told as well: one reduced to sea level misleads most."""
    site = seen.get("site") or {}
    if site.get("altitude") is None or site.get("barometer") is None:
        return seen, ()
    return {**seen, "site": {key: value for key, value in site.items() if key != "barometer"}}, (TWO_AIRS,)


TWO_AIRS = (
    "The site has an altitude and a barometer: the air pressure is taken from the altitude, since a barometer may have "
    "been reduced to sea level."
)


def with_one_state(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view in which each finding is told once: of two states danger stands, of anything else neither counts."""
    states: dict[str, list[str]] = {}
    for report in seen.get("findings", ()):
        states.setdefault(report["finding"], []).append(report["state"])
    if all(len(told) == 1 for told in states.values()):
        return seen, ()
    one = {finding: _one_state(finding, told) for finding, told in states.items()}
    odd = (finding for finding, told in states.items() if len({*told} - {"unknown"}) > 1)
    rows = {report["finding"]: report for report in reversed(seen["findings"])}
    kept = [{**rows[finding], "state": one[finding]} for finding in states]
    said = (f"Told in two ways, taken as {one[finding]}: {named(finding)}." for finding in odd)
    return {**seen, "findings": kept}, tuple(said)


def _one_state(finding: str, told: list[str]) -> str:
    """Who is not sure whether there is danger is told that there is; a state beside "unknown" is a state."""
    known = list(dict.fromkeys(state for state in told if state != "unknown"))
    if len(known) < 2:  # noqa: PLR2004 - one state is no contradiction
        return known[0] if known else "unknown"
    alarming = (is_danger(finding) or finding in as_ruled()) and "present" in known
    return "present" if alarming else "unknown"


def named(finding: str) -> str:
    """Its words in the knowledge; the id of one that it does not have."""
    row = knowledge().findings.get(finding) or knowledge().normals.get(finding)
    return finding if row is None else row.text


def with_grade(seen: Json, plan: Result) -> tuple[Json, tuple[str, ...]]:
    """The view in which the gate hears of the plan's grade: the higher of it and one that was settled by hand."""
    graded, settled = plan["severity"]["grade"], at(seen, "machine.burnout_grade")
    if plan["severity"]["name"] == "unknown" and settled is not None:
        return seen, ()
    if settled is not None and settled >= graded:
        return seen, ()
    machine = {**seen.get("machine", {}), "burnout_grade": graded}
    return {**seen, "machine": machine}, (f"The gate takes grade {graded} of the cleanup plan.",)


def with_grade_alone(seen: Json, graded: Result | None) -> tuple[Json, tuple[str, ...]]:
    """The same where there is no plan. graded: a plan that stands in for its grade; None where there is no grade.

    What nobody can grade counts as severe unless it was settled by hand: nothing that hangs on the grade is let off.
    """
    if graded is not None:
        found, said = with_grade(seen, graded)
        return found, (_BY_SIGNS.format(grade=graded["severity"]["grade"]),) if said else ()
    if at(seen, "machine.burnout_grade") is not None:
        return seen, ()
    return {**seen, "machine": {**seen.get("machine", {}), "burnout_grade": SEVERE}}, (_NO_GRADE,)


SEVERE = 2
"""The grade from which a burnout is severe."""
_BY_SIGNS = "There is no cleanup plan: the gate takes grade {grade}, to which the signs alone come."
_NO_GRADE = (
    "There is no cleanup plan, and the signs cannot be graded: the gate asks for all that a severe burnout does."
)


def with_fragments(seen: Json, plan: Result | None) -> tuple[Json, tuple[str, ...]]:
    """The view in which the gate hears that fragments may lie in the circuit. Nothing ever takes that back.

    A balance of masses proves never that all was found, so a broken part is enough.
    """
    loose = plan is not None and plan["severity"]["solids"] == "fragments"
    if not (broken(seen) or loose) or at(seen, "machine.debris_possible") is True:
        return seen, ()
    machine = {**seen.get("machine", {}), "debris_possible": True}
    return {**seen, "machine": machine}, ("The gate takes it that fragments may have left the old compressor.",)


def withheld(part: str, done: Mapping[str, Result]) -> str:
    """Why a part is not worked out although it could be: empty if it is."""
    if part in ("superheat", "subcooling") and done.get("compression", {}).get("verdict") == "not pumping":
        return _NO_PUMPING
    return ""
