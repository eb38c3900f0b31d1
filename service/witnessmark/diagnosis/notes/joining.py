"""The rules and the learned reader together: one list of matches, each with a score that says how often it is right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.matches import FAINTEST, THRESHOLD, Match, excerpts
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard
from witnessmark.diagnosis.notes.phrase_rows import PHRASES
from witnessmark.diagnosis.notes.telling import BECAUSE, is_danger

_NOW = frozenset({"present", "absent", "low", "normal", "high"})
_OPEN = frozenset({"not checked", "unclear", "denied in part"})
DENIAL, _AGREED = 0.95, 0.8
"""Score below which a denial that the rules do not hear is left open, and where they hear it too: an alarm heard as its
denial hurts most."""
CERTAIN = 0.8
"""The same where no word denies anything (`both bearings lovely`), as a share of how sure it is spoken of."""
_DANGER = 0.5
"""Score below which danger that the rules hear stays in doubt: its safety rules fire all the same."""
_HALFWAY = 0.42
"""Score from which the learned reader bears out what the rules believe to be there."""
_YIELDS = 0.85
"""Score from which the learned reader decides what the rules leave open."""
_SURE = 0.9
"""Score from which the learned reader decides that something is there though the rules believe it denied."""


def joined(
    ruled: Sequence[Match],
    heard: Iterable[Heard],
    text: str,
    kept: frozenset[str],
    plain: frozenset[str] = frozenset(),
) -> list[Match]:
    """What the learned reader makes of a note in which it was told the rules' matches.

    A number decides over words; what the rules hear of `kept` (danger to people) stands as they hear it, and so does
    what they leave open or hear told in two ways. plain: findings beside which no word denies anything. Of each finding
    the surest way of telling it is taken; matches of findings that the reader has not learned stay.
    """
    best: dict[str, Heard] = {}
    there: set[str] = set()
    for one in heard:
        if one.finding == DANGER:
            continue
        if one.outcome == "present" and one.score >= FAINTEST:
            there.add(one.finding)
        if one.finding not in best or one.score > best[one.finding].score:
            best[one.finding] = one
    kept |= _contradictory(ruled)
    standing = (
        m for m in ruled if _stands(m, best.get(m.finding), plain) or m.finding in kept or m.finding not in best
    )
    stay = [_hardly(_doubted(m, best.get(m.finding)), best.get(m.finding)) for m in standing]
    held = {m.finding for m in stay if m.score >= THRESHOLD}
    danger = {m.finding for m in stay if m.state == "present" and is_danger(m.finding)}
    left = [one for finding, one in best.items() if finding not in held and not _another(one, stay)]
    learned = [_match(one, ruled, text, plain) for one in left if one.outcome == "present" or one.finding not in danger]
    faults = {m.finding for m in learned if m.state == "present" and m.score >= THRESHOLD}
    matches = [_told_twice(m, there, faults) for m in (*stay, *learned)]
    return sorted(matches, key=lambda m: (m.words[0].start, m.finding, m.state))


def _another(one: Heard, stay: Sequence[Match]) -> bool:
    """Whether firm wording of another finding holds most of the words that the reader takes for this one."""
    taken = [m for m in stay if m.firm and one.finding in _instead().get(m.finding, ())]
    held = {k for m in taken for words in m.words for k in range(words.start, words.end)}
    named = {k for start, end in one.named for k in range(start, end)}
    return bool(held) and len(named - held) < len(named) * _OTHERS


@cache
def _instead() -> dict[str, tuple[str, ...]]:
    return {row.finding: row.of for row in PHRASES().instead}


_OTHERS = 0.5
"""Share of the words of a finding that may stand beside firm wording which holds the others."""


def _told_twice(match: Match, there: Iterable[str], faults: set[str]) -> Match:
    """The match; unclear where words deny what another sentence tells as there (`rear no cold, front cools ok`).

    So is a good condition beside a fault that it denies (`windings as new but for one burnt spot`).
    """
    normal = knowledge().normals.get(match.finding)
    turned = match.state == "absent" and not match.quantity and match.finding in there
    turned |= normal is not None and match.state == "present" and not faults.isdisjoint(normal.means_absent)
    return replace(match, state="unknown", unknown_because="unclear") if turned else match


def _doubted(match: Match, heard: Heard | None) -> Match:
    """The match; unclear where words alone deny what the learned reader hears, or it is sure of the reverse."""
    if heard is None or match.quantity or match.firm or {match.state, heard.outcome} != {"present", "absent"}:
        return match
    least = FAINTEST if match.state == "absent" else _SURE
    return replace(match, state="unknown", unknown_because="unclear") if heard.score >= least else match


def _hardly(match: Match, heard: Heard | None) -> Match:
    """The match; in doubt where it is danger told in words that the learned reader hardly takes for it."""
    plain = heard is None or heard.score >= _DANGER or match.firm or match.quantity
    if plain or match.state != "present" or not is_danger(match.finding):
        return match
    return replace(match, state="unknown", unknown_because="unclear")


def _stands(match: Match, heard: Heard | None, plain: frozenset[str]) -> bool:
    """Made by a number, told plainly, or left open by rules that believe it where the learned reader is not sure."""
    if match.firm or (match.quantity is not None and match.state != "unknown"):
        return True
    sure = heard is not None and heard.score >= _YIELDS and not _hardly_denied(heard, plain)
    return match.unknown_because in _OPEN and match.score >= THRESHOLD and not sure


def _contradictory(ruled: Sequence[Match]) -> frozenset[str]:
    """Findings that the rules hear told in more than one way, and believe both."""
    seen = [m.finding for m in ruled if m.score >= THRESHOLD]
    return frozenset(finding for finding in seen if seen.count(finding) > 1)


def _match(one: Heard, ruled: Sequence[Match], text: str, plain: frozenset[str]) -> Match:
    """The match; where the rules say the reverse it is unclear, where they say the same their words stand.

    What the rules believe is at least a candidate.
    """
    state: ReportState = "unknown" if one.outcome in BECAUSE else one.outcome  # type: ignore[assignment]
    words, deciding = excerpts(one.named, text), excerpts(one.told, text)
    match = Match(one.finding, state, round(one.score, 3), words, unknown_because=BECAUSE.get(one.outcome))
    for other in (m for m in ruled if m.finding == one.finding):
        if (other.state, other.unknown_because) == (match.state, match.unknown_because):
            least = _least(one, other)
            agreed = replace(other, score=max(match.score, least))
            weak = one.score >= THRESHOLD and _hardly_denied(one, plain, _AGREED)
            return replace(agreed, state="unknown", unknown_because="unclear") if weak else agreed
        denied = other.state == "present" and state == "absent" and other.score >= FAINTEST
        turned = {other.state, state} <= _NOW and (denied or other.score >= THRESHOLD)
        if turned and (one.score < _SURE or state == "absent"):
            unclear = round(one.spoken, 3)
            return replace(match, state="unknown", score=unclear, unknown_because="unclear", doubt=deciding)
    if _hardly_denied(one, plain) or (state == "absent" and not one.told):
        unclear = round(one.spoken, 3)
        return replace(match, state="unknown", score=unclear, unknown_because="unclear", doubt=deciding)
    if state == "unknown":
        return replace(match, doubt=deciding)
    return replace(match, negation=deciding) if state in {"absent", "normal"} else match


def _hardly_denied(one: Heard, plain: frozenset[str], least: float = DENIAL) -> bool:
    """Whether it is heard as denied, and may be there as well as not. least: score that a denial in words needs."""
    good = one.finding in plain and not is_danger(one.finding)
    return one.outcome == "absent" and one.score < (CERTAIN * one.spoken if good else least)


def _least(one: Heard, other: Match) -> float:
    """The score below which nothing falls that the rules believe: both halfway sure of the same are sure enough."""
    if other.score < THRESHOLD:
        return 0.0
    return THRESHOLD if one.score >= _HALFWAY and one.outcome == "present" else FAINTEST
