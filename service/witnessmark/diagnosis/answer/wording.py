"""The sentences of an answer, in words a technician would use. No numbers are worked out here."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from witnessmark.diagnosis.catalogue.action_rows import ConflictPair
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.evidence import READING, EvidenceItem
from witnessmark.diagnosis.phrases import lower, quoted
from witnessmark.diagnosis.result import Effect, Hypothesis, Weight

_MOST_NAMED = 3


def weighed(knowledge: Knowledge, piece: EvidenceItem, state: str, effect: Effect, rival: str) -> str:
    """One finding and what it does to one hypothesis."""
    what = piece.text if piece.state == READING else knowledge.findings[piece.finding].wording(state or piece.state)
    ends = {
        "for": "speaks for it",
        "against": "speaks against it",
        "neutral": "says little about it",
        "already explained": "would speak for it, but is already explained"
        + (f" by {lower(knowledge.name(rival))}" if rival else ""),
    }
    return f"{what}: {ends[effect]}."


def seen(knowledge: Knowledge, states: Mapping[str, str], keys: Sequence[str]) -> str:
    """Findings in the states they were reported in, in the middle of a sentence."""
    return quoted([_in_state(knowledge, states, key) for key in keys])


def told_against(knowledge: Knowledge, states: Mapping[str, str], pair: ConflictPair) -> str:
    """The two that cannot both be so, and why."""
    a, b = (lower(knowledge.findings[key].wording(states[key])) for key in (pair.a, pair.b))
    return f"These two cannot both be right: {a}, and {b}, since {pair.why}."


def _in_state(knowledge: Knowledge, states: Mapping[str, str], key: str) -> str:
    """The finding as it was seen, in its first words; as it stands in the catalogue where no state is clear."""
    finding = knowledge.findings[key]
    return (finding.wording(states[key]) if states.get(key) else finding.text).split("; ")[0]


def explained(
    reported: tuple[Knowledge, Mapping[str, str]],
    hypothesis: Hypothesis,
    weights: Sequence[Weight],
    overturned: Sequence[str],
    path: Sequence[tuple[str, str]],
) -> str:
    """A short paragraph on one hypothesis. reported: the knowledge, and the state of every reported finding."""
    knowledge, states = reported
    parts = [_stands(hypothesis, decisions().word(hypothesis.at_work))]
    for effect, start in (("for", "For it"), ("against", "Against it")):
        named = [w.finding for w in weights if w.effect == effect][:_MOST_NAMED]
        if named:
            parts.append(f"{start}: {seen(knowledge, states, named)}.")
    if len(path) > 0:
        chain = [path[0][0], *(to for _, to in path)]
        parts.append(f"Likely chain: {' → '.join(knowledge.name(key) for key in chain)}.")
    if overturned:
        parts.append(f"It would fall if this turned out otherwise: {seen(knowledge, states, overturned[:2])}.")
    return " ".join(parts)


def _stands(hypothesis: Hypothesis, at_work: str) -> str:
    """How a mode or cause stands: a cause may be there without having been at work, which is what it is ranked by."""
    if hypothesis.layer == "mode" or at_work == hypothesis.words:
        return f"{hypothesis.name}: {hypothesis.words}."
    return f"{hypothesis.name}: {hypothesis.words} to be there, {at_work} to be at work in this."


def separated(
    reported: tuple[Knowledge, Mapping[str, str]],
    names: tuple[str, str],
    apart: Sequence[tuple[str, float]],
    ask: Sequence[str],
) -> str:
    """What tells the two leading modes apart. reported: the knowledge, and the state of every reported finding."""
    knowledge, states = reported
    leader, runner_up = (lower(knowledge.name(key)) for key in names)
    sides = (
        (leader, [key for key, value in apart if value > 0]),
        (runner_up, [key for key, value in apart if value < 0]),
    )
    parts = [
        f"For {side} rather than the other: {seen(knowledge, states, keys[:_MOST_NAMED])}."
        for side, keys in sides
        if keys
    ]
    if not parts:
        parts.append(f"Nothing reported tells {leader} from {runner_up}.")
    if ask:
        parts.append(f"To tell them apart, look for: {seen(knowledge, {}, ask)}.")
    return " ".join(parts)


_DETAIL = r"[;:,(]"
"""What sets details off from the first words of a finding."""
_CERTAIN, _LITTLE, _SAME, _LIKELY = 0.95, 0.05, 0.05, 0.5


def in_ten(probability: float) -> str:
    """A probability as people say it."""
    if probability >= _CERTAIN:
        return "nearly certain"
    return "under 1 in 10" if probability < _LITTLE else f"{max(round(10 * probability), 1)} in 10"


def follows(seen: str, name: str, before: float, after: float) -> str:
    """What an outcome makes of a mode or cause: "if wet: floodback becomes the likely answer (6 in 10)"."""
    if abs(after - before) < _SAME:
        turn = "stays as it is"
    elif after > before:
        turn = "becomes the likely answer" if before < _LIKELY <= after else "becomes more likely"
    else:
        turn = "is as good as out" if after < _LITTLE else "becomes less likely"
    return f"if {re.split(_DETAIL, seen)[0].strip()}: {lower(name)} {turn} ({in_ten(after)})"
