"""Danger that other words of the note explain: a drill, a detector with a low battery, a fire next door that is out.

The harmless reading needs words of its own, all of them (`explained.toml`); doubt, anybody unwell, a word of `unless`,
or any other danger that is heard leaves everything as it was told. Linear in the note.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.apart import one_of
from witnessmark.diagnosis.notes.matches import Match
from witnessmark.diagnosis.notes.tokens import fold
from witnessmark.reference import SourceId

_REACH, _SPREAD = 70, 160
"""Characters from an explanation to what it explains, and over which its own words may be spread."""
_STOP = re.compile(r"[.!?;\n]+(?!\w)")
"""Where a sentence ends; no stop within a number."""
Span = tuple[int, int]
EVERYWHERE: Span = (0, 1 << 30)


class Explanation(Row):
    """The wordings that must all be there, what they explain, and what undoes them (see the head of the file).

    frame: so many of the groups must stand in the same sentence as the danger, which is told of a lesson or a house
    next door there and nowhere else; the others may stand anywhere.
    """

    id: str
    findings: tuple[str, ...]
    groups: tuple[tuple[str, ...], ...]
    unless: tuple[str, ...]
    alarm: tuple[str, ...]
    near: bool = False
    frame: int = 0
    ended: bool = False


class Explanations(Row):
    """The whole file."""

    source: SourceId
    reviewed: str
    unless: tuple[str, ...]
    well: tuple[str, ...]
    ends: tuple[str, ...]
    explanation: tuple[Explanation, ...]


EXPLAINED = data.table(PACKAGE, f"{FOLDER}/explained.toml", Explanations)


@data.checked
def check_explained() -> None:
    """Every danger that is explained is a finding. Raises DataError."""
    named = {finding for row in EXPLAINED().explanation for finding in row.findings}
    if wrong := sorted(named - knowledge().findings.keys()):
        raise data.DataError([f"explained.toml: unknown finding {key}" for key in wrong])


@dataclass(frozen=True, slots=True)
class Explained:
    """The explanations of a note that hold, each with the stretches of characters that it covers."""

    rows: tuple[tuple[Explanation, tuple[Span, ...]], ...] = ()

    def has(self, finding: str, named: Iterable[Span]) -> bool:
        """Whether what is told at these characters is explained."""
        spans = [*named]
        rows = (windows for row, windows in self.rows if finding in row.findings)
        return any(all(_within(s, windows) for s in spans) for windows in rows)

    @property
    def ended(self) -> bool:
        """Whether all that the note tells of is past."""
        return any(row.ended for row, _ in self.rows)

    @property
    def alarm(self) -> frozenset[str]:
        """Words of alarm that are explained."""
        return frozenset(word for row, _ in self.rows for word in row.alarm)


def explained(text: str, dangers: Sequence[tuple[str, tuple[Span, ...]]]) -> Explained:
    """The explanations that hold. dangers: those of the note that are told as there or left open, with their words.

    >>> explained("detector beeps, low battery, reads 0 ppm", [("gas-alarm", ((0, 14),))]).has("gas-alarm", [(0, 14)])
    True
    """
    folded, places = fold(text.replace("’", "'"))
    if one_of(EXPLAINED().unless).search(one_of(EXPLAINED().well).sub("", folded)):
        return Explained()
    rows = ((row, windows) for row in EXPLAINED().explanation if (windows := _windows(row, folded, places)))
    held = Explained(tuple(rows))
    return held if all(held.has(finding, spans) for finding, spans in dangers) else Explained()


def characters(match: Match) -> tuple[Span, ...]:
    """Where the words of a match stand."""
    return tuple((words.start, words.end) for words in match.words)


def ended(found: Iterable[Match]) -> list[Match]:
    """What a history tells of was so once."""
    return [replace(match, state="unknown", unknown_because="history") for match in found]


def _within(span: Span, windows: Sequence[Span]) -> bool:
    """Whether it lies in one of these stretches, which stand in order; found by bisection, a note may have many."""
    place = bisect_right(windows, span[0], key=lambda window: window[0]) - 1
    return place >= 0 and span[1] <= windows[place][1]


def _windows(row: Explanation, folded: str, places: Sequence[int]) -> tuple[Span, ...]:
    """The characters of the note that the row covers; none where it does not hold."""
    found = [[*one_of(group).finditer(folded)] for group in row.groups]
    if not all(found) or one_of(row.unless).search(folded):
        return ()
    if row.frame:
        return tuple(_sentences(found[: row.frame], folded, places))
    if not row.near:
        return (EVERYWHERE,)
    ends = one_of(EXPLAINED().ends)
    spans = (span for span in _together(found) if not ends.search(folded, *span))
    return tuple(_of_note(span, folded, places) for span in islice(spans, 1))


def _sentences(found: Sequence[Sequence[re.Match[str]]], folded: str, places: Sequence[int]) -> Iterator[Span]:
    """The sentences in which a wording of each of these groups stands."""
    ends = [0, *(stop.end() for stop in _STOP.finditer(folded)), len(folded)]
    told = [{bisect_right(ends, one.start()) for one in group} for group in found]
    for k in sorted(set.intersection(*told)):
        start, end = ends[k - 1], ends[min(k, len(ends) - 1)]
        yield places[start], places[end - 1] + 1


def _together(found: Sequence[Sequence[re.Match[str]]]) -> Iterator[Span]:
    """Where one wording of each group stands near the others: the nearest to each of the first group."""
    for first in found[0]:
        nearest = [_nearest(group, first.start()) for group in found]
        start, end = min(m.start() for m in nearest), max(m.end() for m in nearest)
        if end - start <= _SPREAD:
            yield start, end


def _nearest(group: Sequence[re.Match[str]], place: int) -> re.Match[str]:
    return min(group, key=lambda found: abs(found.start() - place))


def _of_note(span: Span, folded: str, places: Sequence[int]) -> Span:
    """The characters around it, up to a word that ends what is near."""
    start, end = max(span[0] - _REACH, 0), min(span[1] + _REACH, len(folded))
    for word in one_of(EXPLAINED().ends).finditer(folded, start, end):
        if word.end() <= span[0]:
            start = word.end()
        else:
            end = word.start()
            break
    return places[min(start, len(places) - 1)], places[end - 1] + 1
