"""The one way in: a case in, a diagnosis out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from witnessmark import data
from witnessmark.diagnosis.answer.dispatch import dispatch
from witnessmark.diagnosis.answer.explanation import explanations, separation
from witnessmark.diagnosis.answer.extremes import extremes, heard
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.misfits import contradictions, fits, misfits
from witnessmark.diagnosis.answer.next_checks import next_checks
from witnessmark.diagnosis.answer.permitted import HAS_TO_STOP
from witnessmark.diagnosis.answer.proof_first import fit_in_doubt
from witnessmark.diagnosis.answer.safety import dangers_of, notices
from witnessmark.diagnosis.answer.sensitivity import sensitivity
from witnessmark.diagnosis.answer.verdict import ASK_RUNNING, began_and_ended, verdict
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import knowledge as shipped_knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import Diagnosis, DispatchAdvice, Hypothesis, NextChecks, SafetyNotice

ERROR_BOUND = 1e-7
"""What rounding may cost without being told; probabilities are given to six digits."""


def diagnose(case: Case, knowledge: Knowledge | None = None) -> Diagnosis:
    """Failure modes and causes behind what was found, with reasons, next checks, safety and dispatch advice.

    case: machine, findings, readings (derived numbers in SI with standard uncertainty), circumstances, reported_by,
    conditions and want; see `case.Case`. An empty case is allowed: the answer is then "not enough evidence" with what
    to ask.
    knowledge: what to use instead of the shipped one (tests, comparisons).

    Returns a frozen `Diagnosis` of plain floats, words and ids; probabilities 0..1, evidence in decibans. The same case
    gives the same answer, byte for byte. Read `safety` and `verdict` first.

    Raises UnknownNameError (an id that no catalogue holds; the near ones are named), ConflictError (one finding in two
    states), OutOfRangeError and InputError, each with the dotted field name
    (`findings.0.finding`, `readings.2.value`, `circumstances.queue`, `machine.shell`, …).
    """
    return _answered(inquire(knowledge or shipped_knowledge(), case))


def _answered(inquiry: Inquiry) -> Diagnosis:
    """Everything that an inquiry has to say."""
    inquiry.without  # noqa: B018 - the ranking comes out of the same pass
    fired = notices(inquiry, heard(inquiry.case, extremes({}, inquiry.case)))
    odd, clashes = misfits(inquiry), contradictions(inquiry)
    ruling = verdict(inquiry, odd, clashes, fits=fits(inquiry))
    modes, causes = inquiry.hypotheses(inquiry.modes.tolist()), _tied(inquiry, ruling.leading)
    want = inquiry.case.want
    chosen = (*modes[: want.shortlist], *causes[: want.shortlist]) if want.explanation else ()
    sent = dispatch(inquiry, ruling, fired)
    off = frozenset[str]()
    if sent.operation.advice == "stop":
        off, asked = HAS_TO_STOP, tuple(question for question in ruling.ask_first if question != ASK_RUNNING)
        ruling = replace(ruling, ask_first=asked)
    checks = next_checks(inquiry, fired, clashes, off) if want.next_checks else None
    began, ended = began_and_ended(inquiry)
    return Diagnosis(
        verdict=ruling,
        safety=fired,
        modes=modes,
        causes=causes,
        no_fault=round(float(inquiry.answer.none[0]), 6),
        outside=round(inquiry.outside, 6),
        exact=inquiry.posterior.exact,
        left_out=round(inquiry.posterior.left_out, 6),
        initiating=began,
        terminal=ended,
        used=inquiry.evidence.used,
        explanations=explanations(inquiry, chosen),
        separation=separation(inquiry),
        misfits=odd,
        set_aside=inquiry.checked.set_aside,
        contradictions=clashes,
        next_checks=checks,
        dispatch=_with_fate(sent, inquiry),
        sensitivity=sensitivity(inquiry, want.shortlist) if want.sensitivity else None,
        assumptions=_assumptions(inquiry, checks),
        cautions=_cautions(fired, checks, dangers_of(inquiry.case.fluid)),
        sources=_sources(inquiry, ruling.leading),
        knowledge=data.version() if inquiry.knowledge is shipped_knowledge() else None,
    )


def _tied(inquiry: Inquiry, leading: Sequence[str]) -> tuple[Hypothesis, ...]:
    """The causes, each with the leading modes that it can bring about, at first hand or through likely modes."""
    nodes, level = inquiry.net.nodes, inquiry.decisions.verdict.candidate
    through = [n for n in inquiry.modes.tolist() if inquiry.answer.probability[0, n] >= level or nodes[n] in leading]
    raised = {n: frozenset(np.flatnonzero(inquiry.net.figures.trigger[0, n]).tolist()) for n in through}

    def reached(origin: int) -> set[str]:
        found: set[int] = set()
        near = {origin}
        while near := {n for n in through if n not in found and not raised[n].isdisjoint(near)}:
            found |= near
        return {nodes[n] for n in found}

    causes = inquiry.causes.tolist()
    return tuple(
        replace(cause, brings_about=tuple(key for key in leading if key in within))
        for cause, within in zip(inquiry.hypotheses(causes), map(reached, causes), strict=True)
    )


def _with_fate(advice: DispatchAdvice, inquiry: Inquiry) -> DispatchAdvice:
    """The advice, which says so where the compressor is replaced whatever is found and nothing stands against it."""
    if inquiry.case.compressor_fate != "replaced-anyway" or fit_in_doubt(inquiry):
        return advice
    return replace(advice, text=f"{advice.text} The compressor is ordered anyway, whatever is found.")


def _assumptions(inquiry: Inquiry, checks: NextChecks | None) -> tuple[str, ...]:
    remarks = [*inquiry.checked.remarks, *inquiry.evidence.remarks, *_inference(inquiry, checks)]
    return tuple(dict.fromkeys(remarks))


def _inference(inquiry: Inquiry, checks: NextChecks | None) -> Iterator[str]:
    """How far the ranking and the next checks are exact, in plain words; the figures stand in the result."""
    if not inquiry.posterior.exact:
        yield (
            "With so many findings the least likely modes and causes were weighed roughly; the chance that one of them "
            f"is there is about {inquiry.posterior.left_out:.0%}."
        )
    if not inquiry.answer.error_bound <= ERROR_BOUND:
        yield "Reports this certain of something this rare leave few reliable digits."
    if checks and checks.checks and not inquiry.refining.exact:
        yield "The order of the next checks was worked out roughly where the less likely modes and causes matter."
    if len(inquiry.evidence.likelihoods.silent):
        yield "What was not mentioned weighs on each mode and cause on its own."


def _cautions(fired: Iterable[SafetyNotice], checks: NextChecks | None, of_the_gas: tuple[str, ...]) -> tuple[str, ...]:
    of_checks = (c for check in (checks.checks if checks else ()) for c in check.cautions)
    of_rules = (c for notice in fired for c in notice.cautions)
    return tuple(dict.fromkeys(("licensed", *of_rules, *of_the_gas, *of_checks)))


def _sources(inquiry: Inquiry, leading: Iterable[str]) -> tuple[str, ...]:
    """Sources of the findings used, of the readings, of the leading modes and of what they rest on."""
    knowledge = inquiry.knowledge
    used = [knowledge.findings[p.finding].source for p in inquiry.evidence.items]
    read = [catalogue()[reading.quantity].source for reading in inquiry.case.readings]
    named = [knowledge.modes[key].source for key in leading]
    return tuple(dict.fromkeys((*named, *used, *read, "elicited")))
