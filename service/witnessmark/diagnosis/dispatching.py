"""From a call to what is sent: note and findings in; stop or keep running, priority, crew and questions out.

No explanations and no next checks are worked out, and the least probable nodes are weighed roughly where many findings
were reported, so that a dispatcher with hundreds of calls waits for none of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from witnessmark.diagnosis.answer.dispatch import MODES, advice, causes
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.operation import EVIDENCE, operation
from witnessmark.diagnosis.answer.priority import Unheard, priority
from witnessmark.diagnosis.answer.safety import abnormal, notices
from witnessmark.diagnosis.answer.verdict import sound
from witnessmark.diagnosis.case import Case, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import DANGER, NO_FAULT, Knowledge
from witnessmark.diagnosis.catalogue.triage import Question, triage
from witnessmark.diagnosis.notes.matching import Match, NoteReading, alarming, read_note
from witnessmark.diagnosis.result import DispatchAdvice, Hypothesis, Named, SafetyNotice
from witnessmark.errors import ConflictError

BRIEF = 1 << 20
"""Entries of the tables of a brief ranking: some 10 ms at most; 25 findings have a quarter of that."""
_CAUSES, _IN_VIEW = 2, 3
_QUESTIONS = 3


@dataclass(frozen=True, slots=True)
class ToConfirm:
    """A finding as the note was understood, for somebody to confirm. words: the finding in this state."""

    finding: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class Dispatched:
    """What a call comes to. call_back: why somebody should call back before anything else, empty where nobody need.

    likely: modes and causes that something found speaks for. ask: what to ask on the phone, the most telling first.
    """

    matched: tuple[ToConfirm, ...]
    call_back: str
    safety: tuple[SafetyNotice, ...]
    likely: tuple[Hypothesis, ...]
    advice: DispatchAdvice
    ask: tuple[Named, ...]
    assumptions: tuple[str, ...]


def dispatch_call(case: Case, note: str = "", known: Knowledge | None = None) -> Dispatched:
    """What to send for a call, and what to say and ask on the phone until then.

    case: as for a diagnosis; what is wanted of it is not read. note: the caller's words or a job note; a finding that
    the case reports itself outweighs what the note says of it.

    Raises InputError and its kinds, each with the field that is wrong (`note`, `findings.0.finding`, …).
    """
    everything = known or knowledge()
    reading = _read(note)
    noted = _reports(everything, case, reading)
    inquiry = _inquiry(everything, case, noted)
    doubtful = _heard(everything, reading)
    signs = {**dict.fromkeys(doubtful, "present"), **abnormal(inquiry)}
    fired = notices(inquiry, doubtful)
    nodes, keys = _in_view(inquiry)
    unheard = _unheard(note, reading, case)
    ranked = priority(everything, case, signs, unheard)
    return Dispatched(
        matched=tuple(_to_confirm(everything, reading)),
        call_back=ranked.reason if unheard else "",
        safety=fired,
        likely=inquiry.hypotheses(nodes),
        advice=advice(inquiry, (keys, ()), fired, operation(inquiry, fired, signs), ranked),
        ask=tuple(_questions(inquiry, {*signs, *_told(inquiry)})),
        assumptions=inquiry.checked.remarks,
    )


def _read(note: str) -> NoteReading:
    return read_note(note) if note.strip() else NoteReading((), (), ())


def _unheard(note: str, reading: NoteReading, case: Case) -> Unheard | None:
    if reading.call_back is not None:
        return "alarm"
    nothing = bool(note.strip()) and not reading.matches and not case.findings and not case.readings
    return "nothing" if nothing else None


def _reports(known: Knowledge, case: Case, reading: NoteReading) -> tuple[Report, ...]:
    """What the note reports without doubt, of findings that the case does not report and the machine can have."""
    told = {report.finding for report in case.findings}
    machine = case.machine.judged()
    return tuple(
        Report(match.finding, match.state)
        for match in reading.matches
        if match.finding not in told and match.finding not in reading.contradictory and match.state != "unknown"
        if match.finding not in known.findings or known.findings[match.finding].applies.to(machine)
    )


def _inquiry(known: Knowledge, case: Case, noted: Sequence[Report]) -> Inquiry:
    """The brief ranking; words of the note that fit no one machine together are set aside."""
    try:
        return inquire(known, replace(case, findings=(*case.findings, *noted)), BRIEF, brief=True)
    except ConflictError:
        general = [r for r in noted if r.finding in known.findings and not known.findings[r.finding].applies.parts]
        return inquire(known, replace(case, findings=(*case.findings, *general)), BRIEF, brief=True)


def _heard(known: Knowledge, reading: NoteReading) -> tuple[str, ...]:
    """Findings that fire their rules though they may be no evidence: doubtful, contradictory, and faint dangers."""
    faint = (match for match in reading.candidates if _is_danger(known, match))
    heard = (match.finding for match in (*reading.matches, *faint) if alarming(match))
    return tuple(dict.fromkeys(key for key in heard if key in known.findings))


def _is_danger(known: Knowledge, match: Match) -> bool:
    return match.finding in known.findings and known.findings[match.finding].group == DANGER


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


def _questions(inquiry: Inquiry, told: set[str]) -> Iterator[Named]:
    """Those that nothing told settles: what is always asked, then what the hypotheses in view show."""
    in_view = {inquiry.net.nodes[n] for n in (*inquiry.modes[:_IN_VIEW], *inquiry.causes[:_IN_VIEW])}
    shows = _shown_by(inquiry.knowledge)
    open_ones = [q for q in triage().question if _open(inquiry, q, told)]
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
