"""Plain words of a job note to findings: which are reported present, absent, low, normal or high, and which unknown.

`read_note` gives what the wording supports (matches), what was heard but not believed (candidates below the
threshold), the sentences nothing was taken from, and whether the writer should be called back. Deterministic, no
network. The way: text to clauses; danger first (danger.py); mentions of findings from wording and numbers
(mentions.py); how each is told (assertion.py, subjects.py); a number decides over a word; one match a finding and
state. A match is a proposal: show it to the technician, who confirms it, before it becomes evidence.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from witnessmark.diagnosis.case import Machine, ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.apart import Others
from witnessmark.diagnosis.notes.assertions.assertion import Assertion, Kind, assertion, tells_fault
from witnessmark.diagnosis.notes.assertions.scope import Scope
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.beside.explained import Explained, characters, ended, explained
from witnessmark.diagnosis.notes.beside.fact_rows import KEEPS_GOODS
from witnessmark.diagnosis.notes.beside.facts import Fact, facts, told_to_run, unmixed
from witnessmark.diagnosis.notes.beside.hot_protector import protector
from witnessmark.diagnosis.notes.beside.language import ENGLISH, UNCERTAIN, Language, language_of
from witnessmark.diagnosis.notes.beside.markup import words_alone
from witnessmark.diagnosis.notes.beside.scenes import scenes
from witnessmark.diagnosis.notes.beside.told_numbers import of_any_machine, of_the_unnamed, of_this_machine
from witnessmark.diagnosis.notes.calling import CallBack, Listening, alarming
from witnessmark.diagnosis.notes.danger import hazards
from witnessmark.diagnosis.notes.danger_rows import as_ruled
from witnessmark.diagnosis.notes.errands import besides, errand
from witnessmark.diagnosis.notes.forms import answered
from witnessmark.diagnosis.notes.joining import joined
from witnessmark.diagnosis.notes.matches import FAINTEST, THRESHOLD, Excerpt, Match, UnknownBecause
from witnessmark.diagnosis.notes.mentions import Clause, Mention, Sentence, from_numbers, not_outspoken
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard, Ruled
from witnessmark.diagnosis.notes.model.store import shipped
from witnessmark.diagnosis.notes.numbers import (
    Implied,
    Number,
    Values,
    belied,
    disproved,
    fields_of,
    implied,
    misheard,
    numbers_in,
    of_number,
    only_to_ground,
    shares_of,
)
from witnessmark.diagnosis.notes.rooms import warm_places
from witnessmark.diagnosis.notes.scoring import believed, best_first, clauses_of, from_hits, hits
from witnessmark.diagnosis.notes.telling import is_danger, telling
from witnessmark.diagnosis.notes.vocabulary import Vocabulary, trade, vocabulary
from witnessmark.diagnosis.result import SafetyNotice
from witnessmark.errors import InputError

ANY_MACHINE = Machine()  # of which nothing is known
LONGEST = 20_000
"""Characters of a note that are read."""
_DOUBTED, _UNCLEAR = 0.9, 0.5
_SIGNS = frozenset({"present", "low", "high"})
_DENIED: dict[ReportState, tuple[ReportState, float]] = {
    "present": ("absent", 1.0),
    "absent": ("present", 0.75),
    "low": ("normal", 0.85),
    "high": ("normal", 0.85),
}
"""What a denied state turns into, and how far that can be relied on: `not high` may still be low."""

_BECAUSE: dict[Kind, UnknownBecause] = {
    "history": "history",
    "doubt": "doubtful",
    "other machine": "other machine",
    "advice": "advice or condition",
    "not checked": "not checked",
    "unclear": "unclear",
}


@dataclass(frozen=True, slots=True)
class NoteReading:
    """What a note says. candidates: heard, but below the threshold. unmatched: sentences that gave no match.

    readings: SI values by field of the readings of a diagnosis; one value each, or three. keeps_goods: it speaks of a
    cooler or a freezer, whose goods are lost once it does not cool. shares: of a rating, `45 % over plate`. plights: of
    people that it tells of, by id. unease: how much the learned reader takes it for danger, 0..1, heard or not.
    """

    matches: tuple[Match, ...]
    candidates: tuple[Match, ...]
    unmatched: tuple[Excerpt, ...]
    call_back: CallBack | None
    language: Language
    facts: tuple[Fact, ...]
    readings: Mapping[str, Values]
    keeps_goods: bool = False
    runs: bool = False
    shares: Mapping[str, Values] = field(default_factory=dict)
    plights: tuple[str, ...] = ()
    unease: float = 0.0

    @property
    def contradictory(self) -> tuple[str, ...]:
        """Findings that the note reports in more than one state."""
        seen = [m.finding for m in self.matches]
        return tuple(dict.fromkeys(finding for finding in seen if seen.count(finding) > 1))


def match(text: str) -> tuple[Match, ...]:
    """The findings of a job note of at most 20,000 characters, in the order of the note. InputError if longer."""
    return read_note(text).matches


def read_note(text: str, machine: Machine = ANY_MACHINE) -> NoteReading:
    """Matches, candidates, what gave no match, facts and a call back.

    machine: what is known of it; a finding that it cannot have becomes a candidate that says so. InputError (text) if
    the note is too long, (machine.compressor) if the knowledge does not cover such a machine.
    """
    if len(text) > LONGEST:
        raise InputError("text", "longer than a job note", f"at most {LONGEST:,} characters")
    text = answered(words_alone(text))
    clauses, language, numbers = clauses_of(text), language_of(text), numbers_in(text)
    told_of = [*_told_of(clauses, of_the_unnamed(numbers, [c for c, _ in clauses]), machine), *scenes(clauses)]
    why = explained(text, [(m.finding, characters(m)) for m in told_of if is_danger(m.finding) and alarming(m)])
    foreign = language.name not in {ENGLISH, UNCERTAIN}
    listening, others_parts = Listening(clauses, why.alarm, foreign), Others([clause for clause, _ in clauses])
    so_far = _of_compressor(_merged(m for m in told_of if not why.has(m.finding, characters(m))), others_parts)
    ruled = [m for m in so_far if not _belied(m, numbers, text)]
    heard = shipped().hear(text, telling(ruled, numbers), trade().meant) if language.read else []
    unsaid = (misheard(numbers) | only_to_ground(text, numbers)) - {m.finding for m in ruled}
    unsaid |= unmixed(text)
    heard = [one for one in listening.believable(heard) if one.finding not in unsaid]
    heard = [one for one in heard if not belied((one.finding, one.outcome), one.named, numbers, text)]
    heard = [one for one in heard if not others_parts.has(one.finding, one.named, denied=one.outcome == "absent")]
    heard = [one for one in heard if not _explained(one, why, listening)]
    plain = listening.plain(heard)
    merged = _with_learned(ruled, heard, text, plain) if language.read else [*_unread(ruled, told=language.danger)]
    standing = protector(merged, text)
    fitting, others = _by_machine(ended(standing) if why.ended else standing, machine.judged())
    settled = {m.finding for m in fitting if m.score >= THRESHOLD}
    spoken = sorted(words.start for m in merged if m.score >= THRESHOLD for words in m.words)
    unmatched = [c.sentence for c, _ in clauses if not _any_within(spoken, c.sentence)]
    return NoteReading(
        matches=tuple(m for m in fitting if m.score >= THRESHOLD),
        candidates=(*(m for m in fitting if m.score < THRESHOLD and m.finding not in settled), *others),
        unmatched=tuple(excerpt for sentence in unmatched for excerpt in _whole(sentence, text)),
        call_back=listening.call_back(heard, shipped().level if heard else 1.0, merged, language),
        language=language,
        facts=facts([c.sentence for c, _ in clauses], text),
        readings=fields_of(of_this_machine(numbers, clauses)),
        shares=shares_of(of_any_machine(numbers, clauses)),
        plights=listening.plights,
        unease=max((one.score for one in heard if one.finding == DANGER), default=0.0),
        keeps_goods=any(KEEPS_GOODS in clause.sentence.places for clause, _ in clauses),
        runs=told_to_run(clause.sentence for clause, _ in clauses),
    )


def _belied(match: Match, numbers: Sequence[Number], text: str) -> bool:
    """Whether words that a number belies are all that tells it; danger to people is never taken away so."""
    return not is_danger(match.finding) and of_number(match.finding, match.state, characters(match), numbers, text)


def read_call(note: str, machine: Machine) -> NoteReading:
    """A call, and where nothing certain is read of it, what it tells beside what it asks for.

    `yearly service please, the breaker keeps tripping`: the words of an errand stand between the fault and its reading.
    Excerpts stand where they are in the note. An errand holds no word of a fault: nothing is read of it.
    """
    reading = read_note(note, machine)
    if errand(note):
        return replace(reading, matches=(), candidates=(), call_back=None, readings={}, shares={})
    beside = besides(note)
    if beside == note or any(match.state != "unknown" for match in reading.matches):
        return reading
    again = read_note(beside, machine)
    return replace(again, facts=reading.facts) if again.matches else reading


def _of_compressor(found: Iterable[Match], others: Others) -> list[Match]:
    """Without what words alone say of another part than the compressor."""
    spans = ((m, [(words.start, words.end) for words in m.words]) for m in found)
    return [m for m, named in spans if m.quantity or not others.has(m.finding, named, denied=m.state == "absent")]


def ruled_matches(text: str) -> list[Match]:
    """What the rules of wording, numbers and scope take from a note, believed or not."""
    text = words_alone(text)
    return _ruled(clauses_of(text), numbers_in(text), ANY_MACHINE)


def plights_of(text: str) -> tuple[str, ...]:
    """Plights of people that a note tells of, by id (knowledge/triage.toml)."""
    return Listening(clauses_of(answered(words_alone(text)))).plights


def told_to_reader(text: str) -> list[Ruled]:
    """What the learned reader is told of a note of which the machine is not known."""
    numbers = numbers_in(text)
    return telling(_ruled(clauses_of(text), numbers, ANY_MACHINE), numbers)


def _ruled(clauses: Iterable[tuple[Clause, Told]], numbers: Sequence[Number], machine: Machine) -> list[Match]:
    return _merged(_told_of(clauses, numbers, machine))


def _told_of(clauses: Iterable[tuple[Clause, Told]], numbers: Sequence[Number], machine: Machine) -> list[Match]:
    """What the rules take from each clause, the same finding as often as it is told."""
    words, counted = vocabulary(), implied(numbers, machine.judged())
    told_of = [*clauses]
    behind = [*(clause.sentence for clause, _ in told_of[1:]), None]
    of_parts = (_of_clause(*one, words, counted, after) for one, after in zip(told_of, behind, strict=False))
    no = disproved(numbers)
    return [match for found in of_parts for match in found if match.finding not in no]


def _explained(one: Heard, why: Explained, listening: Listening) -> bool:
    """Whether what was learned sounds like danger for no other words than those that are explained."""
    if not why.rows or listening.plights or listening.suspected:
        return False
    return one.finding == DANGER or (is_danger(one.finding) and why.has(one.finding, one.named))


def _with_learned(ruled: Sequence[Match], heard: Sequence[Heard], text: str, plain: frozenset[str]) -> list[Match]:
    """What the learned reader makes of what the rules tell; danger and lost protection stand as the rules hear them."""
    kept = frozenset(m.finding for m in ruled if is_danger(m.finding) or _told_plainly(m))
    return [m for m in joined(ruled, heard, text, kept, plain) if m.score >= FAINTEST]


def _told_plainly(match: Match) -> bool:
    """Whether wording says that a finding is there which asks for a stop, however seldom the reader met such words."""
    return match.finding in as_ruled() and match.state == "present" and match.score >= THRESHOLD


def _any_within(places: Sequence[int], sentence: Sentence) -> bool:
    """Some of these characters (in order) lie in the sentence."""
    first = bisect_left(places, sentence.tokens[0].start)
    return first < len(places) and places[first] < sentence.tokens[-1].end


def _unread(found: Iterable[Match], *, told: bool) -> Iterator[Match]:
    """Of a note in a language that is not read only danger counts.

    told: how it is told is known; else nobody can say whether it is denied.
    """
    dangers = (m for m in found if is_danger(m.finding))
    yield from dangers if told else (replace(m, state="unknown", unknown_because="unclear") for m in dangers)


def _by_machine(found: Sequence[Match], machine: Machine) -> tuple[list[Match], list[Match]]:
    """Matches that the machine can have, and the others with the reason why it cannot."""
    fitting: list[Match] = []
    others: list[Match] = []
    for match in found:
        row = knowledge().findings.get(match.finding)
        if row is None or row.applies.to(machine):
            fitting.append(match)
        else:
            wanted = "; ".join(f"{part}: {', '.join(sorted(words))}" for part, words in row.applies.parts)
            others.append(replace(match, set_aside=f"only where {wanted}"))
    return fitting, others


def alarms(matches: Iterable[Match]) -> tuple[SafetyNotice, ...]:
    """The safety rules of the diagnosis that the matches fire, doubtful ones included; never out-voted by a score."""
    signs = {m.finding for m in matches if alarming(m)}
    rules = (rule for rule in knowledge().safety if rule.fluid != "flammable")
    fired = ((rule, tuple(key for key in rule.when.any_of if key in signs)) for rule in rules)
    return tuple(
        SafetyNotice(rule.id, rule.text, rule.cautions, rule.forbids, because, rule.source)
        for rule, because in fired
        if because
    )


def mentions(clause: Clause, words: Vocabulary, counted: Sequence[Implied] = ()) -> list[Mention]:
    """What the wording and the numbers of a clause name; topics last, where nothing else covers their findings."""
    everything = [hit for hit in hits(clause.sentence, words) if hit.score >= FAINTEST]
    statements = believed(best_first([hit for hit in everything if not hit.pattern.topic]), clause.sentence)
    numbers = [*from_numbers(clause, counted), *warm_places(clause)]
    covered = {finding for hit in statements for finding, _ in hit.pattern.targets} | {m.finding for m in numbers}
    topics = [
        hit for hit in everything if hit.pattern.topic and not covered.issuperset(t[0] for t in hit.pattern.targets)
    ]
    worded = from_hits(clause, [*statements, *topics])
    return [*worded, *not_outspoken(numbers, worded)]


def _of_clause(
    clause: Clause, by: Told, words: Vocabulary, numbers: Sequence[Implied], following: Sentence | None = None
) -> list[Match]:
    scope = Scope(clause, (*hazards(clause), *mentions(clause, words, numbers)), by, following)
    told_as = [(mention, assertion(scope, mention)) for mention in scope.mentions]
    matches = [
        (mention, _match(mention, how, clause, worst=bool(mention.tokens & by.open)))
        for mention, how in told_as
        if not mention.topic or how.kind == "not checked"
    ]
    counted = {(m.finding, match.state) for m, match in matches if m.number}
    overridden = {finding for finding, state in counted if state != "unknown"}
    alarming = {match.finding for mention, match in matches if mention.hazard and match.state == "present"}
    return [
        match
        for mention, match in matches
        if match.score >= FAINTEST
        and (mention.number or match.finding not in overridden)
        and not (match.state == "absent" and match.finding in alarming)
    ]


def _match(mention: Mention, how: Assertion, clause: Clause, *, worst: bool = False) -> Match:
    """worst: told of one of several machines, of which the one with a fault counts, whatever is told of the others."""
    state, factor, unknown = _state(mention, how)
    negation = how.words if how.kind == "absent" and not mention.number else frozenset[int]()
    return Match(
        finding=mention.finding,
        state=state,
        score=round(mention.score * factor * how.factor, 3),
        words=_spans(clause.sentence, mention.tokens, clause.text),
        negation=_spans(clause.sentence, negation, clause.text),
        doubt=_spans(clause.sentence, how.words - negation, clause.text),
        unknown_because=unknown,
        quantity=mention.quantity,
        value=mention.value,
        firm=how.sure or (mention.firm and state == mention.stated) or (worst and tells_fault(mention.finding, state)),
    )


def _state(mention: Mention, how: Assertion) -> tuple[ReportState, float, UnknownBecause | None]:
    """The state after assertion, the factor on the score, and why it is unknown.

    Denying that several things are in order says only that one of them is not, so it leaves each unknown. A denial
    beside a number is one of something else: the value stands.
    """
    if how.kind in _BECAUSE:
        return "unknown", _DOUBTED if how.kind != "not checked" else 1.0, _BECAUSE[how.kind]
    if how.kind == "present" or mention.number:
        return mention.stated, 1.0, None
    if mention.stated in _DENIED and (mention.single or mention.stated != "absent"):
        return *_DENIED[mention.stated], None
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
    """One match for a finding and state, the best; what is certain outweighs "unknown" of the same finding.

    Danger that is denied here and left open there stays open.
    """
    best: dict[tuple[str, ReportState], Match] = {}
    for match in matches:
        other = best.get((match.finding, match.state))
        if other is None or match.score > other.score:
            best[(match.finding, match.state)] = match
    certain = {f for (f, state), m in best.items() if state != "unknown" and m.score >= THRESHOLD}
    certain -= {f for (f, _), m in best.items() if is_danger(f) and m.state == "unknown" and alarming(m)}
    return sorted(
        (m for (f, state), m in best.items() if state != "unknown" or f not in certain),
        key=lambda m: (m.words[0].start, m.finding, m.state),
    )
