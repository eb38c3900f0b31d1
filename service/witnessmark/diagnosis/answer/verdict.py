"""The verdict in its states, with restraint: a single weak finding never makes one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.answer.inquiry import Inquiry, crowded, support, supported
from witnessmark.diagnosis.answer.priority import FROST, frost_is_usual
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.rows import RUNS
from witnessmark.diagnosis.evidence.reports import NORMAL_STATES, opened
from witnessmark.diagnosis.phrases import listed, lower, percent, quoted
from witnessmark.diagnosis.result import Contradiction, DiagnosisVerdict, Hypothesis, Misfit, VerdictState

_MOST_CANDIDATES = 4
APART = 3.0
"""A cause this much less likely than another is told apart from it: some five decibans (expert estimate)."""


def verdict(
    inquiry: Inquiry, odd: tuple[Misfit, ...], clashes: tuple[Contradiction, ...], *, fits: bool
) -> DiagnosisVerdict:
    """The verdict of an inquiry, given its misfits and contradictions, and whether the findings fit."""
    modes = inquiry.hypotheses(inquiry.modes[:_MOST_CANDIDATES].tolist())
    state = _state(inquiry, modes, clashes, fits=fits)
    leading = _leading(inquiry, state, modes)
    ask_first = _ask_first(inquiry)
    reasons = (*(c.text for c in clashes), *_reasons(inquiry, modes, state), *(m.text for m in odd))
    none = state == "no-compressor-fault-likely"
    chance = round(float(inquiry.answer.none[0]), 6) if none else modes[0].probability
    text = _text(state, leading, clashes, _outside(inquiry, leading))
    return DiagnosisVerdict(state, text, tuple(m.id for m in leading), chance, reasons, ask_first)


def _state(
    inquiry: Inquiry, modes: tuple[Hypothesis, ...], clashes: tuple[Contradiction, ...], *, fits: bool
) -> VerdictState:
    unlike = inquiry.checked.unlike and not crowded(inquiry)
    if unlike or any(_matters(inquiry, clash) for clash in clashes):
        return "contradictory-evidence"
    if not fits:
        return "does-not-fit"
    if sound(inquiry):
        return "no-compressor-fault-likely"
    return _settled(inquiry, modes[0])


def _matters(inquiry: Inquiry, clash: Contradiction) -> bool:
    """Whether the verdict hangs on which of the two is right: the leading mode must be sure without either."""
    lead = int(inquiry.modes[0])
    rows = [k for k, piece in enumerate(inquiry.evidence.items) if piece.finding in clash.findings]
    left = [float(inquiry.without.probability[k, lead]) for k in rows]
    return min([float(inquiry.answer.probability[0, lead]), *left]) < inquiry.decisions.verdict.diagnosed


def _settled(inquiry: Inquiry, lead: Hypothesis) -> VerdictState:
    figures = inquiry.decisions.verdict
    of_lead = support(inquiry, int(inquiry.modes[0]))
    strong = lead.probability >= figures.diagnosed and lead.shift >= figures.shift
    if strong and supported(inquiry, of_lead):
        return "diagnosed"
    telling = of_lead.pieces >= figures.supports or lead.shift >= figures.shift
    return "leading-candidates" if lead.probability >= figures.leading and telling else "not-enough-evidence"


def sound(inquiry: Inquiry) -> bool:
    """P(no mode) is high, findings were really looked for and not there, and none that is there points to a mode.

    What a caller said of a compressor that was then opened and found in order tells of the machine around it.
    """
    figures = inquiry.decisions.verdict
    if len(_clean(inquiry)) < figures.no_fault_against or inquiry.none < figures.no_fault:
        return False
    telling = inquiry.single_weights[:, inquiry.net.causes :] >= figures.shift / 2
    return not (_shown_by(inquiry) & telling)[[*_weighed(inquiry)]].any()


def _weighed(inquiry: Inquiry) -> Iterator[int]:
    """The pieces of evidence that may point to a mode of a compressor that all looks found in order."""
    torn_down = "teardown" in inquiry.case.reported_by
    for k, piece in enumerate(inquiry.evidence.items):
        if not (torn_down and piece.finding in check_book().phone.told):
            yield k


def _shown_by(inquiry: Inquiry) -> NDArray[np.bool_]:
    """(K, modes) whether a mode itself shows the finding: one that only its cause shows proves no damage yet."""
    rows, modes, figures = inquiry.evidence.likelihoods.findings, slice(inquiry.net.causes, None), inquiry.net.figures
    return np.asarray((figures.low[0, rows, modes] > 0) | (figures.high[0, rows, modes] > 0))


def _clean(inquiry: Inquiry) -> set[str]:
    """What was looked at and found in order; all that one good condition stands for is one look."""
    looks = {report.finding: report.implied_by or report.finding for report in inquiry.checked.reports}
    states = inquiry.evidence.states
    return {
        looks.get(piece.finding) or piece.measurement
        for piece in inquiry.evidence.items
        if states.get(piece.finding) in NORMAL_STATES
    }


def _leading(inquiry: Inquiry, state: VerdictState, modes: tuple[Hypothesis, ...]) -> tuple[Hypothesis, ...]:
    figures = inquiry.decisions.verdict
    if state == "no-compressor-fault-likely":
        return ()
    least = figures.diagnosed if state == "diagnosed" else figures.candidate
    return tuple(sorted((m for m in modes if m.probability >= least), key=lambda m: not _brought_it(inquiry, m)))


def _brought_it(inquiry: Inquiry, mode: Hypothesis) -> bool:
    """Whether it is as good as sure and brings about the most probable mode: it is named before what it did."""
    node, lead = inquiry.net.node(mode.id), int(inquiry.modes[0])
    sure = mode.role == "initiating" and mode.probability >= inquiry.decisions.verdict.diagnosed
    return sure and node is not None and float(inquiry.net.figures.trigger[0, lead, node]) > 0


ASK_RUNNING = (
    "Does the compressor run now? If it does, say so: the checks that need it running become possible. Nobody starts "
    "it to find out."
)
"""Asked only where nothing says that it has to stay off."""
ASK_SPEED = (
    "At what speed does it run, of which range? At low speed a sound one shows high suction, low head and low current."
)
NOT_WELDED = ("semi-hermetic", "open-drive")
"""Constructions whose motor nobody sees in a shell: they are never asked for one."""
_AT_LOW_SPEED = {"suction-pressure": "high", "condensing-pressure": "low", "running-current": "low"}


def _ask_first(inquiry: Inquiry) -> tuple[str, ...]:
    ask, machine, parts = [], inquiry.checked.machine, inquiry.knowledge.parts
    waiting = [key for key in inquiry.evidence.unusable if key in inquiry.net.shell_bound]
    if machine.shell is None and "shell" in parts and machine.construction not in NOT_WELDED:
        bound = [inquiry.knowledge.findings[key].text for key in waiting]
        more = f" Not counted until then: {quoted(bound)}." if bound else ""
        ask.append("Is the shell at suction pressure (low-side) or at discharge pressure (high-side)?" + more)
    if machine.compressor is None and "compressor" in parts:
        ask.append("Which type of compressor is it: scroll, reciprocating, rotary or screw?")
    if machine.drive == "inverter" and _AT_LOW_SPEED.items() & inquiry.situation.told.items():
        ask.append(ASK_SPEED)
    if _may_run(inquiry):
        ask.append(ASK_RUNNING)
    return tuple(ask)


def _may_run(inquiry: Inquiry) -> bool:
    """Whether it could be running, and nothing says whether it does: it is not opened, and no report speaks of it."""
    runs = inquiry.knowledge.normals.get(RUNS)
    reported = {report.finding for report in inquiry.checked.reports}
    gone = {"circuit-open", "compressor-removed"} & set(inquiry.case.conditions or ())
    unsaid = inquiry.situation.runs is None and reported.isdisjoint(runs.means_absent if runs else ())
    stands_open = opened(inquiry.knowledge, inquiry.case, inquiry.checked.reports)
    return runs is not None and not stands_open and not gone and unsaid


def _reasons(inquiry: Inquiry, modes: tuple[Hypothesis, ...], state: VerdictState) -> tuple[str, ...]:
    if state == "no-compressor-fault-likely":
        return (f"Chance that no failure mode is active: {percent(inquiry.none)}.",)
    lead, of_lead = modes[0], support(inquiry, int(inquiry.modes[0]))
    now, before = percent(lead.probability), percent(lead.background)
    reasons = [
        f"{lead.name} stands at {now} ({lead.words}), {before} before the findings.",
        "Several failure modes may be true at once, so percentages do not add up to 100 %.",
    ]
    if inquiry.outside >= inquiry.decisions.verdict.candidate:
        reasons.append(
            f"Chance that something is at work which the knowledge does not hold: {percent(inquiry.outside)}."
        )
    single = of_lead.pieces == 1
    speak = "piece of evidence speaks for it on its own" if single else "pieces of evidence speak for it on their own"
    reasons.append(f"{of_lead.pieces or 'No'} independent {speak}.")
    if crowded(inquiry):
        reasons.append("More failure modes at once than one machine shows.")
    if single:
        reasons.append("One finding, or several of one disturbance, are never enough for a verdict.")
    elif of_lead.pieces and of_lead.without_best < inquiry.decisions.verdict.without_best:
        reasons.append(f"Without its best single finding it would stand at {percent(of_lead.without_best)}.")
    return tuple(reasons)


class _Outside(NamedTuple):
    """The cause found outside the compressor, empty where none is sure; spared: nothing points at the compressor.

    likely: one that is not sure, but leads; beside: others hardly less likely. clean: all that was told is in order.
    """

    cause: str
    spared: bool
    likely: str = ""
    beside: str = ""
    clean: bool = False


def _outside(inquiry: Inquiry, leading: tuple[Hypothesis, ...]) -> _Outside:
    """What "no fault" means: the compressor is sound as far as is known, and the reason of the call is elsewhere."""
    figures, first = inquiry.decisions.verdict, int(inquiry.causes[0])
    cause = inquiry.knowledge.causes[inquiry.net.nodes[first]]
    if inquiry.at_work[first] < figures.diagnosed:
        likely = lower(cause.name) if inquiry.at_work[first] >= figures.leading else ""
        return _Outside("", spared=False, likely=likely, beside=_near(inquiry), clean=_all_clean(inquiry))
    pointed_at = any(mode.shift >= figures.shift / 2 for mode in leading)
    return _Outside(lower(cause.name), cause.brings_call and not pointed_at)


def _near(inquiry: Inquiry) -> str:
    """The causes that the evidence hardly tells from the first, in words."""
    first, *others = inquiry.causes[:_MOST_CANDIDATES].tolist()
    near = [n for n in others if inquiry.at_work[n] * APART >= inquiry.at_work[first]]
    return quoted([inquiry.knowledge.name(inquiry.net.nodes[n]) for n in near])


def _text(
    state: VerdictState, leading: tuple[Hypothesis, ...], clashes: tuple[Contradiction, ...], outside: _Outside
) -> str:
    names = listed([lower(m.name) for m in leading])
    so_far = f" Most in view so far: {names}." if names else ""
    again = "; ".join(dict.fromkeys(c.ask for c in clashes))
    return {
        "diagnosed": f"The findings point to {names}.",
        "leading-candidates": f"{_found(outside)}Not settled yet. In the lead: {names}.",
        "not-enough-evidence": _open(outside, so_far),
        "does-not-fit": f"The findings do not fit what is known of failure modes; do not force them into one.{so_far}",
        "contradictory-evidence": f"Contradictory evidence: measure again before judging ({again}).{so_far}",
        "no-compressor-fault-likely": _sound(outside),
    }[state]


def _found(outside: _Outside) -> str:
    """What is as good as sure outside the compressor is named before what is not settled within."""
    return f"Found outside the compressor: {outside.cause}. " if outside.cause else ""


def _all_clean(inquiry: Inquiry) -> bool:
    """Enough was looked at, and nothing of it is out of order."""
    told = {piece.finding for piece in inquiry.evidence.items} - ({FROST} if frost_is_usual(inquiry.case) else set())
    states = {inquiry.evidence.states.get(finding, "") for finding in told} - {""}
    return len(_clean(inquiry)) >= inquiry.decisions.verdict.no_fault_against and states <= {*NORMAL_STATES}


def _open(outside: _Outside, so_far: str) -> str:
    if outside.spared:
        return (
            f"The cause found lies outside the compressor: {outside.cause}. "
            "The compressor is sound as far as is known, which is not proved yet."
        )
    if outside.cause:
        found = f"Found outside the compressor: {outside.cause}."
        return f"{found} Not enough evidence for a verdict on the compressor itself.{so_far}"
    if outside.likely:
        beside = f" Not told apart from it yet: {outside.beside}." if outside.beside else ""
        return f"Not settled yet. In the lead outside the compressor: {outside.likely}.{beside}{so_far}"
    if outside.clean:
        return f"What was read and told is in order; what nobody has looked at stays open.{so_far}"
    return f"Not enough evidence for a verdict.{so_far}"


def _sound(outside: _Outside) -> str:
    start = "No compressor fault is likely: the compressor is sound as far as is known"
    if outside.cause:
        return f"{start}; the cause is {outside.cause}."
    return f"{start}. Look for the complaint outside it."


def began_and_ended(inquiry: Inquiry) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Modes that likely began and ended the failure: by their kind, and for either by what stands before and after.

    Where it is told what was there first, the mode that shows it began the failure.
    """
    level = inquiry.decisions.verdict.leading
    likely = [int(n) for n in inquiry.modes if inquiry.answer.probability[0, n] >= level]
    first = _shows_first(inquiry, likely)
    raised = inquiry.net.figures.trigger[0]
    began, ended = [], []
    for node in likely:
        role = inquiry.knowledge.modes[inquiry.net.nodes[node]].role
        after = any(raised[node, other] > 0 for other in likely)
        before = any(raised[other, node] > 0 for other in likely)
        if role == "initiating" or (role == "either" and not after):
            began.append(inquiry.net.nodes[node])
        if role == "terminal" or (role == "either" and not before):
            ended.append(inquiry.net.nodes[node])
    if first:
        began, ended = [first], [key for key in ended if key != first]
    return tuple(began), tuple(ended)


def _shows_first(inquiry: Inquiry, likely: list[int]) -> str:
    """The likely mode that best accounts for what is told to have been first; empty where none does or none is told."""
    if inquiry.case.first not in inquiry.net.findings:
        return ""
    row, figures = inquiry.net.findings.index(inquiry.case.first), inquiry.net.figures
    raised = np.maximum(figures.low[0, row], figures.high[0, row]) * inquiry.answer.probability[0]
    best = max(likely, key=lambda node: float(raised[node]), default=-1)
    return inquiry.net.nodes[best] if best >= 0 and raised[best] > 0 else ""
