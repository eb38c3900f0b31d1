"""From a call to what is sent: note and findings in; stop or keep running, priority, crew and questions out.

No explanations and no next checks are worked out, and the least probable nodes are weighed roughly where many findings
were reported, so that a dispatcher with hundreds of calls waits for none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from witnessmark.diagnosis.answer.dispatch import IF_WRONG, LEAVE_IT, MODES, NO_FAULT_TOLD, SWITCH_OFF, advice, causes
from witnessmark.diagnosis.answer.extremes import alarms, extremes, heard
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.operation import EVIDENCE, operation
from witnessmark.diagnosis.answer.plights import explained, urgency_in, with_plights
from witnessmark.diagnosis.answer.priority import Unheard, priority
from witnessmark.diagnosis.answer.safety import abnormal, notices, supposed
from witnessmark.diagnosis.answer.verdict import sound
from witnessmark.diagnosis.case import MACHINE_WORDS, Case, Fluid, Report, Urgency
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import NO_FAULT, Knowledge
from witnessmark.diagnosis.catalogue.triage import Question, signs_of, triage
from witnessmark.diagnosis.notes.beside.facts import Fact
from witnessmark.diagnosis.notes.calling import alarming
from witnessmark.diagnosis.notes.errands import can_wait, errand
from witnessmark.diagnosis.notes.matches import Match
from witnessmark.diagnosis.notes.matching import NoteReading, read_call
from witnessmark.diagnosis.notes.numbers.number import Values
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.diagnosis.notes.unread import unread
from witnessmark.diagnosis.result import DispatchAdvice, Hypothesis, Named, Operation, SafetyNotice
from witnessmark.diagnosis.unheard import (
    CALL_BACK,
    UNEASY,
    in_doubt,
    left_unheard,
    mere_request,
    of_danger,
    sounds_of_danger,
)
from witnessmark.vocabulary import words

BRIEF = 1 << 20
"""Entries of the tables of a brief ranking: some 10 ms at most; 25 findings have a quarter of that."""
_CAUSES, _IN_VIEW = 2, 3
_QUESTIONS = 3
_NO_ENTRY = "enter-without-air-check"
_KEEP_AWAY = (
    "Keep everybody away from it, switch it off if that is safe, and stay by the phone: somebody calls back at once"
)
_IF_IN_DANGER = (
    "If anybody is unwell, or there is smoke, sparks or a smell of gas or burning, keep everybody away from it; "
    "somebody calls back at once"
)
_TROUBLE = frozenset({"present", "high"})
_NOT_SHOWN = "Nothing that was told shows that it is well: nobody can say."
_NOT_READ = "What was understood speaks for letting it run, but the note holds words that were not: ask again."
_URGENCY: Mapping[str, Urgency] = {
    "medical": "medical",
    "people": "medical",
    "food": "food-at-risk",
    "process": "process-at-risk",
    "comfort": "comfort",
}
"""Urgency of a note in the words of a call: frail people need care."""
_LOST_FOR_GOOD: Sequence[Urgency] = ("medical", "food-at-risk")


@dataclass(frozen=True, slots=True)
class ToConfirm:
    """A finding as the note was understood, for somebody to confirm. words: the finding in this state."""

    finding: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class Dispatched:
    """What a call comes to. call_back: why somebody should call back before anything else, empty where nobody need.

    taken: what the note said of the machine, the refrigerant and the urgency, where the case left it out. likely: modes
    and causes that something found speaks for. ask: what to ask on the phone, the most telling first.
    """

    matched: tuple[ToConfirm, ...]
    call_back: str
    taken: tuple[str, ...]
    safety: tuple[SafetyNotice, ...]
    likely: tuple[Hypothesis, ...]
    advice: DispatchAdvice
    ask: tuple[Named, ...]


FromNote = Callable[[Mapping[str, Values], str | None], Case]
"""From the values of a note by field, SI, and its refrigerant to a case with all readings, those of the case among
them."""


def dispatch_call(
    case: Case, note: str = "", known: Knowledge | None = None, from_note: FromNote | None = None
) -> Dispatched:
    """What to send for a call, and what to say and ask on the phone until then.

    case: as for a diagnosis; what is wanted of it is not read. note: the caller's words or a job note; what the case
    says itself outweighs what the note says of it. from_note: how numbers of the note become readings beside those of
    the case; without it only what they imply counts.

    Raises InputError and its kinds, each with the field that is wrong (`text`, `findings.0.finding`, …).
    """
    everything, reading = known or knowledge(), read_call(note, case.machine)
    filled, taken = from_facts(case, reading.facts)
    keeps = case.keeps_goods or reading.keeps_goods
    filled = replace(filled, urgency=urgency_in(reading.plights, filled.urgency))
    reports = (*case.findings, *_reports(case, reading))
    told = replace(filled, findings=reports, keeps_goods=keeps, told_to_run=reading.runs)
    if from_note and reading.readings:
        told = _with_readings(case, told, from_note(reading.readings, _refrigerant(reading.facts)))
    inquiry = inquire(everything, told, BRIEF, brief=True)
    beyond = extremes({**reading.shares, **reading.readings}, told, _refrigerant(reading.facts))
    good = not abnormal(inquiry) and not beyond and bool(case.findings or case.readings)
    signalled = (*_heard(everything, reading, good=good), *alarms(beyond), *supposed(inquiry))
    doubtful = tuple(key for key in dict.fromkeys(signalled) if key not in inquiry.unproved)
    signs = {**dict.fromkeys(doubtful, "present"), **abnormal(inquiry)}
    fired = notices(inquiry, (*doubtful, *heard(told, beyond)))
    nodes, keys = _in_view(inquiry)
    unheard = _graver(left_unheard((everything, case), note, reading, good=good), case, note, reading, signs, doubtful)
    waits = can_wait(note, reading.matches) or mere_request(note, reading)
    due = told if signs or not waits else replace(told, urgency=case.urgency)  # a hospital's yearly service
    ranked = priority(everything, due, signs, unheard, planned=waits, beyond=beyond)
    runs = operation(inquiry, fired, signs, beyond)
    advised = advice(
        inquiry,
        (keys, ()),
        fired,
        _not_while_unread(_not_while_unheard(runs, unheard, sound=good and not signs), case, note, reading),
        ranked,
    )
    advised = with_plights(advised, reading.plights, signs, everything)
    return Dispatched(
        matched=tuple(_to_confirm(everything, reading)),
        call_back=CALL_BACK[unheard] if unheard else "",
        taken=taken,
        safety=fired,
        likely=inquiry.hypotheses(nodes),
        advice=_kept_away(_at_rest(advised, case, note, unheard), unheard),
        ask=tuple(_questions(inquiry, {*signs, *_told(inquiry)}, fired)),
    )


def _graver(
    unheard: Unheard | None,
    case: Case,
    note: str,
    reading: NoteReading,
    signs: Mapping[str, str],
    doubtful: Sequence[str],
) -> Unheard | None:
    """What was not understood, seen with what was: a danger in doubt, words left over, an uneasy reader."""
    if sounds_of_danger(note, reading) and not any(is_danger(key) for key in signs):
        return "sounds"
    if unheard == "nothing" and doubtful:
        return "suspected"
    if unheard is None and not signs and _left_open(case, note, reading):
        unheard = "part"
    may_be = reading.unease >= UNEASY or _grave_if_so(case, reading)
    return "uneasy" if unheard in ("nothing", "part") and may_be else unheard


def _grave_if_so(case: Case, reading: NoteReading) -> bool:
    """Whether something was heard too faintly to be believed that makes it a danger to switch the power on."""
    rows = [row for row in signs_of(case.fluid) if row.stake == "danger-if-powered"]
    faint = [match for match in reading.candidates if match.state in _TROUBLE]
    return any(row.seen(match.finding, match.state) for match in faint for row in rows)


def _with_readings(own: Case, told: Case, read: Case) -> Case:
    """The case with what readings make of one: numbers, values, doubts, and whether it ran.

    What the note says of a finding that its number leaves in doubt is that number again; what the call says stays.
    """
    doubtful = {doubt.heard for doubt in read.doubts}
    return replace(
        told,
        findings=tuple(r for r in told.findings if r in own.findings or r.finding not in doubtful),
        readings=read.readings,
        values=read.values,
        doubts=read.doubts,
        ran=read.ran,
        stood=read.stood,
        refrigerant=read.refrigerant,
    )


def _not_while_unheard(runs: Operation, unheard: Unheard | None, *, sound: bool) -> Operation:
    """Where words of danger stand that nobody understood, nothing runs on until somebody has called back.

    sound: only good was told of the machine; what merely sounds like danger then stops nothing.
    """
    if unheard == "danger" and runs.advice != "stop":
        return Operation("stop", "Keep it off: words of alarm were told that were not understood.", ())
    if unheard not in ("sounds", "suspected") or runs.advice == "stop":
        return runs
    if unheard == "sounds" or not sound:
        return Operation("stop", "Keep it off until somebody has called back: the note may tell of danger.", ())
    return Operation("unknown", "Nothing speaks for stopping it, but the note may tell of danger: call back first.", ())


def _not_while_unread(runs: Operation, case: Case, note: str, reading: NoteReading) -> Operation:
    """Nobody says `keep running` by a note that shows nothing well, or trouble, or has words that nothing read."""
    if runs.advice != "keep-running" or not note.strip():
        return runs
    told_apart = bool(case.findings or case.readings or case.conditions)
    if not (told_apart or _shown_well(reading)):
        return Operation("unknown", _NOT_SHOWN, ())
    return Operation("unknown", _NOT_READ, ()) if unread(note, reading.matches, reading.facts) else runs


def _shown_well(reading: NoteReading) -> bool:
    """Whether what only a running machine shows is normal, and nothing is told that is none to run on with."""
    row = triage().running
    trouble = any(m.finding in row.unless and m.state in _TROUBLE for m in reading.matches)
    return not trouble and any(m.finding in row.findings and _is_good(m) for m in reading.matches)


def _is_good(match: Match) -> bool:
    """Normal, or by a number none of what it might be: that words deny a noise shows nothing."""
    return match.state == "normal" or (match.state == "absent" and match.quantity is not None)


def _left_open(case: Case, note: str, reading: NoteReading) -> bool:
    """Whether words stand unread in a note that told of nothing wrong, and asks for nothing that can be planned."""
    waits = can_wait(note, reading.matches) or mere_request(note, reading)
    asked = not note.strip() or waits or case.urgency == "none"
    silent = asked or bool(case.findings or case.readings)
    return not silent and bool(unread(note, reading.matches, reading.facts))


def _at_rest(advised: DispatchAdvice, case: Case, note: str, unheard: Unheard | None) -> DispatchAdvice:
    """For an invoice or a date no machine is to be left off; where nothing was understood it is, if it has a fault."""
    asked = NO_FAULT_TOLD if errand(note) else IF_WRONG if unheard == "nothing" else LEAVE_IT
    if case.findings or case.readings or case.conditions or asked == LEAVE_IT:
        return advised
    return replace(advised, for_caller=tuple(asked if said == LEAVE_IT else said for said in advised.for_caller))


def _kept_away(advised: DispatchAdvice, unheard: Unheard | None) -> DispatchAdvice:
    """What is said on the phone begins with keeping people away, where words of danger were not understood."""
    if unheard == "suspected":
        return replace(advised, for_caller=(_IF_IN_DANGER, *advised.for_caller))
    if unheard not in ("sounds", "danger"):
        return advised
    return replace(advised, for_caller=(_KEEP_AWAY, *(said for said in advised.for_caller if said != SWITCH_OFF)))


def from_facts(case: Case, facts: Sequence[Fact]) -> tuple[Case, tuple[str, ...]]:
    """The case with what the note tells plainly and the case leaves out, and that in words.

    Of two values that cannot both be so neither is taken; of several urgencies the most urgent is.
    """
    said: dict[str, list[str]] = {}
    for fact in facts:
        said.setdefault(fact.kind, []).append(fact.value)
    parts = {part: said[part][0] for part in MACHINE_WORDS if _plain(case, said, part)}
    machine = replace(case.machine, **parts)  # type: ignore[arg-type] # words of the file, checked there
    gases = said.get("refrigerant", []) if case.fluid is None else []
    fluid = Fluid.of(gases[0]) if len(gases) == 1 else case.fluid
    urgencies = [_URGENCY[value] for value in said.get("urgency", [])]
    urgency = _most_urgent(case.urgency, urgencies)
    taken = (*parts.values(), *(gases if len(gases) == 1 else ()), *([urgency] if urgency != case.urgency else ()))
    return replace(case, machine=machine, fluid=fluid, urgency=urgency), tuple(map(str, taken))


def _most_urgent(said: Urgency | None, noted: Sequence[Urgency]) -> Urgency | None:
    """What the call says; that nothing is urgent does not silence a note of medicine or goods."""
    heard_of = [word for word in noted if said is None or (said == "none" and word in _LOST_FOR_GOOD)]
    return min(heard_of, key=words(Urgency).index, default=said)


def _refrigerant(facts: Sequence[Fact]) -> str | None:
    """The one refrigerant that the note names."""
    named = [fact.value for fact in facts if fact.kind == "refrigerant"]
    return named[0] if len(named) == 1 else None


def _plain(case: Case, said: Mapping[str, Sequence[str]], part: str) -> bool:
    """Whether the note alone says of what kind this part of the machine is, and the knowledge covers it."""
    values = said.get(part, ())
    return getattr(case.machine, part) is None and len(values) == 1 and values[0] in MACHINE_WORDS[part]


def _reports(case: Case, reading: NoteReading) -> tuple[Report, ...]:
    """What the note reports without doubt, of findings that the case does not report itself."""
    told = {report.finding for report in case.findings}
    return tuple(
        Report(match.finding, match.state)
        for match in reading.matches
        if match.finding not in told and match.finding not in reading.contradictory and match.state != "unknown"
    )


def _heard(known: Knowledge, reading: NoteReading, *, good: bool) -> tuple[str, ...]:
    """Findings that fire their rules though they may be no evidence: doubtful, contradictory, and faint dangers.

    good: only good was told of the machine; a danger heard faintly and told in doubt is then a reason to call back.
    """
    dangers = (match for match in reading.candidates if of_danger(known, match) and not (good and in_doubt(match)))
    faint = (match for match in dangers if match.finding not in explained(reading.plights))
    heard = (match.finding for match in (*reading.matches, *faint) if alarming(match))
    return tuple(dict.fromkeys(key for key in heard if key in known.findings))


def _in_view(inquiry: Inquiry) -> tuple[list[int], tuple[str, ...]]:
    """Nodes that something found speaks for, and the hypotheses that are acted on."""
    if sound(inquiry):
        return [], (NO_FAULT,)
    least = inquiry.decisions.verdict.candidate
    modes = [n for n in inquiry.modes[:_IN_VIEW].tolist() if _spoken_for(inquiry, n, least)][:MODES]
    likely = [n for n in inquiry.causes[:_CAUSES].tolist() if _spoken_for(inquiry, n, least)]
    keys = (*(inquiry.net.nodes[n] for n in modes), *causes(inquiry))
    return [*modes, *likely], keys


def _spoken_for(inquiry: Inquiry, node: int, least: float) -> bool:
    key = inquiry.net.nodes[node]
    return inquiry.probability(key) >= least and inquiry.shift(key) >= EVIDENCE


def _to_confirm(known: Knowledge, reading: NoteReading) -> Iterator[ToConfirm]:
    for match in reading.matches:
        finding = known.findings.get(match.finding)
        words = finding.wording(match.state) if finding else known.normals[match.finding].text
        yield ToConfirm(match.finding, match.state, words)


def _told(inquiry: Inquiry) -> Iterator[str]:
    """Findings and normals of which somebody has said something."""
    for report in inquiry.checked.reports:
        yield from (report.finding, report.implied_by)
    yield from inquiry.evidence.states


def _questions(inquiry: Inquiry, told: set[str], fired: Sequence[SafetyNotice]) -> Iterator[Named]:
    """Those that nothing told settles: what is always asked, then what the hypotheses in view show."""
    in_view = {inquiry.net.nodes[n] for n in (*inquiry.modes[:_IN_VIEW], *inquiry.causes[:_IN_VIEW])}
    shows = _shown_by(inquiry.knowledge)
    gas = any(_NO_ENTRY in notice.forbids for notice in fired)
    open_ones = [q for q in triage().question if (gas if q.about == "gas" else _open(inquiry, q, told))]
    telling = [q for q in open_ones if not q.always and any(in_view & shows.get(key, set()) for key in q.settles)]
    first = [q for q in open_ones if q.always]
    yield from (Named(q.id, q.words) for q in (*first, *telling)[:_QUESTIONS])


def _open(inquiry: Inquiry, question: Question, told: set[str]) -> bool:
    if question.about == "urgency":
        return inquiry.case.urgency is None
    if question.about == "refrigerant":
        return inquiry.case.fluid is None
    return told.isdisjoint(question.settles)


@lru_cache(maxsize=8)
def _shown_by(known: Knowledge) -> Mapping[str, set[str]]:
    """The modes and causes that show each finding."""
    shown: dict[str, set[str]] = {}
    for link in (*known.mode_finding, *known.cause_finding):
        shown.setdefault(link.target, set()).add(link.origin)
    return shown
