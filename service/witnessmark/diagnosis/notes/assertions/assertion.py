"""What a clause does to a finding that it names: tells, denies, doubts, plans, remembers it, or of another machine.

Cue words by class (knowledge/scope.toml) with a direction and an end, in the line of NegEx (Chapman et al. 2001) and
ConText (Harkema et al. 2009); wording and rules are our own. What differs is that **a denial ends at its own target**
(denial.py): job notes have no commas. Where the subject stays open the answer is "unclear".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.assertions.cue_rows import SCOPE, CueClass
from witnessmark.diagnosis.notes.assertions.denial import denials, goes_on, joined, perhaps
from witnessmark.diagnosis.notes.assertions.past import goes_on_now, over, put_right, taught
from witnessmark.diagnosis.notes.assertions.scope import NONE, Cue, Scope, covering_cues, meaning, only_idle
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.assertions.turned import How, denied_once, surpassed, turned
from witnessmark.diagnosis.notes.danger import hazards
from witnessmark.diagnosis.notes.mentions import Clause, Mention

Kind = Literal["present", "absent", "history", "doubt", "other machine", "advice", "not checked", "unclear"]
"""How a finding is told; `absent` is what is denied, whatever its words state."""
_OPEN: frozenset[Kind] = frozenset({"present", "doubt", "other machine", "unclear", "not checked"})
_WEAK = 0.9
_OUT_OF_ORDER = frozenset({"present", "low", "high"})


@dataclass(frozen=True, slots=True)
class Assertion:
    """The kind, the tokens that decided it, a factor on the score. sure: the words leave nothing to judge again."""

    kind: Kind
    words: frozenset[int] = NONE
    factor: float = 1.0
    sure: bool = False


def assertion(scope: Scope, mention: Mention) -> Assertion:
    """How the clause tells this mention, and the words that decided."""
    once, several = _once(scope, mention), _of_several(scope, mention)
    for kind, deciders in (
        ("history", once if mention.hazard else NONE),
        ("not checked", _unchecked(scope, mention)),
        ("other machine", _elsewhere(scope, mention)),
        ("advice", _advised(scope, mention) | taught(scope, mention)),
        ("history", once),
        ("doubt", _doubted(scope, mention)),
        ("absent", denials(scope, mention) or _never_fails(scope, mention)),
    ):
        if deciders:
            if left := _left_open(scope, mention, kind, deciders):
                return left
            told = "unclear" if several and kind == "absent" else kind
            sure = (told == "history" and over(scope, mention)) or (told == "advice" and bool(taught(scope, mention)))
            return Assertion(told, deciders, sure=sure)  # type: ignore[arg-type]
    well = several and not tells_fault(mention.finding, mention.stated)
    if (mention in scope.misread or perhaps(scope, mention) or well) and mention.finding not in SCOPE().comparing:
        return Assertion("unclear", perhaps(scope, mention))
    if turned := _not_in_order(scope, mention):
        return Assertion("absent", turned)
    weak = covering_cues(scope, mention, "weak-uncertainty")
    return Assertion("present", weak, _WEAK if weak else 1.0, sure=goes_on_now(scope, mention))


def _of_several(scope: Scope, mention: Mention) -> bool:
    """Whether it is told of one of several machines of which nobody says which is in question.

    The worst of them counts then: what is well with one, or denied of it, says nothing of the others.
    """
    return bool(mention.tokens & scope.told.open) and mention.finding not in SCOPE().comparing


def still_told(clause: Clause, by: Told, words: Sequence[Mention]) -> list[Mention]:
    """Those of the words that are told as there, or of which nobody can say how; part of a hazard is told as it is."""
    if not words:
        return []
    dangers = hazards(clause)
    scope = Scope(clause, (*dangers, *words), by)
    whole = [(word, [h for h in dangers if word.tokens <= h.tokens] or [word]) for word in words]
    return [word for word, told in whole if any(assertion(scope, mention).kind in _OPEN for mention in told)]


def tells_fault(finding: str, state: ReportState) -> bool:
    """Whether this state of it is out of order; what is normal to find is not."""
    return state in _OUT_OF_ORDER and finding in knowledge().findings


def _left_open(scope: Scope, mention: Mention, kind: str, deciders: frozenset[int]) -> Assertion | None:
    """What is no denial, or no mere condition, after all: danger that is there for somebody else, elsewhere or now."""
    if kind == "absent" and not mention.hazard:
        than_ever = surpassed(scope, mention, deciders) if mention.stated == "present" else NONE
        return Assertion("present", than_ever, _WEAK) if than_ever else None
    if not mention.hazard or kind not in ("absent", "advice", "history"):
        return None
    denied = denied_once(scope, mention) if kind == "history" else deciders
    how: How = "advice" if kind == "advice" else "absent"
    open_by = turned(scope, mention, how, denied) if denied else NONE
    return Assertion("unclear", open_by) if open_by else None


def _not_in_order(scope: Scope, mention: Mention) -> frozenset[int]:
    """`insulation not acceptable`: what else is no denial of a fault denies that a thing is in order."""
    cues = scope.of("pseudo-negation") if mention.stated == "absent" else []
    turning = (c.tokens for c in cues if c.tokens & mention.tokens and not c.tokens <= mention.tokens)
    return NONE.union(*turning)


def _never_fails(scope: Scope, mention: Mention) -> frozenset[int]:
    """`never fails to start`: the verb that such words turn round is the first of the mention's own."""
    first = min(mention.tokens)
    if mention.hazard or mention.stated != "present" or scope.sentence.tokens[first].stem != "fail":
        return NONE
    return NONE.union(*(c.tokens for c in scope.of("pseudo-negation") if c.start < first and first in c.tokens))


def _unchecked(scope: Scope, mention: Mention) -> frozenset[int]:
    """Nobody looked at it; such words end at their own target, as a denial does."""
    for cue in (*scope.of("unchecked"), *_none_done(scope)):
        if not cue.tokens <= mention.tokens and mention in _not_looked_at(scope, cue):
            return cue.tokens
    return NONE


def _not_looked_at(scope: Scope, cue: Cue) -> list[Mention]:
    """What stands inside the cue or right before it in its part; else the first thing behind it, with its list."""
    part = scope.part(cue)
    inside = [m for m in scope.mentions if scope.weighing(m) & cue.tokens and not cue.tokens <= m.tokens]
    before = [m for m in scope.mentions if scope.weighing(m) & part and max(m.tokens) < cue.start]
    if inside or any(only_idle(scope, max(m.tokens) + 1, cue.start) or m.topic for m in before):
        return inside or before
    behind = sorted(
        (
            (min(ahead), m)
            for m in scope.mentions
            if (ahead := [k for k in m.tokens & _carried(scope, cue) if k >= cue.end])
        ),
        key=lambda pair: pair[0],
    )
    found: list[Mention] = []
    limit = cue.end
    for first, mention in behind:
        if (meaning(scope, limit, first) > 1) if not found else (first >= limit and not joined(scope, limit, first)):
            break
        found.append(mention)
        limit = max(limit, max(mention.tokens) + 1)
    return found


def _none_done(scope: Scope) -> Iterator[Cue]:
    """`no acid test done`, `no readings taken`."""
    for cue in scope.of("negation"):
        done = [d for d in scope.of("done") if d.start >= cue.end and d.start in scope.part(cue)]
        if done and scope.sentence.tokens[cue.start].stem in {"no", "none"} and not cue.tokens & scope.owned:
            yield Cue("unchecked", cue.start, done[0].end)


def _carried(scope: Scope, cue: Cue) -> frozenset[int]:
    """The part of a cue, and the parts that a list goes on over."""
    covered = set(scope.part(cue))
    tokens = scope.sentence.tokens
    k = max(covered) + 1
    while k < len(tokens) and tokens[k].kind == "pause" and goes_on(scope, k):
        covered |= scope.tokens_of_part[scope.parts[k]]
        k = max(covered) + 1
    return frozenset(covered)


def _elsewhere(scope: Scope, mention: Mention) -> frozenset[int]:
    """Told of another machine: by a cue in its part, by `not ours` behind it, or since a pointer stands behind it."""
    for cue in (c for c in scope.of("other-subject") if c.start not in scope.told.starts):
        behind = cue.start > max(mention.tokens) and _follows(scope, mention, cue) and not scope.named(scope.part(cue))
        if not cue.tokens <= mention.tokens and (behind or _span(scope, cue, "this-subject") & mention.tokens):
            return cue.tokens
    for cue in scope.of("pointer"):
        before = scope.parts[max(mention.tokens)] < scope.parts[cue.start] and not _pointed(scope, mention)
        if before and any(scope.parts[m.start] == scope.parts[min(mention.tokens)] for m in scope.of("machine")):
            return cue.tokens
    return mention.tokens & scope.told.other


def _follows(scope: Scope, mention: Mention, cue: Cue) -> bool:
    """`knocking, not ours`: the cue opens the next part with a denial."""
    tokens = scope.sentence.tokens
    next_part = scope.parts[cue.start] == scope.parts[max(mention.tokens)] + 1
    return next_part and tokens[cue.start - 1].kind == "pause" and tokens[cue.start].stem == "not"


def _pointed(scope: Scope, mention: Mention) -> bool:
    part = scope.parts[max(mention.tokens)]
    return any(scope.parts[c.start] == part for c in scope.of("this-subject", "pointer"))


def _span(scope: Scope, cue: Cue, until: CueClass) -> frozenset[int]:
    """The part of a cue up to the next cue of `until` on either side that is not the cue itself."""
    part = scope.part(cue)
    stops = [c for c in scope.of(until) if c.start in part and not c.tokens & cue.tokens]
    low = max((c.end for c in stops if c.end <= cue.start), default=min(part))
    high = min((c.start for c in stops if c.start >= cue.end), default=max(part) + 1)
    return frozenset(range(low, high))


def _advised(scope: Scope, mention: Mention) -> frozenset[int]:
    """Norms cover their part, advice what follows it there; a condition what follows to the end, or to `now`."""
    covering = NONE
    for cue in scope.of("advice", "norm", "hypothetical"):
        ahead = cue.end <= max(mention.tokens) and not cue.tokens & mention.tokens
        norm = cue.kind == "norm" and not mention.hazard and not cue.tokens & mention.tokens
        if cue.kind == "hypothetical":
            covers = ahead and min(mention.tokens) < _ends_condition(scope, cue) and not _only_way(scope, cue)
        else:
            covers = (ahead or norm) and bool(scope.part(cue) & mention.tokens) and not _compared(scope, cue)
        covering |= cue.tokens if covers else NONE
    return covering


def _only_way(scope: Scope, cue: Cue) -> bool:
    """`only runs if I hold the reset`: how it runs now, and no condition."""
    return any(cue.tokens & way.tokens for way in scope.of("only-way"))


def _ends_condition(scope: Scope, cue: Cue) -> int:
    """Where a condition ends: at a later part with a word of the present."""
    ahead = [c for c in scope.of("present-time") if scope.parts[c.start] > scope.parts[cue.start]]
    later = [min(scope.part(c)) for c in ahead]
    return min(later, default=len(scope.parts))


def _compared(scope: Scope, cue: Cue) -> bool:
    """A number on either side of the norm: `410 V, should be 565` tells what was measured."""
    numbers = [k for k in scope.part(cue) if scope.sentence.tokens[k].kind == "number"]
    return cue.kind == "norm" and any(k < cue.start for k in numbers) and any(k >= cue.end for k in numbers)


def _once(scope: Scope, mention: Mention) -> frozenset[int]:
    """History: a time of the past in its part (or at the beginning of the sentence), or put right since."""
    if mention.finding in SCOPE().lasting:
        return NONE
    cues = (cue for cue in scope.of("history") if not (mention.hazard and _had(scope, cue)))
    past = [cue for cue in cues if not cue.tokens & mention.tokens and _past(scope, cue) & mention.tokens]
    right = put_right(scope, mention)
    if past and not _still(scope, mention):
        return NONE.union(*(cue.tokens for cue in past)) | right
    return right


def _had(scope: Scope, cue: Cue) -> bool:
    """`had a shock`, `had a heart attack`: what happened to people, told of today as often as not."""
    return scope.sentence.tokens[cue.start].stem == "had" and scope.sentence.tokens[cue.end - 1].stem in {"a", "an"}


def _past(scope: Scope, cue: Cue) -> frozenset[int]:
    """What a word of the past covers: its part, or all where it opens the clause, up to a word of the present."""
    opening = only_idle(scope, 0, cue.start)
    part = scope.part(cue)
    high = len(scope.parts) if opening else max(part) + 1
    stops = [c.start for c in scope.of("present-time", "termination") if c.start >= cue.end]
    stops_before = [c.end for c in scope.of("present-time") if c.end <= cue.start and c.start in part]
    return frozenset(range(max(stops_before, default=min(part)), min([high, *stops])))


def _still(scope: Scope, mention: Mention) -> bool:
    """A word of the present stands right before or after the mention's own words."""
    beside = {min(mention.tokens) - 1, max(mention.tokens) + 1}
    return any(cue.tokens & beside for cue in scope.of("present-time"))


def _doubted(scope: Scope, mention: Mention) -> frozenset[int]:
    """Doubt in the part, a condition `whether`, or a question mark behind the part."""
    covering = covering_cues(scope, mention, "uncertainty")
    last = len(scope.sentence.tokens) - 1
    asked = scope.sentence.tokens[last].stem == "?" and scope.parts[last] == scope.parts[max(mention.tokens)]
    return covering | (frozenset({last}) if asked else NONE)
