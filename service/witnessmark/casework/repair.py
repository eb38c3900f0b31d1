"""Which steps of a case ended what was found: the failed compressor is out, or the danger to people is over."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any, Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.casework.document import at
from witnessmark.casework.moments import moment, zone_of
from witnessmark.diagnosis.catalogue.knowledge import knowledge

WorkKind = TypeAliasType(
    "WorkKind", Literal["made-safe", "bridge-removed", "compressor-removed", "compressor-replaced", "other"]
)
"""What a step came to: danger to people is over, a protection that was bridged works again, the failed compressor is
out, another one is in, or none of these."""
UNBRIDGED: tuple[str, ...] = ("bridge-removed",)
OUT: tuple[str, ...] = ("compressor-opened", "compressor-removed", "compressor-replaced")
GONE, REPLACED = OUT[1:], OUT[-1:]
_SEEN_INSIDE = ("burn", "burnt_while_turning", "debris")
"""Signs that nobody sees before the compressor is open."""
_CLAUSE = re.compile(r"(?<=[.;,!?])\s+|\n")
"""What is kept is told in a clause: a denial in another one says nothing of it."""
_SENTENCE = re.compile(r"(?<=[.;!?])\s+|\n")


class Wording(data.Row):
    """Wordings of one kind of step, as regular expressions; not in a sentence that holds one of `unless`."""

    kind: WorkKind
    wordings: list[str]
    unless: str = r"(?!)"


class Wordings(data.Row):
    """How steps without a kind are read; before, open: words with which a sentence tells of nothing that was done.

    kept: wordings that the compressor runs again or is kept, unless one of `kept_before` stands before them.
    """

    before: str
    open: str
    kept_before: str
    kept: list[str]
    step: list[Wording]


WORDINGS = data.table(__package__, "work_steps.toml", Wordings)


@dataclass(frozen=True, slots=True)
class End:
    """A step that ended something. moment: None where it has none. place: in the list of steps; None if it is none."""

    kind: str
    moment: datetime | None = None
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Expressions:
    """Wordings by kind, and the words with which a sentence tells of nothing that was done."""

    before: re.Pattern[str]
    open: re.Pattern[str]
    kinds: tuple[tuple[WorkKind, re.Pattern[str], re.Pattern[str]], ...]
    kept: re.Pattern[str]
    kept_before: re.Pattern[str]

    def kind(self, sentence: str) -> WorkKind | None:
        """What a sentence tells as done."""
        if self.open.search(sentence):
            return None
        found = ((kind, told.search(sentence)) for kind, told, unless in self.kinds if not unless.search(sentence))
        return next((kind for kind, told in found if told and not self.before.search(sentence[: told.start()])), None)

    def keeps(self, sentence: str) -> bool:
        """Whether a sentence tells that the compressor runs again or is kept."""
        if self.open.search(sentence):
            return False
        return any(not self.kept_before.search(sentence[: told.start()]) for told in self.kept.finditer(sentence))


def compiled(rows: Wordings) -> Expressions:
    """The wordings, ready to search with. Raises DataError where one is no regular expression."""
    try:
        before, unfinished = (re.compile(_one_line(text)) for text in (rows.before, rows.open))
        kept, kept_before = re.compile("|".join(f"(?:{told})" for told in rows.kept)), _one_line(rows.kept_before)
        kinds = [
            (row.kind, re.compile("|".join(f"(?:{told})" for told in row.wordings)), re.compile(_one_line(row.unless)))
            for row in rows.step
        ]
    except re.error as error:
        raise data.DataError([f"work_steps.toml: {error}"]) from None
    return Expressions(before, unfinished, tuple(kinds), kept, re.compile(kept_before))


def _one_line(expression: str) -> str:
    return expression.replace("\n", "")


@data.checked
def every_wording_compiles() -> None:
    """DataError where a wording is no regular expression; those of the file are then ready for the first case."""
    _shipped.cache_clear()
    _shipped()


@cache
def _shipped() -> Expressions:
    return compiled(WORDINGS())


def kind_of(step: Mapping[str, Any]) -> str:
    """The kind of a step of work: as given, else as its words tell plainly; "other" where they do not.

    >>> kind_of({"text": "Compressor replaced, circuit closed."}), kind_of({"text": "Compressor to be replaced"})
    ('compressor-replaced', 'other')
    """
    if step.get("kind"):
        return str(step["kind"])
    return next(iter(_told_kinds(step)), "other")


def _told_kinds(step: Mapping[str, Any]) -> list[str]:
    """What the sentences of a step tell as done."""
    sentences = _SENTENCE.split(str(step.get("text", "")).lower())
    return [kind for sentence in sentences if (kind := _shipped().kind(sentence))]


def unbridged_up_to(text: str) -> int:
    """Up to which character a text is overtaken by its own words that a bridge over a protection was taken away.

    What follows the last sentence that says so still holds; 0 where none does.

    >>> unbridged_up_to("I removed the jumper. HP switch jumpered"), unbridged_up_to("LP switch is jumpered")
    (21, 0)
    """
    begins = [0, *(gap.end() for gap in _SENTENCE.finditer(text))]
    sentences = zip(begins, (*(gap.start() for gap in _SENTENCE.finditer(text)), len(text)), strict=True)
    over = (last for first, last in sentences if _shipped().kind(text[first:last].lower()) in UNBRIDGED)
    return max(over, default=0)


def kept(case: Mapping[str, Any]) -> bool:
    """Whether complaint, notes or steps tell that the compressor runs again or is kept, and no step that it is out."""
    if any(end.kind in GONE for end in _ends_of_work(case)):
        return False
    texts = [case.get("complaint") or "", *(n["text"] for n in case.get("notes") or () if n.get("of") != "sound")]
    texts += [str(step.get("text", "")) for step in case.get("work_done") or ()]
    sentences = (sentence for text in texts for sentence in _CLAUSE.split(text.lower()))
    return any(map(_shipped().keeps, sentences))


def ends(case: Mapping[str, Any]) -> tuple[End, ...]:
    """What ended something of what was found, of all that the case holds as done.

    A step that lies behind `as_of` is not done yet, one from before the call is no repair of what was called for. Who
    saw the inside of the compressor has opened it; nitrogen or a vacuum in the repaired circuit, or a check that was
    passed before a start, tell of a repair: when, is not known of either.
    """
    call = moment(case["complaint_at"], zone_of(case)) if case.get("complaint_at") else None
    return tuple(end for end in _ends(case) if not (call and end.moment and end.moment < call))


def _ends(case: Mapping[str, Any]) -> Iterator[End]:
    yield from _ends_of_work(case)
    if _opened(case):
        yield End("compressor-opened")
    if _worked_on(case):
        yield End("compressor-replaced")


def _ends_of_work(case: Mapping[str, Any]) -> Iterator[End]:
    zone = zone_of(case)
    now = moment(case["as_of"], zone) if case.get("as_of") else None
    for place, step in enumerate(case.get("work_done") or ()):
        when = moment(step["at"], zone) if step.get("at") else None
        if now and when and when > now:
            continue
        if (kind := kind_of(step)) != "other":
            yield End(kind, when, place)
        if kind not in UNBRIDGED and UNBRIDGED[0] in _told_kinds(step):
            yield End(UNBRIDGED[0], when, place)
    if "compressor-removed" in (case.get("conditions") or ()):
        yield End("compressor-removed")


def _opened(case: Mapping[str, Any]) -> bool:
    """Whether somebody saw the inside. What was not found there is no look inside once it runs again or is kept."""
    told = [report for report in case.get("findings") or () if report["state"] != "unknown"]
    seen = [report["state"] for report in told if knowledge().inside(report["finding"])]
    shown = [at(case, f"signs.{sign}") for sign in _SEEN_INSIDE]
    if any(state == "present" for state in seen) or any(value not in (None, "none", []) for value in shown):
        return True
    return (bool(seen) or any(value is not None for value in shown)) and not kept(case)


def _worked_on(case: Mapping[str, Any]) -> bool:
    """Whether the repaired machine was worked on: `before_start` tells of nothing else."""
    stated = at(case, "before_start.stated") or ()
    tested = ("pressure_tests", "evacuation", "dilution", "after_run")
    return any(at(case, f"before_start.{name}") for name in tested) or any(c["outcome"] == "passed" for c in stated)
