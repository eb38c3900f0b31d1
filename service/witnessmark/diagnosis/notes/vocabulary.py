"""The wording that points to findings, loaded from knowledge/phrases.toml (checked row by row) and compiled once.

A concept is a name for words that mean the same (`OIL`: oil, lubricant, lube). A pattern is a row of slots that must
all stand near one another in a sentence: `OIL DARK|burnt` is a word of OIL and either a word of DARK or `burnt`, in any
order; `>` before a slot asks that it follow the one before. Names in capitals are concepts, all else is a literal word.
A topic is a thing one can report on: from it come `TOPIC OK` (absent, or normal), for three-way findings `TOPIC LOW`
and `TOPIC HIGH`, for the findings under `bad` `TOPIC BAD`, and what "not checked" refers to.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from types import MappingProxyType

from witnessmark import data
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.notes.assertions.cue_rows import cue_concepts
from witnessmark.diagnosis.notes.beside.fact_rows import fact_concepts
from witnessmark.diagnosis.notes.danger_rows import DANGER, danger_concepts, foreign_danger
from witnessmark.diagnosis.notes.misspelt import Slips, slips, trade_words
from witnessmark.diagnosis.notes.phrase_rows import PHRASES, SPANISH, OtherLanguage, PhraseRow, Phrases, TopicRow
from witnessmark.diagnosis.notes.tokens import Lexicon, one_spelling, stem

Target = tuple[str, ReportState]
"""A finding, or a normal, and the state that a pattern puts it in."""


@dataclass(frozen=True, slots=True)
class Slot:
    """Names of which one must be found; `after_previous` if it must follow the slot before."""

    names: tuple[str, ...]
    after_previous: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """Slots that must all be found, and what they say together. `anchor` is the slot with the fewest wordings.

    A topic says nothing by itself; it matters only where the note says that nobody looked. A tight one must stand
    within a clause: no comma between its words. A firm one the learned reader does not judge again.
    """

    text: str
    targets: tuple[Target, ...]
    slots: tuple[Slot, ...] = ()
    weight: float = 1.0
    anchor: int = 0
    topic: bool = False
    tight: bool = False
    firm: bool = False


@dataclass(slots=True)
class Branch:
    """A tree of wordings, stem by stem. names: concepts of which the stems so far are a wording."""

    names: list[str] = field(default_factory=list)
    further: dict[str, Branch] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Everything compiled. wordings: of all concepts. patterns: by the anchor's names."""

    lexicon: Lexicon
    wordings: Branch
    patterns: Mapping[str, tuple[Pattern, ...]]
    topics: frozenset[str]
    fillers: frozenset[str]
    articles: frozenset[str]


@cache
def vocabulary() -> Vocabulary:
    """The wording that ships with the package."""
    concepts = {**cue_concepts(), **danger_concepts(), **fact_concepts()}
    misspelt = (DANGER().alarm.spelt, DANGER().alarm.real)
    return compiled(PHRASES(), concepts, SPANISH(), misspelt, foreign_danger())


@cache
def trade() -> Slips:
    """The long words of the wording that ships, of which one slip is heard."""
    wordings = (*PHRASES().concepts.values(), DANGER().alarm.spelt)
    return trade_words(words for listed in wordings for words in listed)


@data.checked
def check_phrases() -> None:
    """The shipped wording uses concepts, findings and readings that there are. Raises DataError."""
    vocabulary()
    if wrong := [*dangling(PHRASES(), knowledge(), SPANISH())]:
        raise data.DataError(wrong)


def dangling(file: Phrases, known: Knowledge, other: OtherLanguage) -> Iterator[str]:
    """What the rows name that the knowledge does not have, and concepts of the other language that the file has not."""
    reportable = known.findings.keys() | known.normals.keys()
    named = [key for row in (*file.phrase, *other.phrase) for key in row.findings]
    named += [key for row in file.topic for key in (*row.findings, *row.bad)]
    named += [key for row in file.instead for key in (row.finding, *row.of)]
    yield from (f"phrases.toml, spanish.toml: unknown finding {key}" for key in sorted(set(named) - reportable))
    foreign = sorted(other.concepts.keys() - file.concepts.keys())
    yield from (f"spanish.toml: unknown concept {key}" for key in foreign)


def compiled(
    file: Phrases,
    more: Mapping[str, Iterable[str]] = MappingProxyType({}),
    other: OtherLanguage | None = None,
    misspelt: tuple[Iterable[str], Iterable[str]] = ((), ()),
    outside: Mapping[str, Iterable[str]] = MappingProxyType({}),
) -> Vocabulary:
    """Compile the file. Raises DataError naming a concept that a pattern uses and nobody defined.

    more: concepts of other files, looked up in the same pass, that no pattern of this file uses. other: words
    of another language; no misspelt word is taken for one of them. misspelt: words of which one slip is heard, and
    those near them that are none. outside: more of another language.
    """
    concepts: dict[str, tuple[str, ...]] = {**file.concepts, "DECOY": file.decoys.words}
    short = {key: tuple(words.split()) for key, words in file.words.abbreviations.items()}
    own = _patterns((*_phrases(file.phrase), *_topics(file.topic)), short)
    patterns = _patterns(_phrases(other.phrase), short) if other else []
    wordings = _wordings({**concepts, **more}, _named(own), short)
    foreign = _wordings({**dict.fromkeys(concepts, ()), **other.concepts}, _named(patterns), short) if other else []
    foreign += _wordings(outside, (), short)
    lists = file.words.lists
    plain = {stem(word.lower()) for word in lists.plain.split()} | {word for stems, _ in foreign for word in stems}
    known = slips(*misspelt)
    lexicon = Lexicon(
        abbreviations=short,
        stems=frozenset(word for stems, _ in wordings for word in stems),
        plain=frozenset(plain),
        alarm=known.meant,
        same=known.sounds_as,
    )
    return Vocabulary(
        lexicon=lexicon,
        wordings=_tree(sorted({*wordings, *foreign})),
        patterns=_by_anchor([*own, *patterns], {name: len(words) for name, words in concepts.items()}),
        topics=frozenset(file.heads.names),
        fillers=frozenset(stem(word) for word in lists.function.split()),
        articles=frozenset(stem(word) for word in lists.articles.split()),
    )


def _patterns(patterns: Iterable[Pattern], short: Mapping[str, tuple[str, ...]]) -> list[Pattern]:
    return [replace(pattern, slots=_slots(pattern.text, short)) for pattern in patterns]


def _named(patterns: Iterable[Pattern]) -> set[str]:
    return {name for pattern in patterns for slot in pattern.slots for name in slot.names}


def _phrases(rows: Iterable[PhraseRow]) -> Iterator[Pattern]:
    for row in rows:
        targets: tuple[Target, ...] = tuple((finding, row.state) for finding in row.findings)
        for words in row.words:
            yield Pattern(words, targets, weight=row.weight, tight=row.tight, firm=row.firm)


def _topics(rows: Iterable[TopicRow]) -> Iterator[Pattern]:
    for row in rows:
        says: list[tuple[str, tuple[str, ...], ReportState]] = [
            ("|".join(row.ok), row.findings if row.ok else (), "normal" if row.three_way else "absent"),
            ("LOW", row.findings if row.three_way else (), "low"),
            ("HIGH", row.findings if row.three_way else (), "high"),
            ("BAD", row.bad, "present"),
        ]
        for words in row.words:
            yield Pattern(words, tuple((finding, "unknown") for finding in row.findings), topic=True)
            for suffix, findings, state in says:
                if findings:
                    targets = tuple((finding, state) for finding in findings)
                    yield Pattern(f"{words} {suffix}", targets, weight=row.weight, tight=True)


def _slots(text: str, short: Mapping[str, tuple[str, ...]]) -> tuple[Slot, ...]:
    parts = [(part.removeprefix(">"), part.startswith(">")) for part in text.split()]
    return tuple(Slot(tuple(_name(n, short) for n in names.split("|")), after) for names, after in parts)


def _name(name: str, short: Mapping[str, tuple[str, ...]]) -> str:
    """A concept as it is, a literal word as it comes out of the tokeniser."""
    return name if name.isupper() else "".join(stem(word) for word in short.get(name, (name,)))


_Wording = tuple[tuple[str, ...], str]


def _wordings(
    concepts: Mapping[str, Iterable[str]], used: Iterable[str], short: Mapping[str, tuple[str, ...]]
) -> list[_Wording]:
    """Stems and concept of every wording; a literal word of a pattern is its own concept."""
    wordings = {(_stems(text, short), name) for name, texts in concepts.items() for text in texts}
    for name in sorted(used):
        if name.isupper() and name not in concepts:
            raise data.DataError([f"phrases.toml: a pattern uses the concept {name}, which is not defined"])
        if not name.isupper():
            wordings.add(((name,), name))
    return sorted(wordings)


def _tree(wordings: Iterable[_Wording]) -> Branch:
    root = Branch()
    for stems, name in wordings:
        branch = root
        for word in stems:
            branch = branch.further.setdefault(word, Branch())
        branch.names.append(name)
    return root


def _stems(text: str, short: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(stem(part) for word in one_spelling(text).split() for part in short.get(word, (word,)))


def _by_anchor(patterns: Iterable[Pattern], counts: Mapping[str, int]) -> dict[str, tuple[Pattern, ...]]:
    groups: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        sizes = [sum(counts.get(name, 1) for name in slot.names) for slot in pattern.slots]
        anchor = sizes.index(min(sizes))
        for name in pattern.slots[anchor].names:
            groups.setdefault(name, []).append(replace(pattern, anchor=anchor))
    return {name: tuple(group) for name, group in groups.items()}
