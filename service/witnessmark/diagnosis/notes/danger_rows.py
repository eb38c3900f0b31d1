"""The rows of knowledge/danger.toml, portuguese.toml and scenes.toml, and the concepts they add to the vocabulary."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, partial

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.reference import SourceId

MARK = "!"
"""Begins every concept of danger: the decoys of the wording do not hide it, and no other pattern uses it."""
SUSPECT = "~suspect"
"""Stands for a finding where people seem to be in trouble and nobody can say which: asks for a call back."""
PLIGHT = "~plight "
"""Stands, with the id of the plight, for a finding where people need words of their own on the phone."""
ALARMS = (f"{MARK}ALARM-WORD", f"{MARK}SOUNDING")
"""Concepts of an alarm and of its sounding."""
_OF_PEOPLE = (SUSPECT, PLIGHT)
ALARM, ALONE, NOT_HEARD, STRANGE = f"{MARK}~alarm", f"{MARK}~alone", f"{MARK}~not-heard", f"{MARK}~strange"


class SlotRow(Row):
    """Slots that must all stand within so many words that mean something."""

    words: tuple[str, ...]
    within: int


class HarmlessRow(SlotRow):
    """What sounds like danger and is none. firm: however near to one another words of danger stand."""

    firm: bool = False


class DangerRow(SlotRow):
    """What tells a hazard. faint: only a candidate, which fires its rule all the same.

    plain: so plain that the learned reader does not judge it again. alone: only where the sentence says nothing else.
    """

    finding: str
    faint: bool = False
    plain: bool = False
    alone: bool = False


class PlightRow(SlotRow):
    """What tells of people in a plight that asks for words of its own on the phone.

    plight: its id. finding: the danger that it plainly is; "" where it is none.
    """

    plight: str
    finding: str = ""


class OfGoods(Row):
    """An alarm that is one of temperature: concepts of goods in its clause; those of which no word is in the note."""

    finding: str
    goods: tuple[str, ...]
    unless: tuple[str, ...]


class AlarmWords(Row):
    """Words that ask for a call back where no danger was understood; `alone` where nothing was understood at all.

    not_heard: words of languages that are not read. grave: concepts whose words are grave once something else, as the
    learned reader, says that people are in danger. needs: concepts of which a word must stand in the clause before the
    learned reader is believed to hear the hazard; needs_if_faint: the same, where it hardly does; of_goods: an alarm
    that only says how warm it is. as_ruled:
    findings that are no danger and stand as the rules hear them, whatever was learned. rules_alone: hazards that the
    learned reader is never believed to hear. spelt: words of which one slip is heard; real: words near one of those.
    """

    words: tuple[str, ...]
    alone: tuple[str, ...]
    not_heard: tuple[str, ...]
    grave: tuple[str, ...]
    as_ruled: tuple[str, ...]
    rules_alone: tuple[str, ...]
    spelt: tuple[str, ...]
    real: tuple[str, ...]
    needs: dict[str, tuple[str, ...]]
    needs_if_faint: dict[str, tuple[str, ...]]
    of_goods: OfGoods


class Names(Row):
    """What makes a name of words with capitals: titles and roles before a person, streets, firms, their partners.

    streets_first, firms_first: before the name (`Calle`, `taqueria`). pleas: words that cry for help, beside which
    none is a name. verbs: what may stand right behind a firm.
    """

    titles: tuple[str, ...]
    roles: tuple[str, ...]
    streets: tuple[str, ...]
    streets_first: tuple[str, ...]
    firms: tuple[str, ...]
    firms_first: tuple[str, ...]
    partners: tuple[str, ...]
    verbs: tuple[str, ...]
    pleas: tuple[str, ...]


class Danger(Row):
    """The whole file."""

    source: SourceId
    reviewed: str
    concepts: dict[str, tuple[str, ...]]
    danger: tuple[DangerRow, ...]
    harmless: tuple[HarmlessRow, ...]
    suspect: tuple[SlotRow, ...]
    plight: tuple[PlightRow, ...] = ()
    alarm: AlarmWords
    names: Names


class OtherDanger(Row):
    """Danger in another language: more words of concepts, concepts of its own, and rows."""

    source: SourceId
    reviewed: str
    concepts: dict[str, tuple[str, ...]]
    danger: tuple[DangerRow, ...]
    plight: tuple[PlightRow, ...]
    harmless: tuple[HarmlessRow, ...]


class SceneRow(SlotRow):
    """What several sentences tell together. unless: concepts of which no word may stand in the note."""

    finding: str
    unless: tuple[str, ...] = ()


class SceneFile(Row):
    """The whole file: concepts in three languages, and rows. No misspelt word is taken for one of its words."""

    source: SourceId
    reviewed: str
    concepts: dict[str, tuple[str, ...]]
    scene: tuple[SceneRow, ...]


DANGER = data.table(PACKAGE, f"{FOLDER}/danger.toml", Danger)
PORTUGUESE = data.table(PACKAGE, f"{FOLDER}/portuguese.toml", OtherDanger)
SCENES = data.table(PACKAGE, f"{FOLDER}/scenes.toml", SceneFile)


@dataclass(frozen=True, slots=True)
class Scene:
    """Slots of concept names that may stand anywhere in a note, within so many of its words."""

    finding: str
    slots: tuple[tuple[str, ...], ...]
    within: int
    unless: tuple[str, ...]


@cache
def scenes_of() -> tuple[Scene, ...]:
    """Every row of what several sentences tell together."""
    return tuple(
        Scene(row.finding, tuple(names for names, _ in _slots(words)), row.within, tuple(MARK + n for n in row.unless))
        for row in SCENES().scene
        for words in row.words
    )


@dataclass(frozen=True, slots=True)
class Sign:
    """Slots of concept names, and whether a slot must follow the one before. finding: "" where harmless, then firm.

    alone: nothing else that means something may stand in the sentence.
    """

    finding: str
    slots: tuple[tuple[tuple[str, ...], bool], ...]
    within: int
    firm: bool = False
    faint: bool = False
    plain: bool = False
    alone: bool = False


@cache
def signs() -> tuple[Sign, ...]:
    """Every row of words: danger, harmless, what is suspect, and plights of people."""
    suspect = (Sign(SUSPECT, _slots(words), row.within) for row in DANGER().suspect for words in row.words)
    return (*_signs_of(DANGER()), *suspect, *_signs_of(PORTUGUESE()))


def _signs_of(file: Danger | OtherDanger) -> Iterator[Sign]:
    for row in file.danger:
        told = partial(Sign, row.finding, faint=row.faint, plain=row.plain, alone=row.alone)
        yield from (told(slots=_slots(words), within=row.within) for words in row.words)
    for plight in file.plight:
        if plight.finding:
            yield from (Sign(plight.finding, _slots(words), plight.within, plain=True) for words in plight.words)
        yield from (Sign(PLIGHT + plight.plight, _slots(words), plight.within) for words in plight.words)
    for harmless in file.harmless:
        yield from (Sign("", _slots(words), harmless.within, harmless.firm) for words in harmless.words)


def _slots(words: str) -> tuple[tuple[tuple[str, ...], bool], ...]:
    parts = [(part.removeprefix(">"), part.startswith(">")) for part in words.split()]
    return tuple((tuple(MARK + name for name in names.split("|")), after) for names, after in parts)


@cache
def danger_concepts() -> dict[str, tuple[str, ...]]:
    """Wordings of every name that a sign uses; a literal word is its own."""
    concepts = {MARK + name: _written(words) for name, words in DANGER().concepts.items()}
    alarm = DANGER().alarm
    literal = {name: (name.removeprefix(MARK),) for name in _names() if not name.removeprefix(MARK).isupper()}
    literal = {name: words for name, words in literal.items() if name not in foreign_danger()}
    lists = {ALARM: alarm.words, ALONE: alarm.alone, NOT_HEARD: alarm.not_heard}
    read = {word for words in (*concepts.values(), alarm.words, alarm.alone) for word in words}
    return {**literal, **concepts, **lists, STRANGE: tuple(word for word in alarm.not_heard if word not in read)}


@cache
def foreign_danger() -> dict[str, tuple[str, ...]]:
    """Wordings of another language by the name of their concept: none is what a misspelt word is taken for."""
    own = {name for row in _all_words(DANGER()) for name in _literal(row)}
    literal = {name for row in _all_words(PORTUGUESE()) for name in _literal(row)} - own
    concepts = {MARK + name: words for name, words in {**PORTUGUESE().concepts, **SCENES().concepts}.items()}
    return {**concepts, **{MARK + name: (name,) for name in literal}}


def _all_words(file: Danger | OtherDanger) -> Iterator[str]:
    suspect = file.suspect if isinstance(file, Danger) else ()
    for row in (*file.danger, *file.plight, *file.harmless, *suspect):
        yield from row.words


def _literal(words: str) -> Iterator[str]:
    names = (name for part in words.split() for name in part.removeprefix(">").split("|"))
    yield from (name for name in names if not name.isupper())


def _written(words: Iterable[str]) -> tuple[str, ...]:
    """Wordings, and those of refrigerants as people write them: `r290`, `r-290`, `r 290`."""
    numbers = {word: word[1:] for word in words if re.fullmatch(r"r\d{2,4}[a-z]{0,2}", word)}
    return (*words, *(f"r{mark}{number}" for number in numbers.values() for mark in "- "))


@cache
def grave() -> tuple[str, ...]:
    """The names of the concepts whose words are grave, and the alarm words."""
    return (*(MARK + name for name in DANGER().alarm.grave), ALARM)


@cache
def needs(*, faint: bool) -> dict[str, tuple[str, ...]]:
    """The names of the concepts of which hazards need a word. faint: where the learned reader hardly hears them."""
    needed = {**DANGER().alarm.needs, **(DANGER().alarm.needs_if_faint if faint else {})}
    return {finding: tuple(MARK + name for name in names) for finding, names in needed.items()}


def as_ruled() -> tuple[str, ...]:
    """Findings that are no danger by themselves and stand as the rules hear them, whatever was learned."""
    return DANGER().alarm.as_ruled


def of_goods() -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """The finding of an alarm that may be one of goods, the concepts of goods, and those beside which it is none."""
    row = DANGER().alarm.of_goods
    return row.finding, tuple(MARK + name for name in row.goods), tuple(MARK + name for name in row.unless)


def rules_alone() -> tuple[str, ...]:
    """Hazards that the learned reader is never believed to hear."""
    return DANGER().alarm.rules_alone


def _names() -> Iterator[str]:
    alarm = DANGER().alarm
    yield from (
        MARK + name
        for names in (
            *(alarm.grave, alarm.of_goods.goods, alarm.of_goods.unless),
            *alarm.needs.values(),
            *alarm.needs_if_faint.values(),
        )
        for name in names
    )
    for sign in signs():
        for names, _ in sign.slots:
            yield from names
    for scene in scenes_of():
        yield from (name for names in (*scene.slots, scene.unless) for name in names)


def undefined(findings: Iterable[str]) -> Iterator[str]:
    """What the rows name that there is not. findings: ids of those that there are."""
    of_signs = {sign.finding for sign in signs() if sign.finding and not sign.finding.startswith(_OF_PEOPLE)}
    named = (
        of_signs
        | {scene.finding for scene in scenes_of()}
        | needs(faint=True).keys()
        | {*as_ruled(), DANGER().alarm.of_goods.finding}
    )
    yield from (f"danger.toml: unknown finding {key}" for key in sorted(named.difference(findings)))
    used = {name.removeprefix(MARK) for name in _names()}
    capitals = {name for name in used if name.isupper()}
    known = DANGER().concepts.keys() | PORTUGUESE().concepts.keys() | SCENES().concepts.keys()
    yield from (f"danger.toml: undefined concept {name}" for name in sorted(capitals - known))
