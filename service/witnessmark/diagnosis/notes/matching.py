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

from typing_extensions import TypeAliasType

from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.negation import Scope, cues, scope
from witnessmark.diagnosis.notes.numbers_old import readings
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
_DENIED: dict[ReportState, tuple[ReportState, float]] = {
    "present": ("absent", 1.0),
    "absent": ("present", 0.75),
    "low": ("normal", 0.85),
    "high": ("normal", 0.85),
}
"""What a denied state turns into, and how far that can be relied on: `not high` may still be low."""

UnknownBecause = TypeAliasType("UnknownBecause", Literal["not checked", "doubtful", "denied in part"])
"""Why the state of a finding is unknown, though the note speaks of it."""


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Words of the note: characters `start` to `end`, end not included."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Match:
    """One finding (or normal, which stands for the absence of several) as the note reports it.

    score: 0..1, how well the wording fits; not a probability. words: what it rests on. negation: words that deny it.
    doubt: words that make it uncertain or say that nobody looked. unknown_because: why, where the state is unknown.
    quantity, value: the reading behind it and its value in SI, for `Case.readings`; None where there is no number or
    its unit is not certain.
    """

    finding: str
    state: ReportState
    score: float
    words: tuple[Excerpt, ...]
    negation: tuple[Excerpt, ...] = ()
    doubt: tuple[Excerpt, ...] = ()
    unknown_because: UnknownBecause | None = None
    quantity: str | None = None
    value: float | None = None


@dataclass(frozen=True, slots=True)
class NoteReading:
    """What a note says. candidates: heard, but below the threshold. unmatched: sentences that gave no match."""

    matches: tuple[Match, ...]
    candidates: tuple[Match, ...]
    unmatched: tuple[Excerpt, ...]

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
    matches: list[Match] = []
    unmatched: list[Excerpt] = []
    for sentence in sentences(tokens(text, words.lexicon), words):
        of_sentence = _of_sentence(sentence, text, words)
        matches.extend(of_sentence)
        if not any(m.score >= THRESHOLD for m in of_sentence):
            unmatched.extend(_whole(sentence, text))
    merged = _merged(matches)
    settled = {m.finding for m in merged if m.score >= THRESHOLD}
    return NoteReading(
        matches=tuple(m for m in merged if m.score >= THRESHOLD),
        candidates=tuple(m for m in merged if m.score < THRESHOLD and m.finding not in settled),
        unmatched=tuple(unmatched),
    )


def alarms(matches: Iterable[Match]) -> tuple[SafetyNotice, ...]:
    """The safety rules of the diagnosis that the matches fire, doubtful ones included; never out-voted by a score."""
    signs = {m.finding for m in matches if m.state in _SIGNS or m.unknown_because == "doubtful"}
    fired = ((rule, tuple(key for key in rule.when.any_of if key in signs)) for rule in knowledge().safety)
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
    statements = believed(best_first([*stated, *numbers]), sentence)
    covered = {finding for hit in statements for finding, _ in hit.pattern.targets}
    topics = [
        hit for hit in everything if hit.pattern.topic and not covered.issuperset(t[0] for t in hit.pattern.targets)
    ]
    scopes = [(hit, scope(sentence, present, hit)) for hit in (*statements, *topics)]
    return [
        match
        for hit, applies in scopes
        if not hit.pattern.topic or applies.unchecked
        for match in _matches(hit, applies, sentence, text)
        if match.score >= FAINTEST
    ]


def _matches(hit: Hit, applies: Scope, sentence: Sentence, text: str) -> Iterator[Match]:
    for finding, stated in hit.pattern.targets:
        state, factor, unknown = _state(stated, applies, single=len(hit.pattern.targets) == 1)
        yield Match(
            finding=finding,
            state=state,
            score=round(hit.score * factor * applies.factor, 3),
            words=_spans(sentence, hit.tokens, text),
            negation=_spans(sentence, applies.denials, text),
            doubt=_spans(sentence, applies.doubts | applies.unchecked, text),
            unknown_because=unknown,
            quantity=hit.quantity,
            value=hit.value,
        )


def _state(stated: ReportState, applies: Scope, *, single: bool) -> tuple[ReportState, float, UnknownBecause | None]:
    """The state after denial and doubt, the factor on the score, and why it is unknown.

    Denying that several things are in order says only that one of them is not, so it leaves each unknown.
    """
    if applies.unchecked:
        return "unknown", 1.0, "not checked"
    if applies.doubtful:
        return "unknown", _DOUBTED, "doubtful"
    if not applies.denied:
        return stated, 1.0, None
    if stated in _DENIED and (single or stated != "absent"):
        return *_DENIED[stated], None
    return "unknown", _UNCLEAR, "denied in part"


def _spans(sentence: Sentence, chosen: Iterable[int], text: str) -> tuple[Excerpt, ...]:
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
    return tuple(Excerpt(text[a:b], a, b) for a, b in spans)


def _whole(sentence: Sentence, text: str) -> Iterator[Excerpt]:
    words = [token for token in sentence.tokens if token.kind == "word"]
    if words:
        yield Excerpt(text[words[0].start : words[-1].end], words[0].start, words[-1].end)


def _merged(matches: Iterable[Match]) -> list[Match]:
    """One match for a finding and state, the best; what is certain outweighs "unknown" of the same finding."""
    best: dict[tuple[str, ReportState], Match] = {}
    for match in matches:
        other = best.get((match.finding, match.state))
        if other is None or match.score > other.score:
            best[(match.finding, match.state)] = match
    certain = {f for (f, state), m in best.items() if state != "unknown" and m.score >= THRESHOLD}
    return sorted(
        (m for (f, state), m in best.items() if state != "unknown" or f not in certain),
        key=lambda m: (m.words[0].start, m.finding, m.state),
    )
