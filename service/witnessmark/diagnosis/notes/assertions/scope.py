"""A clause with the findings named in it and the cue words that stand around them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from witnessmark.diagnosis.notes.assertions.cue_rows import MARK, CueClass
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.matches import THRESHOLD
from witnessmark.diagnosis.notes.mentions import Clause, Mention, Sentence

_LEADING = frozenset({"just", "so", "ever", "yet", "at", "all", "any", "of", "the", "a", "an", "to", "on", "in", "by"})
NONE = frozenset[int]()
NOBODY = Told()
"""The note tells no numbered machines apart."""
_YEARS = range(1990, 2040)
_SHORT = (0, 39)
"""Years as they are written in full, and behind an apostrophe."""


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


@dataclass(frozen=True, eq=False)
class Scope:
    """A clause with all that is named in it and all its cues. told: of which numbered machine its words are.

    following: the sentence behind it.
    """

    clause: Clause
    mentions: tuple[Mention, ...]
    told: Told = NOBODY
    following: Sentence | None = None

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
    def parts(self) -> tuple[int, ...]:
        """For each token the number of its part: parts end at pauses, at words like `but`, and at the next machine."""
        ends = {cue.start for cue in self.of("termination")} | (self.told.starts - {0})
        numbers, part = [], 0
        for k, token in enumerate(self.sentence.tokens):
            part += k in ends or (token.kind == "pause" and token.stem != ":")
            numbers.append(part)
        return tuple(numbers)

    @cached_property
    def firm(self) -> list[Mention]:
        """The mentions that are believed, or danger to people, and say something."""
        return [m for m in self.mentions if (m.score >= THRESHOLD or m.hazard) and not m.topic]

    @cached_property
    def misread(self) -> list[Mention]:
        """Mentions that take a denial for their own though it is another's: `no oil` in `no oil added`."""
        denials = [cue.tokens for cue in self.of("negation")]
        return [
            m
            for m in self.firm
            if not m.hazard
            and any(cue <= m.tokens for cue in denials)
            and any(
                o.tokens & m.tokens and max(o.tokens) > max(m.tokens) > min(o.tokens) - 1 >= min(m.tokens)
                for o in self.firm
            )
        ]

    @cached_property
    def owned(self) -> frozenset[int]:
        """Tokens that belong to a finding's own words."""
        return NONE.union(*(m.tokens for m in self.firm if m not in self.misread))

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

    @cached_property
    def joints(self) -> frozenset[int]:
        """Tokens that only lead on: marks, and words that may stand inside a wording."""
        tokens = self.sentence.tokens
        return frozenset(k for k, t in enumerate(tokens) if t.kind in {"pause", "sign"} or t.stem in _LEADING)

    def named(self, tokens: Iterable[int]) -> bool:
        """Whether some finding is named within these tokens."""
        within = frozenset(tokens)
        return any(m.tokens <= within for m in self.mentions)

    def weighing(self, mention: Mention) -> frozenset[int]:
        """The words that say something of the thing; all of them where only the thing is named."""
        return mention.tokens - self.sentence.topics or mention.tokens


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


_PLAIN = frozenset(
    {"closing-negation", "link", "own-target", "modifier", "perception", "machine", "done", "termination", "replaced"}
    | {"until", "superlative", "unlike-ever", "belittling", "affirming", "affirming-end", "reported-condition"}
    | {"asking", "beside", "hearsay"}
)
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


def covering_cues(scope: Scope, mention: Mention, *kinds: CueClass) -> frozenset[int]:
    """Tokens of cues of these classes in the same part that are no words of the mention itself."""
    return NONE.union(
        *(
            cue.tokens
            for cue in scope.of(*kinds)
            if scope.part(cue) & mention.tokens and not cue.tokens & mention.tokens
        )
    )


def meaning(scope: Scope, start: int, end: int) -> int:
    """How many words with a meaning stand here."""
    return sum(k not in scope.sentence.idle for k in range(start, end))


def only_idle(scope: Scope, start: int, end: int) -> bool:
    """Whether no word here means anything by itself."""
    return all(k in scope.sentence.idle for k in range(start, end))
