"""Plain words of a job note to findings: which are reported present, absent, low, normal or high, and which unknown.

`match` returns what the wording of knowledge/phrases.toml supports; `read_note` also returns what was heard but not
believed (candidates below the threshold) and the sentences nothing was taken from. Deterministic, no model, no network:
tokens with spelling correction, patterns of concepts, scope of denial and doubt, numbers held against the same
catalogue of readings that the engine uses. Method: concept and scope rules in the line of NegEx (Chapman et al. 2001,
Journal of Biomedical Informatics 34(5)), our own rules and wording. A match is a proposal: show it to the technician,
who confirms it, before it becomes evidence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from witnessmark.diagnosis.case import State
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.negation import Scope, cues, scope
from witnessmark.diagnosis.notes.numbers import readings
from witnessmark.diagnosis.notes.scoring import THRESHOLD, Hit, Sentence, believed, best_first, hits, sentences
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import Vocabulary, vocabulary
from witnessmark.diagnosis.result import SafetyNotice
from witnessmark.errors import InputError

LONGEST = 20_000
"""Characters of a note that are read."""
FAINTEST = 0.35
"""Score below which not even a candidate is shown."""
_DOUBTED, _UNCLEAR = 0.9, 0.5
_SIGNS = frozenset({"present", "low", "high"})
_DENIED: dict[State, tuple[State, float]] = {
    "present": ("absent", 1.0),
    "absent": ("present", 0.75),
    "low": ("normal", 0.85),
    "high": ("normal", 0.85),
}
"""What a denied state turns into, and how far that can be relied on: `not high` may still be low."""


Unknown = Literal["not checked", "doubtful", "denied in part"]


@dataclass(frozen=True, slots=True)
class Words:
    """Words of the note: characters `start` to `end`, end not included."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Match:
    """One finding (or normal, which stands for the absence of several) as the note reports it.

    score: 0..1, how well the wording fits; not a probability. words: what it rests on. negation: words that deny it.
    doubt: words that make it uncertain or say that nobody looked. unknown: why, where the state is unknown.
    quantity, value: the reading behind it and its value in SI, for `Case.readings`; None where there is no number or
    its unit is not certain.
    """

    finding: str
    state: State
    score: float
    words: tuple[Words, ...]
    negation: tuple[Words, ...] = ()
    doubt: tuple[Words, ...] = ()
    unknown: Unknown | None = None
    quantity: str | None = None
    value: float | None = None


@dataclass(frozen=True, slots=True)
class NoteReading:
    """What a note says. candidates: heard, but below the threshold. unmatched: sentences that gave no match."""

    matches: tuple[Match, ...]
    candidates: tuple[Match, ...]
    unmatched: tuple[Words, ...]

    @property
    def contradictory(self) -> tuple[str, ...]:
        """Findings that the note reports in more than one state."""
        seen = [m.finding for m in self.matches]
        return tuple(dict.fromkeys(finding for finding in seen if seen.count(finding) > 1))


def match(text: str) -> tuple[Match, ...]:
    """The findings of a job note of at most 20,000 characters, in the order of the note. InputError if longer."""
    return read_note(text).matches


def read_note(text: str) -> NoteReading:
    """Matches, candidates below the threshold, and the sentences that gave no match. InputError (text) if too long."""
    if len(text) > LONGEST:
        raise InputError("text", "longer than a job note", f"at most {LONGEST:,} characters")
    words = vocabulary()
    found: list[Match] = []
    unmatched: list[Words] = []
    for sentence in sentences(tokens(text, words.lexicon), words):
        here = _of_sentence(sentence, text, words)
        found.extend(here)
        if not any(m.score >= THRESHOLD for m in here):
            unmatched.extend(_whole(sentence, text))
    merged = _merged(found)
    settled = {m.finding for m in merged if m.score >= THRESHOLD}
    return NoteReading(
        matches=tuple(m for m in merged if m.score >= THRESHOLD),
        candidates=tuple(m for m in merged if m.score < THRESHOLD and m.finding not in settled),
        unmatched=tuple(unmatched),
    )


def alarms(matches: Iterable[Match]) -> tuple[SafetyNotice, ...]:
    """The safety rules of the diagnosis that the matches fire, doubtful ones included; never out-voted by a score."""
    signs = {m.finding for m in matches if m.state in _SIGNS or m.unknown == "doubtful"}
    fired = ((rule, tuple(key for key in rule.any_of if key in signs)) for rule in knowledge().safety)
    return tuple(
        SafetyNotice(rule.id, rule.text, rule.cautions, rule.forbids, because, rule.source)
        for rule, because in fired
        if because
    )


def _of_sentence(sentence: Sentence, text: str, words: Vocabulary) -> list[Match]:
    present = cues(sentence)
    everything = [hit for hit in hits(sentence, words) if hit.score >= FAINTEST]
    stated = [hit for hit in everything if not hit.pattern.topic and not hit.pattern.quantity]
    numbers = readings(sentence, [hit for hit in everything if hit.pattern.quantity], words)
    said = believed(best_first([*stated, *numbers]), sentence)
    spoken = {finding for hit in said for finding, _ in hit.pattern.targets}
    asked = [
        hit for hit in everything if hit.pattern.topic and not spoken.issuperset(t[0] for t in hit.pattern.targets)
    ]
    scopes = [(hit, scope(sentence, present, hit)) for hit in (*said, *asked)]
    return [
        one
        for hit, applies in scopes
        if not hit.pattern.topic or applies.unchecked
        for one in _matches(hit, applies, sentence, text)
        if one.score >= FAINTEST
    ]


def _matches(hit: Hit, applies: Scope, sentence: Sentence, text: str) -> Iterator[Match]:
    for finding, said in hit.pattern.targets:
        state, factor, unknown = _state(said, applies, single=len(hit.pattern.targets) == 1)
        yield Match(
            finding=finding,
            state=state,
            score=round(hit.score * factor * applies.factor, 3),
            words=_spans(sentence, hit.tokens, text),
            negation=_spans(sentence, applies.denials, text),
            doubt=_spans(sentence, applies.doubts | applies.unchecked, text),
            unknown=unknown,
            quantity=hit.quantity,
            value=hit.value,
        )


def _state(said: State, applies: Scope, *, single: bool) -> tuple[State, float, Unknown | None]:
    """The state after denial and doubt, the factor on the score, and why it is unknown.

    Denying that several things are in order says only that one of them is not, so it leaves each unknown.
    """
    if applies.unchecked:
        return "unknown", 1.0, "not checked"
    if applies.doubtful:
        return "unknown", _DOUBTED, "doubtful"
    if not applies.denied:
        return said, 1.0, None
    if said in _DENIED and (single or said != "absent"):
        return *_DENIED[said], None
    return "unknown", _UNCLEAR, "denied in part"


def _spans(sentence: Sentence, chosen: Iterable[int], text: str) -> tuple[Words, ...]:
    """The characters of these tokens; neighbours run together."""
    spans: list[tuple[int, int]] = []
    last = -2
    for k in sorted(chosen):
        token = sentence.tokens[k]
        if k == last + 1:
            spans[-1] = (spans[-1][0], max(token.end, spans[-1][1]))
        else:
            spans.append((token.start, token.end))
        last = k
    return tuple(Words(text[a:b], a, b) for a, b in spans)


def _whole(sentence: Sentence, text: str) -> Iterator[Words]:
    told = [token for token in sentence.tokens if token.kind == "word"]
    if told:
        yield Words(text[told[0].start : told[-1].end], told[0].start, told[-1].end)


def _merged(found: Iterable[Match]) -> list[Match]:
    """One match for a finding and state, the best; what was said certainly outweighs "unknown" of the same finding."""
    best: dict[tuple[str, State], Match] = {}
    for one in found:
        held = best.get((one.finding, one.state))
        if held is None or one.score > held.score:
            best[(one.finding, one.state)] = one
    certain = {f for (f, state), m in best.items() if state != "unknown" and m.score >= THRESHOLD}
    return sorted(
        (m for (f, state), m in best.items() if state != "unknown" or f not in certain),
        key=lambda m: (m.words[0].start, m.finding, m.state),
    )
