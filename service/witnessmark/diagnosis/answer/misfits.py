"""What does not sit well: contradictions between reports, findings that surprise, findings that nothing explains."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.answer.inquiry import Inquiry, crowded
from witnessmark.diagnosis.answer.proof_first import contradiction
from witnessmark.diagnosis.answer.wording import told_against
from witnessmark.diagnosis.catalogue.rows import RUNS, Finding
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import Contradiction, Misfit

_LEAST = 0.01


def contradictions(inquiry: Inquiry) -> tuple[Contradiction, ...]:
    """Pairs that cannot both be right, by the reviewed list, and good conditions beside findings they exclude."""
    states, knowledge = inquiry.evidence.states, inquiry.knowledge
    normals = knowledge.normals
    pairs = [
        Contradiction((p.a, p.b), told_against(knowledge, states, p), p.ask)
        for p in knowledge.conflicts
        if p.fits(states)
    ]
    clashes = [
        Contradiction(
            (normal, finding),
            f"These two cannot both be right: {lower(normals[normal].text)}, and {lower(knowledge.name(finding))}.",
            "note which of the two was seen last" if normal == RUNS else "look at this part again",
        )
        for normal, finding in inquiry.checked.clashes
    ]
    against, others = [*_of(pairs, inquiry, told=True)], [*_of(pairs, inquiry, told=False)]
    first = (*against, *contradiction(inquiry))
    return (*first, *others, *clashes, *_read_otherwise(inquiry), *_unlike(inquiry), *_doubts(inquiry))


def _of(pairs: Sequence[Contradiction], inquiry: Inquiry, *, told: bool) -> Iterator[Contradiction]:
    """Those of which one is not believed, or the others."""
    return (pair for pair in pairs if inquiry.unproved.isdisjoint(pair.findings) is not told)


def _unlike(inquiry: Inquiry) -> Iterator[Contradiction]:
    """Findings of which each is of another kind of machine."""
    findings, unlike = inquiry.knowledge.findings, inquiry.checked.unlike
    if unlike:
        named = "; ".join(lower(findings[key].text) for key in unlike if key in findings)
        ask = "what machine it is, by its nameplate, and each of these again"
        yield Contradiction(unlike, f"No one machine shows all of this: {named}.", ask)


def _doubts(inquiry: Inquiry) -> Iterator[Contradiction]:
    """Readings that cannot be right together, and what only unlike machines have."""
    for doubt in inquiry.case.doubts:
        named = " and ".join(name.replace("_", " ") for name in doubt.readings)
        yield Contradiction((), f"{named[0].upper()}{named[1:]}: {doubt.why}.", doubt.ask, doubt.readings)


def _read_otherwise(inquiry: Inquiry) -> Iterator[Contradiction]:
    """Reports that a clear reading contradicts; the reading is what counts, and the caller is told."""
    for against in inquiry.evidence.against_reports:
        said = lower(inquiry.knowledge.findings[against.finding].wording(against.reported))
        yield Contradiction(
            (against.finding, against.finding),
            f"These two cannot both be right: reported is {said}, and the reading says otherwise: {against.text}.",
            "measure it again, and ask when and how the report was made",
        )


def unexplained(inquiry: Inquiry) -> Floats:
    """(K,) for abnormal pieces the chance that only the background raised them, given they are so; 0 for the others.

    Nodes are taken at their marginals, independently, so this is an estimate.
    """
    figures, rows = inquiry.net.figures, inquiry.posterior.evidence.findings
    seen = inquiry.posterior.evidence.likelihood
    active, abnormal = inquiry.answer.probability[0], _abnormal(inquiry)
    chance = np.zeros(len(rows))
    for k, row in enumerate(rows):
        if abnormal[k]:
            low = seen[k, 1] >= seen[k, 2] or not inquiry.net.three_way[row]
            no_leak = (figures.no_leak_low if low else figures.no_leak_high)[0, row]
            not_triggered = np.prod(1 - (figures.low if low else figures.high)[0, row] * active)
            chance[k] = (1 - no_leak) * not_triggered / (1 - no_leak * not_triggered)
    return chance


def expected(inquiry: Inquiry) -> Floats:
    """(K,) probability of each reported state given all other findings, and given that it was worth reporting.

    People report the abnormal and leave out the normal, so an abnormal report surprises less than its probability says.
    Where no channel is named the chances of a job note are taken.
    """
    chance, rows = np.clip(inquiry.given_rest, _LEAST, 1 - _LEAST), inquiry.evidence.items
    channels = inquiry.case.reported_by or ("note",)
    mentioned = np.array([_mention_ratio(inquiry.knowledge.findings[piece.finding], channels) for piece in rows])
    odds = chance / (1 - chance) * np.where(_abnormal(inquiry), mentioned, 1 / mentioned)
    return np.asarray(np.clip(odds / (1 + odds), _LEAST, 1 - _LEAST))


def _mention_ratio(finding: Finding, channels: Sequence[str]) -> float:
    """How much likelier the finding is mentioned when abnormal than when normal."""
    mentions = [finding.mention[channel] for channel in channels if channel in finding.mention]
    return float(np.prod([max(m.present, _LEAST) / max(m.absent, _LEAST) for m in mentions]))


def _abnormal(inquiry: Inquiry) -> NDArray[np.bool_]:
    seen = inquiry.posterior.evidence.likelihood
    return np.asarray(seen[:, 0] < seen[:, 1:].max(axis=1))


def _judged(inquiry: Inquiry) -> NDArray[np.bool_]:
    """Which pieces can fit or not: those that a mode or cause bears on, unlike most dangers to people.

    What defines a cause is explained by it: one more cause in the system is a coincidence, no misfit. A reading that
    shows no state clearly surprises nobody.
    """
    figures, rows = inquiry.net.figures, inquiry.posterior.evidence.findings
    defines = {(link.target, link.state) for link in inquiry.knowledge.cause_finding if link.defines}
    states = inquiry.evidence.states
    own = np.array([(p.finding, states.get(p.finding, "")) in defines for p in inquiry.evidence.items], bool)
    clear = np.array([bool(states.get(p.finding)) for p in inquiry.evidence.items], bool)
    return np.asarray((figures.low[0, rows] + figures.high[0, rows]).any(axis=1) & clear & ~own)


def strain(inquiry: Inquiry) -> float:
    """How much more the findings surprise than findings of modelled machines do, in standard deviations.

    The surprise of each finding, -log of its expected probability, less its mean, over the standard deviation of the
    sum; widened with the number of findings, since the expectations err together (growth measured on simulated cases).
    0 where the abnormal findings are no surprise: what nobody has modelled shows in them.
    """
    judged = _judged(inquiry)
    p, abnormal = expected(inquiry)[judged], _abnormal(inquiry)[judged]
    excess = -np.log(p) + p * np.log(p) + (1 - p) * np.log(1 - p)
    if excess[abnormal].sum() <= 0:
        return 0.0
    variance = (p * (1 - p) * np.log((1 - p) / p) ** 2).sum()
    widened = np.sqrt(variance + _LEAST) * (1 + len(p) / inquiry.decisions.verdict.strain_findings)
    return float(excess.sum() / widened)


def misfits(inquiry: Inquiry) -> tuple[Misfit, ...]:
    """Findings that the rest does not lead one to expect, or that no hypothesis explains; the worst first."""
    figures = inquiry.decisions.verdict
    odd = []
    pieces = zip(inquiry.evidence.items, expected(inquiry), unexplained(inquiry), _judged(inquiry), strict=True)
    for piece, chance, background, judged in pieces:
        if not judged:
            continue
        if chance < figures.surprise or background >= figures.unexplained:
            text = _text(
                inquiry, piece.finding, surprising=chance < figures.surprise, strange=background >= figures.unexplained
            )
            odd.append(Misfit(piece.finding, round(float(chance), 4), round(float(background), 4), text))
    return tuple(sorted(odd, key=lambda m: (m.given_rest, m.finding)))


def _text(inquiry: Inquiry, key: str, *, surprising: bool, strange: bool) -> str:
    state = inquiry.evidence.states.get(key, "")
    finding = inquiry.knowledge.findings[key]
    unexpected = "the other findings would not lead one to expect it" if surprising else ""
    unaccounted = "no failure mode or cause in view explains it" if strange else ""
    why = " and ".join(part for part in (unexpected, unaccounted) if part)
    return f"{finding.wording(state) if state else finding.text}: {why}."


def fits(inquiry: Inquiry) -> bool:
    """Whether the findings can be accounted for by what is known.

    A handful too few to tell counts as fitting, and so does a strain of small surprises of which none is worth naming,
    where a mode is sure or a cause leads: whoever is told that something does not fit asks what.
    """
    figures = inquiry.decisions.verdict
    if crowded(inquiry) or inquiry.outside >= inquiry.decisions.outside.unfit:
        return False
    few = int(_judged(inquiry).sum()) < figures.strain_least
    sure = inquiry.answer.probability[0, inquiry.modes[0]] >= figures.diagnosed
    leads = inquiry.at_work[inquiry.causes[0]] >= figures.leading
    return few or strain(inquiry) < figures.strain or bool((sure or leads) and not misfits(inquiry))
