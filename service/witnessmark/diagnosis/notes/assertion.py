"""What a clause does to a finding named in it: tells it present, denies, doubts, plans or remembers it, or tells it of
another machine.

Cue words by class (knowledge/scope.toml) with a direction and an end, in the line of NegEx (Chapman et al. 2001) and
ConText (Harkema et al. 2009); wording and rules are our own. What differs: **a denial ends at its own target**. Job notes
have no commas, so `no cooling oil is black` must deny the cooling alone: a denial is spent on the first thing named
behind it, and on what `or`, `nor` or a list joins to that; one that is part of a finding's own words (`not cooling`)
denies nothing else. Where the subject stays open the answer is "unclear".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from witnessmark.diagnosis.notes.cue_rows import MARK, SCOPE, CueClass
from witnessmark.diagnosis.notes.mentions import Clause, Mention
from witnessmark.diagnosis.notes.scoring import THRESHOLD, Sentence
from witnessmark.diagnosis.notes.subjects import Told

Kind = Literal["present", "absent", "history", "doubt", "other machine", "advice", "not checked", "unclear"]
"""How a finding is told; `absent` is what is denied, whatever its words state."""
REACH = 8
"""Words that a denial reaches over at most, words without meaning not counted."""
_WEAK = 0.9
_FEW = 3
_YEARS = range(1990, 2040)
_SHORT = (0, 39)
"""Years as they are written in full, and behind an apostrophe."""
_NONE = frozenset[int]()


@dataclass(frozen=True, slots=True)
class Assertion:
    """The kind, the tokens that decided it, and a factor on the score. put_right: history because it was repaired."""

    kind: Kind
    words: frozenset[int] = _NONE
    factor: float = 1.0


@dataclass(frozen=True)
class Cue:
    """A cue word: its class and its tokens."""

    kind: CueClass
    start: int
    end: int

    @cached_property
    def tokens(self) -> frozenset[int]:
        """Its tokens."""
        return frozenset(range(self.start, self.end))


@dataclass(frozen=True)
class Scope:
    """A clause with all that is named in it and all its cues. told: of which numbered machine its words are."""

    clause: Clause
    mentions: tuple[Mention, ...]
    told: Told = Told()

    @property
    def sentence(self) -> Sentence:
        """The tokens."""
        return self.clause.sentence

    @cached_property
    def cues(self) -> tuple[Cue, ...]:
        """The cues, longest first where they overlap, in the order of the clause."""
        return tuple(_cues(self.sentence))

    @cached_property
    def by_class(self) -> dict[CueClass, list[Cue]]:
        """The cues of each class."""
        groups: dict[CueClass, list[Cue]] = {}
        for cue in self.cues:
            groups.setdefault(cue.kind, []).append(cue)
        return groups

    def of(self, *kinds: CueClass) -> list[Cue]:
        """The cues of these classes, class by class."""
        return [cue for kind in kinds for cue in self.by_class.get(kind, ())]

    @cached_property
    def denied(self) -> dict[Mention, frozenset[int]]:
        """The mentions that a denial in front of them denies, and its tokens."""
        found: dict[Mention, frozenset[int]] = {}
        for cue in self.of("negation"):
            if not cue.tokens & self.owned and (targets := _targets(self, cue)) and not _cancelled(self, cue):
                found |= {mention: found.get(mention, _NONE) | cue.tokens for mention in targets}
        return found

    @cached_property
    def parts(self) -> tuple[int, ...]:
        """For each token the number of its part: parts end at pauses and at words like `but`."""
        ends = {cue.start for cue in self.of("termination")}
        numbers, part = [], 0
        for k, token in enumerate(self.sentence.tokens):
            part += k in ends or (token.kind == "pause" and token.stem != ":")
            numbers.append(part)
        return tuple(numbers)

    @cached_property
    def owned(self) -> frozenset[int]:
        """Tokens that belong to a finding's own words."""
        return _NONE.union(*(m.tokens for m in self.mentions if m.score >= THRESHOLD and not m.topic))

    @cached_property
    def tokens_of_part(self) -> dict[int, frozenset[int]]:
        """The tokens of each part."""
        tokens: dict[int, set[int]] = {}
        for k, number in enumerate(self.parts):
            tokens.setdefault(number, set()).add(k)
        return {number: frozenset(within) for number, within in tokens.items()}

    def part(self, cue: Cue) -> frozenset[int]:
        """The tokens of the part that a cue stands in."""
        return self.tokens_of_part[self.parts[cue.start]]

    def named(self, tokens: Iterable[int]) -> bool:
        """Whether some finding is named within these tokens."""
        within = frozenset(tokens)
        return any(m.tokens <= within for m in self.mentions)

    def weighing(self, mention: Mention) -> frozenset[int]:
        """The words that say something of the thing; all of them where only the thing is named."""
        return mention.tokens - self.sentence.topics or mention.tokens


def assertion(scope: Scope, mention: Mention) -> Assertion:
    """How the clause tells this mention, and the words that decided."""
    for kind, deciders in (
        ("not checked", _unchecked(scope, mention)),
        ("other machine", _elsewhere(scope, mention)),
        ("advice", _advised(scope, mention)),
        ("history", _once(scope, mention)),
        ("doubt", _doubted(scope, mention)),
        ("absent", denials(scope, mention)),
    ):
        if deciders:
            return Assertion(kind, deciders)  # type: ignore[arg-type]
    if mention.tokens & scope.told.open and mention.finding not in SCOPE().comparing:
        return Assertion("unclear")
    weak = _covering(scope, mention, "weak-uncertainty")
    return Assertion("present", weak, _WEAK if weak else 1.0)


# ------------------------------------------------------------------ cues
def _cues(sentence: Sentence) -> Iterator[Cue]:
    """Every cue; one that lies within a longer one is hidden by it."""
    found = [
        Cue(name.removeprefix(MARK), place.start, place.end)  # type: ignore[arg-type]
        for name, places in sentence.places.items()
        if name.startswith(MARK)
        for place in places
    ]
    found += [Cue("history", k, k + 1) for k in _years(sentence)]
    found.sort(key=lambda cue: (cue.start, -cue.end))
    end, longest = 0, 0
    for cue in found:
        inside = cue.end <= end and cue.end - cue.start < longest
        if cue.kind in _PLAIN or not inside:
            yield cue
        if cue.kind not in _PLAIN and (cue.end > end or cue.end - cue.start > longest):
            end, longest = max(end, cue.end), cue.end - cue.start


_PLAIN = frozenset({"closing-negation", "link", "own-target", "machine", "done", "termination", "replaced"})
"""Classes that hide no other and are hidden by none."""


def _years(sentence: Sentence) -> Iterator[int]:
    """`2019`, where it is a year and nothing measured."""
    for k, token in enumerate(sentence.tokens):
        after = sentence.tokens[k + 1].stem if k + 1 < len(sentence.tokens) else ""
        before = sentence.tokens[k - 1].stem if k else ""
        short = before == "'" and _SHORT[0] <= token.value <= _SHORT[1]
        year = token.kind == "number" and (short or token.value in _YEARS)
        if year and before != "sinc" and after not in _MEASURES:
            yield k


_MEASURES = frozenset({"hour", "h", "micron", "rpm", "ppm", "psi", "psig", "ohm", "btu", "w", "cfm", "start", "k", "v"})


def _covering(scope: Scope, mention: Mention, *kinds: CueClass) -> frozenset[int]:
    """Tokens of cues of these classes in the same part that are no words of the mention itself."""
    return _NONE.union(
        *(
            cue.tokens
            for cue in scope.of(*kinds)
            if scope.part(cue) & mention.tokens and not cue.tokens & mention.tokens
        )
    )


# ------------------------------------------------------------------ denial
def denials(scope: Scope, mention: Mention) -> frozenset[int]:
    """The words that deny the mention; none where two of them cancel or it is not denied."""
    return scope.denied.get(mention, _NONE) | _behind(scope, mention)


def _cancelled(scope: Scope, cue: Cue) -> bool:
    """A denied verb that is denied again: `never been a time it didn't knock`; not `did not see no leak`."""
    tokens = scope.sentence.tokens
    if tokens[cue.start].stem not in {"not", "without"}:
        return False
    part = scope.part(cue)
    before = [c for c in scope.of("negation") if c.end <= cue.start and c.start in part and not c.tokens & scope.owned]
    if not before or tokens[before[-1].start].stem not in {"not", "never"}:
        return False
    between = frozenset(range(before[-1].end, cue.start))
    spent = any(other.tokens <= between for other in scope.of("own-target"))
    return not spent and len(between) <= REACH and not any(scope.weighing(m) & between for m in scope.mentions)


def _targets(scope: Scope, cue: Cue) -> list[Mention]:
    """What a denial denies: the first thing named behind it, and what a list or `or` joins to that."""
    reach = _reach(scope, cue)
    named = [(min(inside), m) for m in scope.mentions if (inside := _denied_words(scope, m, cue) & reach)]
    if not named or _spent(scope, cue, min(named, key=lambda pair: (pair[0], pair[1].finding))[1]):
        return []
    denied: list[Mention] = []
    limit = 0
    for first, mention in sorted(named, key=lambda pair: (pair[0], pair[1].finding)):
        if denied and first >= limit and not _joined(scope, limit, first):
            break
        denied.append(mention)
        limit = max(limit, max(scope.weighing(mention) & reach) + 1)
    return denied


def _denied_words(scope: Scope, mention: Mention, cue: Cue) -> frozenset[int]:
    """The words of a mention that a denial can take: of danger none beyond a pause from its other words."""
    parts = {scope.parts[k] for k in mention.tokens}
    return _NONE if mention.hazard and min(mention.tokens) < cue.start and len(parts) > 1 else scope.weighing(mention)


def _reach(scope: Scope, cue: Cue) -> frozenset[int]:
    """Tokens behind a denial up to a pause, a word that ends it, `and`, the next denial or too many words."""
    sentence, ends = scope.sentence, {c.start for c in scope.of("termination", "negation", "present-time")}
    through_and = sentence.tokens[cue.start].stem in {"neither", "nor"}
    left, reached = REACH, []
    for k in range(cue.end, len(sentence.tokens)):
        token = sentence.tokens[k]
        ands = token.stem in {"and", "plu"} and not through_and
        if (
            (k in ends and token.stem not in {"nor", "or"})
            or ands
            or (token.kind == "pause" and not _goes_on(scope, k))
        ):
            break
        left -= k not in sentence.idle
        if left < 0:
            break
        reached.append(k)
    return frozenset(reached)


def _goes_on(scope: Scope, pause: int) -> bool:
    """A comma inside a list that ends in `or`: `no knock, rattle or whine`; or that is followed by `or`, `nor`."""
    tokens = scope.sentence.tokens
    for k in range(pause + 1, min(pause + 5, len(tokens))):
        if tokens[k].stem in {"or", "nor", "ni"}:
            return True
        if tokens[k].kind == "pause" or tokens[k].stem in {"and", "but"}:
            return False
    return False


def _spent(scope: Scope, cue: Cue, first: Mention) -> bool:
    """The denial has its target in plain words before the first finding: `won't start`, `no smell`, `not the valve`."""
    begins = min(k for k in first.tokens if k >= cue.end)
    between = range(cue.end, begins)
    if any(k in scope.sentence.topics and k not in scope.sentence.idle for k in between):
        return True
    if _meaning(scope, cue.end, begins) > _FEW:
        return True
    plain = [c for c in scope.of("own-target") if cue.end <= c.start and c.end <= begins]
    return any(_meaning(scope, cue.end, other.start) <= 1 for other in plain)


def _meaning(scope: Scope, start: int, end: int) -> int:
    """How many words with a meaning stand here."""
    return sum(k not in scope.sentence.idle for k in range(start, end))


def _only_idle(scope: Scope, start: int, end: int) -> bool:
    return all(k in scope.sentence.idle for k in range(start, end))


def _joined(scope: Scope, end: int, start: int) -> bool:
    """Between two things stand only `or`, `nor`, a comma of a list, and at most a few words."""
    between = scope.sentence.tokens[end:start]
    links = [t for t in between if t.stem in {"or", "nor", "ni", "/"} or t.kind == "pause"]
    return bool(links) and len(between) <= 1 + _FEW


def _behind(scope: Scope, mention: Mention) -> frozenset[int]:
    """`restriction ruled out`, `frost: none`, `acid test - negative`: denials that stand behind the mention."""
    tokens = scope.sentence.tokens
    last = max(mention.tokens) + 1
    for cue in scope.of("backward-negation", "closing-negation", "negation"):
        if cue.start < last:
            continue
        near = not cue.tokens & scope.owned and _near(scope, last, cue.start)
        if not near or (cue.kind == "negation" and tokens[cue.start].stem not in {"no", "not", "none"}):
            continue
        at_end = cue.end == len(tokens) or tokens[cue.end].kind in {"pause", "stop"} or _ends(scope, cue.end)
        if at_end if cue.kind != "backward-negation" else not _first_behind(scope, cue):
            return cue.tokens
    return _NONE


def _near(scope: Scope, end: int, start: int) -> bool:
    """Only words without meaning, marks, `all`, `and` and other findings that are listed stand between."""
    return all(
        k in scope.sentence.idle
        or k in scope.owned
        or t.kind in {"pause", "sign"}
        or t.stem in {"and", "or", "al", "both"}
        for k, t in enumerate(scope.sentence.tokens[end:start], end)
    ) and all(
        scope.parts[end - 1] == scope.parts[k] or scope.sentence.tokens[k].kind == "pause" for k in range(end, start)
    )


def _first_behind(scope: Scope, cue: Cue) -> bool:
    """Something is named right behind the cue: `ruled out ammonia`."""
    return any(_only_idle(scope, cue.end, min(m.tokens)) for m in scope.mentions if min(m.tokens) >= cue.end)


def _ends(scope: Scope, k: int) -> bool:
    return any(cue.start == k for cue in scope.of("termination"))


# ------------------------------------------------------------------ the other kinds
def _unchecked(scope: Scope, mention: Mention) -> frozenset[int]:
    cues = [*scope.of("unchecked"), *_none_done(scope)]
    weighing = scope.weighing(mention)
    return _NONE.union(*(c.tokens for c in cues if _carried(scope, c) & weighing and not c.tokens <= mention.tokens))


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
    while k < len(tokens) and tokens[k].kind == "pause" and _goes_on(scope, k):
        covered.add(k)
        covered |= {j for j, n in enumerate(scope.parts) if n == scope.parts[k]}
        k = max(covered) + 1
    return frozenset(covered)


def _elsewhere(scope: Scope, mention: Mention) -> frozenset[int]:
    """Told of another machine: by a cue in its part, by `not ours` behind it, or since a pointer stands behind it."""
    for cue in scope.of("other-subject"):
        behind = cue.start > max(mention.tokens) and _follows(scope, mention, cue) and not scope.named(scope.part(cue))
        if not cue.tokens & mention.tokens and (behind or _span(scope, cue, "this-subject") & mention.tokens):
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
    covering = _NONE
    for cue in scope.of("advice", "norm", "hypothetical"):
        ahead = cue.end <= max(mention.tokens) and not cue.tokens & mention.tokens
        norm = cue.kind == "norm" and not mention.hazard and not cue.tokens & mention.tokens
        if cue.kind == "hypothetical":
            covers = ahead and min(mention.tokens) < _ends_condition(scope, cue)
        else:
            covers = (ahead or norm) and bool(scope.part(cue) & mention.tokens) and not _compared(scope, cue)
        covering |= cue.tokens if covers else _NONE
    return covering


def _ends_condition(scope: Scope, cue: Cue) -> int:
    """Where a condition ends: at a word of the present in a later part."""
    later = [c.start for c in scope.of("present-time") if scope.parts[c.start] > scope.parts[cue.start]]
    return min(later, default=len(scope.parts))


def _compared(scope: Scope, cue: Cue) -> bool:
    """A number on either side of the norm: `410 V, should be 565` tells what was measured."""
    numbers = [k for k in scope.part(cue) if scope.sentence.tokens[k].kind == "number"]
    return cue.kind == "norm" and any(k < cue.start for k in numbers) and any(k >= cue.end for k in numbers)


def _once(scope: Scope, mention: Mention) -> frozenset[int]:
    """History: a time of the past in its part (or at the beginning of the sentence), or put right since."""
    if mention.finding in SCOPE().lasting:
        return _NONE
    past = [
        cue for cue in scope.of("history") if not cue.tokens & mention.tokens and _past(scope, cue) & mention.tokens
    ]
    right = _put_right(scope, mention)
    if past and not _still(scope, mention):
        return _NONE.union(*(cue.tokens for cue in past)) | right
    return right


def _past(scope: Scope, cue: Cue) -> frozenset[int]:
    """What a word of the past covers: its part up to a word of the present; all up to there where it opens the clause."""
    opening = _only_idle(scope, 0, cue.start)
    part = scope.part(cue)
    high = len(scope.parts) if opening else max(part) + 1
    stops = [c.start for c in scope.of("present-time", "termination") if c.start >= cue.end]
    stops_before = [c.end for c in scope.of("present-time") if c.end <= cue.start and c.start in part]
    return frozenset(range(max(stops_before, default=min(part)), min([high, *stops])))


def _still(scope: Scope, mention: Mention) -> bool:
    """A word of the present stands right before or after the mention's own words."""
    beside = {min(mention.tokens) - 1, max(mention.tokens) + 1}
    return any(cue.tokens & beside for cue in scope.of("present-time"))


def _now(scope: Scope, mention: Mention) -> bool:
    """A word of the present stands in a part of the mention."""
    return any(scope.part(cue) & mention.tokens for cue in scope.of("present-time"))


def _put_right(scope: Scope, mention: Mention) -> frozenset[int]:
    """`leak repaired`; `bearing noisy, replaced, ok now`; a recent time needs such words too."""
    last = max(mention.tokens)
    for cue in scope.of("resolved"):
        if cue.tokens & mention.tokens or _denied(scope, cue):
            continue
        part = scope.part(cue)
        alone = cue.start > last and not scope.named(part) and _opens(scope, cue)
        if part & mention.tokens or alone:
            return cue.tokens
    replaced = [cue for cue in scope.of("replaced", "recent") if not cue.tokens & mention.tokens]
    for cue in scope.of("well-now"):
        part = scope.part(cue)
        own = part & mention.tokens
        if cue.start > last and not own and replaced and not _denied(scope, cue) and not _now(scope, mention):
            return cue.tokens
    return _NONE


def _opens(scope: Scope, cue: Cue) -> bool:
    """At most one word that means something stands before the cue in its part: `your colleague sorted that`."""
    before = [k for k in scope.part(cue) if k < cue.start and scope.sentence.tokens[k].kind == "word"]
    return sum(k not in scope.sentence.idle for k in before) <= 1


def _denied(scope: Scope, cue: Cue) -> bool:
    return any(c.end <= cue.start and _only_idle(scope, c.end, cue.start) for c in scope.of("negation"))


def _doubted(scope: Scope, mention: Mention) -> frozenset[int]:
    """Doubt in the part, a condition `whether`, or a question mark behind the part."""
    covering = _covering(scope, mention, "uncertainty")
    last = len(scope.sentence.tokens) - 1
    asked = scope.sentence.tokens[last].stem == "?" and scope.parts[last] == scope.parts[max(mention.tokens)]
    return covering | (frozenset({last}) if asked else _NONE)
