"""From what was reported of a machine to likelihoods on its findings, and what could not be used.

Reports carry a reliability and never are certain. Silence in a named channel counts softly: P(not mentioned | present)
against P(not mentioned | absent). Readings are soft by their uncertainty; those that hang on one measurement are one
piece of evidence. Findings of one disturbance (`trace`) are tempered, and so is all silence together, being one act of
one writer: k alike pieces with correlation r weigh as
k / (1 + (k - 1) r) independent ones (the design effect of cluster samples: Kish 1965, "Survey Sampling", 5.4).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.calculations.metrology.uncertainty import COVERAGE, figures
from witnessmark.diagnosis.case import AbnormalState, Case, Reading, Report
from witnessmark.diagnosis.catalogue.action_rows import ConflictPair
from witnessmark.diagnosis.catalogue.decisions import EvidenceFigures
from witnessmark.diagnosis.catalogue.readings import Bearing, ReadingRow, Triple, catalogue, likelihood, on_finding
from witnessmark.diagnosis.catalogue.rows import Finding, Knowledge
from witnessmark.diagnosis.evidence.reports import STANDS, opened
from witnessmark.diagnosis.inference.noisy_or import Evidence, Floats, Network
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import UsedEvidence

READING = "reading"
SILENT = "not mentioned"
_SI = {"temperature": "K", "temperature_difference": "K", "pressure_difference": "Pa", "resistance": "ohm"}
_DB = 10 / math.log(10)
_STRENGTHS = ((10.0, "strongly"), (5.0, "clearly"), (0.0, "weakly"))
"""Ten to one, three to one, less: least decibans and word."""


@dataclass(frozen=True, slots=True)
class EvidenceItem:
    """Likelihood of (normal, low, high) of one finding, how it came about, and what else it hangs on.

    quantity: of a reading, which number it is; several findings may be told of by one. beyond: the states on whose side
    a reading lies outside what sound machines show; within its range none is clearly read, though it may speak for one.
    """

    finding: str
    state: str
    seen: Triple
    text: str
    measurement: str = ""
    quantity: str = ""
    beyond: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class AgainstReport:
    """A reading that clearly shows a finding in another state than somebody reported; text: the reading in words."""

    finding: str
    reported: str
    read: str
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class CaseEvidence:
    """Evidence of a case ready for the network (`likelihoods`), and the account of it.

    items: explicit ones, in the order of `likelihoods.findings`. used: the same and the silent ones, in words.
    states: what every reported or clearly read finding is in. remarks: assumptions made on the way.
    unusable: findings that were reported but cannot be used here. against_reports: readings that contradict a report of
    the same finding; the reading is what counts. unproved: pairs of which what was told cannot be so while the other
    stands (a seized shaft, and the current of a machine that turns): it is named, and it is no evidence.
    """

    likelihoods: Evidence
    items: tuple[EvidenceItem, ...]
    used: tuple[UsedEvidence, ...]
    states: Mapping[str, str]
    remarks: tuple[str, ...]
    unusable: tuple[str, ...]
    against_reports: tuple[AgainstReport, ...] = ()
    unproved: tuple[ConflictPair, ...] = ()


def reported(finding: Finding, state: str, reliability: float) -> Triple:
    """Likelihood of a report for a finding that truly is (normal, low, high); low means present for yes-no."""
    wrong = 1 - reliability
    if finding.kind == "yes-no":
        return (wrong, reliability, wrong) if state == "present" else (reliability, wrong, reliability)
    each = {key: reliability if key == state else wrong / 2 for key in ("normal", "low", "high")}
    return each["normal"], each["low"], each["high"]


def gather(
    knowledge: Knowledge, net: Network, case: Case, reports: Sequence[Report], figures: EvidenceFigures
) -> CaseEvidence:
    """Readings and reports as evidence for the network of the machine."""
    usable = set(net.findings) - net.shell_bound
    pieces = [*_readings(knowledge, case, figures), *_reports(knowledge, reports)]
    touched = {p.finding for p in pieces}
    read = {p.finding for p in pieces if p.state == READING}
    states = {p.finding: _state(knowledge.findings[p.finding], p, figures.clear_reading) for p in reversed(pieces)}
    doubted = tuple(_unproved(knowledge, case, reports, (states, read)))
    usable_reports = usable - read - {pair.unproved for pair in doubted}
    explicit = _merged([p for p in pieces if p.finding in (usable if p.state == READING else usable_reports)])
    silent = _silent(knowledge, net, case, touched | net.shell_bound | _in_circumstances(knowledge, case))
    evidence = Evidence(
        np.array([net.index(p.finding) for p in explicit], np.intp),
        _powers(explicit, _tempered(knowledge, explicit, figures.trace_correlation)),
        np.array([net.index(p.finding) for p in silent], np.intp),
        _powers(silent, _weight_of_silence(knowledge, net, case, (len(touched), len(silent)), figures)),
    )
    tempered = np.concatenate([evidence.likelihood, evidence.silent_likelihood])
    aside = tuple(dict.fromkeys(p.finding for p in pieces if p.finding not in usable))
    return CaseEvidence(
        evidence,
        tuple(explicit),
        tuple(_used(knowledge, p, seen) for p, seen in zip((*explicit, *silent), tempered, strict=True)),
        {key: state for key, state in states.items() if state},
        tuple(_remarks(knowledge, net, case, pieces, aside)),
        aside,
        tuple(_against_reports(knowledge, explicit, reports, figures.contradicting_reading)),
        doubted,
    )


def _unproved(
    knowledge: Knowledge, case: Case, reports: Sequence[Report], told: tuple[Mapping[str, str], set[str]]
) -> Iterator[ConflictPair]:
    """Pairs of which the one that was told is not believed; in an opened compressor what was read before is older.

    told: every state, and the findings that numbers tell.
    """
    states, read = told
    stalled = STANDS[0] in read and states.get(STANDS[0]) == STANDS[1]
    if stalled or opened(knowledge, case, reports):
        return
    for pair in knowledge.conflicts:
        weighed = pair.unproved and pair.unproved not in read and pair.fits(states)
        if weighed and (pair.by == "any" or pair.other in read):
            yield pair


def _against_reports(
    knowledge: Knowledge, explicit: Sequence[EvidenceItem], reports: Sequence[Report], clear: float
) -> Iterator[AgainstReport]:
    """What was reported, not what follows from a normal, and reads otherwise."""
    read = {p.finding: p for p in explicit if p.state == READING}
    for report in reports:
        piece = None if report.implied_by else read.get(report.finding)
        shown = piece and _state(knowledge.findings[report.finding], piece, clear)
        if piece and shown and shown != report.state:
            yield AgainstReport(report.finding, report.state, shown, piece.text)


def _reports(knowledge: Knowledge, reports: Sequence[Report]) -> list[EvidenceItem]:
    pieces = []
    for report in reports:
        finding = knowledge.findings[report.finding]
        reliability = finding.reliability if report.reliability is None else report.reliability
        text = finding.wording(report.state)
        if report.implied_by:
            text += f" (follows from: {lower(knowledge.name(report.implied_by))})"
        pieces.append(EvidenceItem(finding.id, report.state, reported(finding, report.state, reliability), text))
    return pieces


def _readings(knowledge: Knowledge, case: Case, figures: EvidenceFigures) -> list[EvidenceItem]:
    pieces, quantities = [], {reading.quantity for reading in case.readings}
    settled = {b.finding for key in quantities if catalogue()[key].settles for b in catalogue()[key].bears}
    for reading in case.readings:
        row = catalogue()[reading.quantity]
        seen = likelihood(row, reading.value, reading.uncertainty, figures.gross_error)
        for bearing in row.bears:
            if bearing.finding in knowledge.findings and (row.settles or bearing.finding not in settled):
                finding, of_finding = knowledge.findings[bearing.finding], on_finding(bearing, seen)
                text = f"{_number(row, reading)} → {_tells(finding, of_finding)}"
                shared = reading.shared_with or row.measurement
                beyond = frozenset() if row.hints in quantities else _beyond(row, bearing, reading)
                pieces.append(EvidenceItem(finding.id, READING, of_finding, text, shared, row.id, beyond))
    return pieces


def _beyond(row: ReadingRow, bearing: Bearing, reading: Reading) -> frozenset[str]:
    """The states that a number outside of its sound range is on the side of; none of one within it.

    Where sources state limits apart it has to be beyond the laxest of them.
    Where sound machines read a little beyond the limit, it has to be beyond it by its own uncertainty; not so where the
    scale is of decades, as of insulation.
    """
    if row.edge_counts:
        return frozenset(_edges(row, bearing, reading))
    (low, high), logarithmic = row.normal, row.scale == "log10"
    x, around = (math.log10(reading.value), 0.0) if logarithmic else (reading.value, reading.uncertainty)
    least, most = low - (around if row.stray else 0.0), high + (around if row.stray_high else 0.0)
    return frozenset({bearing.low} if x < least else {bearing.high} if x > most else ())


def _edges(row: ReadingRow, bearing: Bearing, reading: Reading) -> Iterator[str]:
    """The sides on which a number near a limit may be a clear sign: all but those on which its doubt reaches inside."""
    if row.sure_low is None or reading.value + reading.uncertainty < row.sure_low:
        yield bearing.low
    if row.sure_high is None or reading.value - COVERAGE * reading.uncertainty > row.sure_high:
        yield bearing.high


def _number(row: ReadingRow, reading: Reading) -> str:
    """The chain so far: how the number came about, and the number where the caller did not put it in words."""
    if reading.derivation:
        return f"{reading.derivation} → {lower(row.text)}"
    return f"{row.text} {figures(reading.value, reading.uncertainty)} {_SI.get(row.dimension, '')}".rstrip()


def _tells(finding: Finding, seen: Triple) -> str:
    """The state that the reading speaks for, and how strongly."""
    by_state = weights(finding, seen)
    best = max(by_state, key=lambda state: by_state[state])
    if by_state[best] > 0:
        return f"{lower(finding.wording(best))} ({_strength(by_state[best])})"
    return f"{lower(finding.wording(finding.healthy))} ({_strength(-by_state[best])})"


def _strength(decibans: float) -> str:
    """How strongly a reading speaks, in words; the figure stands in the weights."""
    return next(word for least, word in _STRENGTHS if decibans >= least)


def _merged(pieces: Sequence[EvidenceItem]) -> list[EvidenceItem]:
    """One piece a finding: several readings of it are averaged in the logarithm, since they repeat one another."""
    by_finding: dict[str, list[EvidenceItem]] = {}
    for piece in pieces:
        by_finding.setdefault(piece.finding, []).append(piece)
    merged = []
    for same in by_finding.values():
        mean = [math.exp(math.fsum(math.log(p.seen[k]) for p in same) / len(same)) for k in range(3)]
        text = "; ".join(dict.fromkeys(p.text for p in same))
        beyond = frozenset[str]().union(*(p.beyond for p in same))
        merged.append(replace(same[0], seen=(mean[0], mean[1], mean[2]), text=text, beyond=beyond))
    return merged


def _silent(knowledge: Knowledge, net: Network, case: Case, spoken_of: set[str]) -> list[EvidenceItem]:
    """Findings that a named channel would have brought up, had they been noticed, and did not."""
    pieces = []
    for key in net.findings if case.reported_by else ():
        abnormal, normal = _overlooked(knowledge, key, case)
        if key not in spoken_of and abnormal != normal:
            text = f"{knowledge.findings[key].text}: not mentioned"
            pieces.append(EvidenceItem(key, SILENT, (normal, abnormal, abnormal), text))
    return pieces


def _in_circumstances(knowledge: Knowledge, case: Case) -> set[str]:
    """Findings that a circumstance of the case says as well: they were not passed over in silence."""
    return {c.same_as for c in knowledge.contexts if c.same_as and (c.field, c.value) in case.circumstances}


def _weight_of_silence(
    knowledge: Knowledge, net: Network, case: Case, counts: tuple[int, int], figures: EvidenceFigures
) -> Floats:
    """Exponent of every silent finding, being one act of one writer. counts: findings spoken of, and passed over."""
    spoken_of, silent = counts
    full = _fullness(knowledge, net, case, spoken_of, figures.fullness_spread)
    return np.full(silent, full / (1 + max(silent - 1, 0) * figures.silence_correlation))


def _fullness(knowledge: Knowledge, net: Network, case: Case, spoken_of: int, spread: float) -> float:
    """How far the report is as full as its channel lets expect, 0..1: the silence of a short one says little.

    Expected: the number of normals that the channel brings up, less `spread` standard deviations.
    """
    if not case.reported_by:
        return 1.0
    absent = [_overlooked(knowledge, key, case)[1] for key in net.findings]
    mean, variance = sum(1 - q for q in absent), sum(q * (1 - q) for q in absent)
    expected = mean - spread * math.sqrt(variance)
    return min(1.0, spoken_of / expected) if expected > 0 else 1.0


def _overlooked(knowledge: Knowledge, key: str, case: Case) -> tuple[float, float]:
    """P(not mentioned in any of the channels | abnormal), and the same given that it is normal."""
    mention = knowledge.findings[key].mention
    mentions = [mention[channel] for channel in dict.fromkeys(case.reported_by) if channel in mention]
    return math.prod(1 - m.present for m in mentions), math.prod(1 - m.absent for m in mentions)


def _tempered(knowledge: Knowledge, pieces: Sequence[EvidenceItem], correlation: float) -> Floats:
    """Exponent of every piece: shared measurements first, then shared disturbances.

    What a number shows is not weakened by what it also shows not to be: too little charge is no less so because it is
    not too much. Of one disturbance only pieces of one direction repeat one another: a head that is up is no less so
    because the ratio is still in its range.
    """
    spoken = {p.quantity for p in pieces if _speaks(p)}
    sharing = Counter(p.measurement for p in pieces if p.measurement and (_speaks(p) or p.quantity not in spoken))
    alone = [1 / max(sharing[p.measurement], 1) for p in pieces]
    traces = [(knowledge.findings[p.finding].trace, _speaks(p)) for p in pieces]
    alike: dict[tuple[str, bool], float] = {}
    for trace, share in zip(traces, alone, strict=True):
        alike[trace] = alike.get(trace, 0.0) + share
    return np.array(
        [
            share / (1 + max(alike[trace] - 1, 0.0) * correlation) if trace[0] else share
            for trace, share in zip(traces, alone, strict=True)
        ],
        float,
    )


def _speaks(piece: EvidenceItem) -> bool:
    """Whether it speaks for an abnormal state."""
    return max(piece.seen[1:]) > piece.seen[0]


def _powers(pieces: Sequence[EvidenceItem], exponents: Floats) -> Floats:
    return np.array([p.seen for p in pieces], float).reshape(-1, 3) ** exponents[:, None]


def weights(finding: Finding, seen: Triple) -> dict[AbnormalState, float]:
    """Decibans of each abnormal state against the normal one."""
    return {state: _DB * math.log(seen[k + 1] / seen[0]) for k, state in enumerate(finding.signs)}


def _used(knowledge: Knowledge, piece: EvidenceItem, seen: Floats) -> UsedEvidence:
    finding, (normal, low, high) = knowledge.findings[piece.finding], seen.tolist()
    rounded: dict[str, float] = {
        state: round(value, 2) for state, value in weights(finding, (normal, low, high)).items()
    }
    return UsedEvidence(piece.finding, piece.state, rounded, piece.text)


def _state(finding: Finding, piece: EvidenceItem, clear: float) -> str:
    """The state reported, or the one that a reading clearly shows; empty when it shows none."""
    if piece.state != READING:
        return piece.state
    by_state = weights(finding, piece.seen)
    best = max(by_state, key=lambda state: by_state[state])
    if by_state[best] >= clear:
        return best if best in piece.beyond else ""
    return finding.healthy if by_state[best] <= -clear else ""


def _remarks(
    knowledge: Knowledge, net: Network, case: Case, pieces: Sequence[EvidenceItem], aside: Sequence[str]
) -> list[str]:
    remarks = []
    for key in aside:
        why = "it reads differently on low-side and high-side shells, and the shell is not known"
        if key not in net.shell_bound:
            why = "it says nothing about this kind of machine"
        remarks.append(f"Not counted: {knowledge.findings[key].text}, since {why}.")
    both = {p.finding for p in pieces if p.state == READING} & {p.finding for p in pieces if p.state != READING}
    remarks += [f"The reading is used instead of the report of it: {knowledge.name(key)}." for key in sorted(both)]
    if case.reported_by:
        remarks.append(f"Silence counts softly as given in: {'; '.join(dict.fromkeys(case.reported_by))}.")
    else:
        remarks.append("What was not mentioned counts for nothing, since no channel of reporting was named.")
    return remarks
