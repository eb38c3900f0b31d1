"""A note cut at its stops, and what stands in each part: labels, conditions, places and amounts in their order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from witnessmark.diagnosis.notes.numbers.words.amounts import INFINITE, Amount, Condition, Label, Place, Segment
from witnessmark.diagnosis.notes.numbers.words.joining import amount_at, side_of, unit_at
from witnessmark.diagnosis.notes.numbers.words.lexer import Lexeme
from witnessmark.diagnosis.notes.numbers.words.places import at_places
from witnessmark.diagnosis.notes.numbers.words.sides import both_named
from witnessmark.diagnosis.notes.numbers.words.terms import Found, Terms, find

LARGE_OHMS = frozenset({"gig", "gigohm", "gigaohm", "meg", "megohm"})
"""`a gig to ground` is one."""
_REFRIGERANTS = frozenset({"22", "410", "404", "407", "134", "448", "449", "502", "507", "32", "12"})
_STOPS = frozenset("\n;!?")
_LONGEST = 60
"""Lexemes after which a text without stops is cut at the next mark, twice as many where there is none."""
_SHORT_FORM = 4
_NAMED_UP_TO, _HEADS = 60, 6
_YEARS = (1980, 2100)
_VOWELS = frozenset({"11", "18"})
_BRACKET, _TWICE_OF = 8, 4
_CONDITIONS = (
    *("evaporator", "cold", "hot", "running", "at_rest", "before", "now"),
    *("moving", "swing", "trips", "change", "rising"),
)
_PRESSURES = frozenset({"suction-pressure", "discharge-pressure", "pressures"})


def segments(read: Sequence[Lexeme], terms: Terms, note: str) -> Iterator[Segment]:
    """Every part of the note that holds a number, or a word that stands for one."""
    part: list[Lexeme] = []
    for k, one in enumerate(read):
        part.append(one)
        full = len(part) >= (_LONGEST if one.kind == "m" else 2 * _LONGEST)
        if full or _stops(read, k, terms) or k + 1 == len(read):
            yield from _segment(part, terms, note)
            part = []


def _stops(read: Sequence[Lexeme], k: int, terms: Terms) -> bool:
    """A stop of the sentence; a full stop behind a short form of a label and before a number is none."""
    one = read[k]
    if one.text in _STOPS:
        return True
    if one.text != "." or k == 0 or (k + 1 < len(read) and read[k + 1].start == one.end):
        return False
    before = terms.root.further.get(read[k - 1].text)
    label = before is not None and "label" in before.names and len(read[k - 1].text) <= _SHORT_FORM
    short = label or (before is not None and "pressure_told" in before.names)
    return not (short and k + 1 < len(read) and read[k + 1].kind == "n")


def _segment(part: Sequence[Lexeme], terms: Terms, note: str) -> Iterator[Segment]:
    segment = Segment(part, find(part, terms.root), terms, note)
    numbers = any(one.kind == "n" or one.text in LARGE_OHMS for one in part)
    if not numbers and not any(segment.says(kind) for kind in ("open", "short", "twice")):
        return
    segment.sides = both_named(segment)
    k = 0
    while k < len(part):
        k = _step(segment, k)
    segment.amounts = [amount for amount in at_places(segment) if not _is_rate(segment, amount)]
    yield segment


def _step(segment: Segment, k: int) -> int:
    """Take in what begins at `k`, and say where to go on."""
    at = segment.found[k]
    if not segment.says("denying", k - 1, k) or k == 0:
        segment.conditions += [Condition(kind, k, at[kind].end) for kind in _CONDITIONS if kind in at]
    touching = _touching(segment, k)
    named = None if _is_article(segment, k) else at.get("label")
    tag, label = at.get("tag"), touching if segment.sides and touching else named or touching
    if tag is not None and segment.is_place(k) and (label is None or tag.end >= label.end):
        segment.places.append(Place(tag.names, k, tag.end))
        return tag.end
    if label is not None and not (segment.is_number(k) and label.end == k + 1):
        segment.labels.append(Label(label.names, k, label.end))
        return label.end
    amount = _worded(segment, k)
    if amount is None and segment.is_number(k) and not _all_of_them(segment, k) and not is_name(segment, k):
        amount = amount_at(segment, k)
    if amount is None:
        return k + 1
    segment.amounts.append(amount)
    return amount.end


def _is_article(segment: Segment, k: int) -> bool:
    """`on an 18 RLA`: no acid number is so high, and the next word is spoken with a vowel."""
    number = segment.text(k + 1)
    return segment.text(k) == "an" and segment.is_number(k + 1) and (number in _VOWELS or number.startswith("8"))


def _touching(segment: Segment, k: int) -> Found | None:
    """`high 340`, where pressures are spoken of; behind a number without a name of its own the word says how it is."""
    found = segment.found[k].get("touching")
    if found is not None and segment.sides and segment.is_number(found.end):
        return found
    led = bool(segment.labels and segment.amounts) and segment.labels[-1].end == segment.amounts[-1].start
    if found is None or not segment.is_number(found.end) or (segment.is_number(k - 1) and not led):
        return None
    return found if "supply-voltage" in found.names or _of_pressures(segment) else None


def _worded(segment: Segment, k: int) -> Amount | None:
    """`OL`, `infinite`: beyond what the meter shows; `dead short`: nothing; `a gig`; `twice the rating`."""
    for kind, value, side in (("open", INFINITE, 1), ("short", 0.0, 0)):
        if kind in segment.found[k]:
            return Amount((value,), ("ohm",), k, segment.found[k][kind].end, side=side)
    if "twice" in segment.found[k] and segment.says("expected", k + 1, k + _TWICE_OF):
        return Amount((200.0,), ("percent",), k, segment.found[k]["twice"].end)
    if segment.text(k) == "a" and segment.text(k + 1) in LARGE_OHMS:
        unit = segment.found[k + 1]["unit"]
        return Amount((1.0,), unit.names, k, unit.end, side=side_of(segment, k)[0])
    return None


def _all_of_them(segment: Segment, k: int) -> bool:
    """`on all three` counts what was read, and is no reading."""
    return segment.text(k - 1) == "all" and unit_at(segment, k + 1) is None


def is_name(segment: Segment, k: int) -> bool:
    """`comp 2`, `no. 3`, `R 410`, `in 2019`: a whole number that is a name; one with a unit is none."""
    one = segment.lexemes[k]
    if one.spoken or "." in one.text or one.value != int(one.value) or one.value < 0:
        return False
    if _is_item(segment, k):
        return True
    if k == 0 or _is_box(segment, k):
        return False
    if unit_at(segment, k + 1) is not None and not _labels(segment, k + 1):
        return False
    before = k - 2 if segment.text(k - 1) == "." else k - 1
    return _named_by(segment, one.value, before) or (one.text in _REFRIGERANTS and _is_fluid(segment, k, before))


def _named_by(segment: Segment, value: float, before: int) -> bool:
    """Whether the word before makes a name of the number: `comp 2`, `head 3`, `in 2019`."""
    at = segment.at(before)
    year = _YEARS[0] <= value <= _YEARS[1] and "of_a_year" in at
    return ("names" in at and value <= _NAMED_UP_TO) or ("a_head" in at and 1 <= value <= _HEADS) or year


def _is_item(segment: Segment, k: int) -> bool:
    """`acid neg 2) acid pos`: the number of an item of a list."""
    opened = any(one.text == "(" for one in segment.lexemes[max(0, k - _BRACKET) : k])
    return segment.text(k + 1) == ")" and not opened and segment.lexemes[k].value <= _HEADS


def _is_box(segment: Segment, k: int) -> bool:
    """`box 48 set 36`: a temperature, since what it is set to stands behind it."""
    return "box" in segment.at(k - 1) and segment.says("set_to", k + 1, k + 4)


def _labels(segment: Segment, k: int) -> bool:
    """`comp 1 megs 0.1`: the word names what follows."""
    found = segment.at(k).get("label")
    return found is not None and segment.is_number(found.end)


def _is_fluid(segment: Segment, k: int, before: int) -> bool:
    """`head 340 on 410`, `a 410 machine`."""
    if segment.text(before) in {"a", "an", "the"}:
        return "a_machine" in segment.at(k + 1)
    return "refrigerant" in segment.at(before) and _of_pressures(segment)


def _of_pressures(segment: Segment) -> bool:
    return any(_PRESSURES & set(label.quantities) for label in segment.labels) or segment.says("pressed")


def _is_rate(segment: Segment, amount: Amount) -> bool:
    """`0.6 bar a min` is no pressure, absolute or not."""
    end = amount.end - (segment.text(amount.end - 1) == "a")
    joined = segment.text(end) in {"a", "an", "per", "/", "each"}
    return bool(amount.units) and joined and "per" in segment.at(end + 1)
