"""Danger that is denied, or told as a condition, in one breath and there in the next.

`I saw no smoke but my wife did`, `none upstairs, downstairs yes`, `not until I turned it on`, `never so strong`, `you
said to call if it sparks: it does`, `is it normal that it tingles`. A denial of one witness, place or time denies
nothing for another, so such danger is left open, and what is open fires its rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from witnessmark.diagnosis.notes.assertions.cue_rows import MARK, CueClass
from witnessmark.diagnosis.notes.assertions.scope import NONE, Cue, Scope
from witnessmark.diagnosis.notes.mentions import Mention, Sentence
from witnessmark.diagnosis.notes.tokens import Token, stem

How = Literal["absent", "advice"]
"""How the mention would be told without this: denied, or as a condition or an order."""


def _stems(words: str) -> frozenset[str]:
    return frozenset(map(stem, words.split()))


_NEVER = _stems("never nunca jamas once")
_EVER_SINCE = _stems("before antes")
_TRAILING = _stems(
    "now today again too though there here it so already really twice badly all ahora hoy tambien mucho yesterday "
    "definitely certainly sure also"
)
"""What may stand behind a bare `did`, `is`, `yes` at the end of a part."""
_SO = _stems("is are has have keeps")
_SOUNDING, _ALARM = _stems("on sounding ringing going beeping"), "gas-alarm"
_YES = _stems("yes yep yeah si")
_IF = _stems("if when si cuando whether unless that")
_OTHERS = _stems("one other others upstairs downstairs cashier neighbour neighbor waiter waitress guard chef")
_ASKING_WHERE = _stems("where when as that if because what how who which than")
_NOT = _stems("no not never neither nor nobody none nothing without denies denied nadie ni nunca tampoco sin false")
_SHORT = 9
"""Tokens of a following sentence that answers the one before: `no smoke here. the guard saw it.`"""


def turned(scope: Scope, mention: Mention, how: How, deciders: frozenset[int]) -> frozenset[int]:
    """The words that leave open danger which the deciders deny or put off; none where nothing does."""
    if how == "absent":
        return _belittled(scope, mention, deciders) or _in_time(scope, mention, deciders) or _elsewhere(scope, mention)
    return _come_true(scope, mention, deciders) or _elsewhere(scope, mention)


def denied_once(scope: Scope, mention: Mention) -> frozenset[int]:
    """A denial that begins what is told of the past: `no sparks until we reset it`, `nobody was sick till today`."""
    part, first = scope.tokens_of_part[scope.parts[min(mention.tokens)]], min(mention.tokens)
    return NONE.union(*(cue.tokens for cue in scope.of("negation") if cue.start in part and cue.start <= first))


def surpassed(scope: Scope, mention: Mention, deciders: frozenset[int]) -> frozenset[int]:
    """`never seen oil this black`: what is denied is only that it was ever so before."""
    part = scope.tokens_of_part[scope.parts[max(mention.tokens)]]
    never = any(scope.sentence.tokens[k].stem in _NEVER for k in deciders)
    cues = [*scope.of("superlative"), *(scope.of("unlike-ever") if never else ())]
    return NONE.union(*(cue.tokens for cue in cues if cue.start in part and cue.start >= min(deciders, default=0)))


def _in_time(scope: Scope, mention: Mention, deciders: frozenset[int]) -> frozenset[int]:
    """`no smoke until it was turned on`, `never before today`."""
    last, tokens = max(mention.tokens), scope.sentence.tokens
    for cue in scope.of("until"):
        if cue.start > min(mention.tokens) and scope.parts[cue.start] - scope.parts[last] <= 1:
            return cue.tokens
    never = any(tokens[k].stem in _NEVER for k in deciders)
    before = (k for k in range(last + 1, len(tokens)) if never and tokens[k].stem in _EVER_SINCE)
    return surpassed(scope, mention, deciders) or frozenset([*before][:1])


def _belittled(scope: Scope, mention: Mention, deciders: frozenset[int]) -> frozenset[int]:
    """`nothing serious, just a tingle`: between the denial and the danger it says that there is only so much."""
    between = range(max(deciders) + 1, max(mention.tokens) + 1)
    return NONE.union(*(cue.tokens for cue in scope.of("belittling") if cue.start in between))


def _elsewhere(scope: Scope, mention: Mention) -> frozenset[int]:
    """Somebody else, or another place or time, of which a later part says yes; or the sentence behind this one."""
    last = _last(scope, mention)
    for cue in scope.of("affirming", "affirming-end"):
        if cue.start > last and not _denied_before(scope, cue, last) and _affirms(scope, mention, cue, last):
            return cue.tokens
    later = scope.following if scope.parts[last] >= scope.parts[-1] - 1 else None
    return mention.tokens if later and answers(later) else NONE


def _last(scope: Scope, mention: Mention) -> int:
    """Its last word in the part in which it begins: `shocks before the rain, after it yes` may take in more."""
    part = scope.tokens_of_part[scope.parts[min(mention.tokens)]]
    return max(mention.tokens & part)


def _affirms(scope: Scope, mention: Mention, cue: Cue, last: int) -> bool:
    apart = scope.parts[cue.start] > scope.parts[last]
    if cue.kind == "affirming":
        return apart
    if scope.sentence.tokens[cue.end - 1].stem in _SOUNDING and mention.finding != _ALARM:
        return False
    if scope.sentence.tokens[cue.start].stem in _YES and _of_another(scope, cue):
        return False
    closing = _closes(scope.sentence, cue.end, max(scope.part(cue)) + 1)
    return closing and (apart or _of_somebody(scope, last + 1, cue.start))


def _of_another(scope: Scope, cue: Cue) -> bool:
    """`no smoke, cooling yes`: the yes is said of something else that is named there."""
    things = scope.sentence.topics.union(*(c.tokens for c in scope.of("own-target")))
    return bool(scope.part(cue) & things - cue.tokens)


def _of_somebody(scope: Scope, start: int, end: int) -> bool:
    """`my wife did`: right before the word stands somebody else, and nothing that begins a clause of place or time."""
    stems = [scope.sentence.tokens[k].stem for k in range(start, end)]
    people = [p for p in scope.sentence.places.get("!THIRD", ()) if start <= p.start and p.end == end]
    return bool(people or _OTHERS.intersection(stems)) and _ASKING_WHERE.isdisjoint(stems)


def _closes(sentence: Sentence, start: int, end: int) -> bool:
    """Nothing that means something stands from here to the end of the part."""
    tokens = sentence.tokens
    return all(tokens[k].kind != "word" or tokens[k].stem in _TRAILING for k in range(start, end))


def _denied_before(scope: Scope, cue: Cue, last: int) -> bool:
    part = scope.part(cue)
    return any(scope.sentence.tokens[k].stem in _NOT for k in part if last < k < cue.end + 2)


def answers(sentence: Sentence) -> bool:
    """Whether a short sentence says nothing but that somebody did, or that it is so there; no item of a form."""
    tokens = sentence.tokens
    if len(tokens) > _SHORT or any(token.stem in _NOT or token.stem == ":" for token in tokens):
        return False
    places = sentence.places
    ends = any(_closes(sentence, p.end, len(tokens)) for p in places.get(f"{MARK}affirming-end", ()))
    return ends or f"{MARK}affirming" in places


def _come_true(scope: Scope, mention: Mention, deciders: frozenset[int]) -> frozenset[int]:
    """`you said to ring if it smokes`, `is it normal that it tingles`, `quote please, also it sparks`."""
    first = min(mention.tokens)
    for cue in _ahead(scope, first, "reported-condition"):
        if not _denied_later(scope, mention):
            return cue.tokens
    for cue in _ahead(scope, first, "asking"):
        if scope.sentence.tokens[cue.start].stem != "would" or _is_so(scope, cue, mention):
            return cue.tokens
    last, behind = max(mention.tokens), min(deciders) + 1
    tokens = scope.sentence.tokens
    told = (c for c in scope.of("beside", "belittling") if behind < c.start <= last)
    beside = [c for c in told if tokens[c.start - 1].stem not in _IF]
    return NONE.union(*(cue.tokens for cue in beside))


def _is_so(scope: Scope, cue: Cue, mention: Mention) -> bool:
    """`would it be bad if it is melted`, not `if it leaked`."""
    return any(scope.sentence.tokens[k].stem in _SO for k in range(cue.end, max(mention.tokens)))


def _ahead(scope: Scope, first: int, kind: CueClass) -> Iterator[Cue]:
    yield from (cue for cue in scope.of(kind) if cue.start < first)


def _denied_later(scope: Scope, mention: Mention) -> bool:
    """`so far it does not`, `nobody is`: here or in a short sentence behind."""
    last = max(mention.tokens)
    return _denies(scope.sentence.tokens[last + 1 :]) or bool(
        scope.following and len(scope.following.tokens) <= _SHORT and _denies(scope.following.tokens)
    )


def _denies(tokens: Sequence[Token]) -> bool:
    return any(token.stem in _NOT for token in tokens)
