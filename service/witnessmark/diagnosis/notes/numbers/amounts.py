"""Numbers of a note that belong together, with unit, sides and conditions: `22/31/24`, `2 to 4 K`, `14 lb 3 oz`, `> 500 M`.

A segment is what stands between two stops. Its lexemes become amounts, labels, conditions and marks; what a label is worth
to an amount is not decided here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from witnessmark.diagnosis.notes.numbers.lexer import Lexeme
from witnessmark.diagnosis.notes.numbers.terms import Found, Terms, find

Form = Literal["one", "list", "range", "change"]
Role = Literal["measured", "expected", "limit"]
LARGE_OHMS = frozenset({"gig", "gigohm", "gigaohm", "meg", "megohm"})
"""`a gig to ground` is one."""
_REFRIGERANTS = frozenset({"22", "410", "404", "407", "134", "448", "449", "502", "507", "32", "12"})
_STOPS = frozenset("\n;!?")
_LONGEST = 60
"""Lexemes after which a text without stops is cut."""
_BACK = 4
_LISTED = 6
_NAMED_UP_TO = 60
_INFINITE = float("inf")


class Label(NamedTuple):
    """Words of the segment, lexemes `start` to `end`, that name quantities."""

    quantities: tuple[str, ...]
    start: int
    end: int


class Condition(NamedTuple):
    """A word that says when or how: cold, hot, at_rest, running, before, now, moving, swing, trips, change."""

    kind: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Amount:
    """Numbers that belong together, lexemes `start` to `end` of the segment.

    units: names of the units that the words allow, none where there is no unit. side: -1 after `below`, 1 after `above`.
    tags: for a list, the places that its numbers were read at. percent_off: 1 for `15 % above`, -1 for `15 % below`.
    counted: another word follows a number without unit, so that it may count something else.
    """

    values: tuple[float, ...]
    units: tuple[str, ...]
    start: int
    end: int
    form: Form = "one"
    role: Role = "measured"
    side: int = 0
    about: bool = False
    tags: tuple[str, ...] = ()
    percent_off: int = 0
    counted: bool = False
    weak: bool = False
    read_out: bool = False


@dataclass(frozen=True, slots=True)
class Segment:
    """The lexemes between two stops, the terms at each, and what was made of them in the order of the text."""

    lexemes: Sequence[Lexeme]
    found: Sequence[dict[str, Found]]
    amounts: tuple[Amount, ...]
    labels: tuple[Label, ...]
    conditions: tuple[Condition, ...]

    def has(self, kind: str, start: int = 0, end: int | None = None) -> bool:
        """Whether a condition of this kind stands between two lexemes."""
        return any(c.kind == kind and start <= c.start < (end or len(self.lexemes)) for c in self.conditions)


def segments(read: Sequence[Lexeme], terms: Terms, text: str) -> Iterator[Segment]:
    """Every part of the note that holds a number, or a word that stands for one."""
    part: list[Lexeme] = []
    for k, one in enumerate(read):
        part.append(one)
        if _stops(read, k, terms) or (len(part) >= _LONGEST and one.kind == "m") or len(part) >= 2 * _LONGEST:
            yield from _segment(part, terms, text)
            part = []
    if part:
        yield from _segment(part, terms, text)


def _stops(read: Sequence[Lexeme], k: int, terms: Terms) -> bool:
    """A stop of the sentence; a full stop behind a short form or within a row of short forms is none."""
    one = read[k]
    if one.text in _STOPS:
        return True
    if one.text != "." or k == 0 or (k + 1 < len(read) and read[k + 1].start == one.end):
        return False
    before = terms.root.further.get(read[k - 1].text)
    short = before is not None and "label" in before.names and len(read[k - 1].text) <= _BACK
    return not (short and k + 1 < len(read) and read[k + 1].kind == "n")


_TIMES = frozenset({"min", "minute", "sec", "second", "day", "week", "month", "year", "visit", "hour"})
_DENYING = frozenset({"no", "not", "without", "never", "nor", "isn't", "doesn't", "didn't", "won't"})
_BETWEEN_SIDE = frozenset({"a", "an", "the", ":", "=", "about"})
_WORDED = ("open", "short")
_CONDITIONS = ("evaporator", "cold", "hot", "running", "at_rest", "before", "now", "moving", "swing", "trips", "change")


def _segment(part: Sequence[Lexeme], terms: Terms, text: str) -> Iterator[Segment]:
    if not any(one.kind == "n" for one in part):
        found = find(part, terms.root)
        if not any(kind in at for at in found for kind in _WORDED) and not LARGE_OHMS.intersection(one.text for one in part):
            return
    yield _Scanner(part, terms, text).scanned()


class _Scanner:
    """One pass over a segment."""

    def __init__(self, part: Sequence[Lexeme], terms: Terms, text: str) -> None:
        self.part, self.terms, self.text = part, terms, text
        self.found = find(part, terms.root)
        self.amounts: list[Amount] = []
        self.labels: list[Label] = []
        self.conditions: list[Condition] = []
        self.places: list[tuple[int, int, tuple[str, ...]]] = []
        pairs = [f["tag"] for k, f in enumerate(self.found) if "tag" in f and part[k].kind == "n"]
        self.numbered = len({found.names for found in pairs}) > 1

    def scanned(self) -> Segment:
        k = 0
        while k < len(self.part):
            k = self._step(k)
        amounts = tuple(a for a in self._tagged() if not self._is_rate(a))
        return Segment(self.part, self.found, amounts, tuple(self.labels), tuple(self.conditions))

    def _step(self, k: int) -> int:
        at = self.found[k]
        for kind in _CONDITIONS:
            if kind in at and not (k and self.part[k - 1].text in _DENYING):
                self.conditions.append(Condition(kind, k, at[kind].end))
        tag, label = at.get("tag"), at.get("label") or self._touching(k)
        if tag is not None and self._is_place(k) and (not label or tag.end >= label.end):
            self.places.append((k, tag.end, tag.names))
            return tag.end
        if label is not None and not (self.part[k].kind == "n" and label.end == k + 1):
            self.labels.append(Label(label.names, k, label.end))
            return label.end
        worded = self._worded(k)
        if worded is not None:
            self.amounts.append(worded)
            return worded.end
        if self.part[k].kind == "n" and not self._name(k):
            amount = self._amount(k)
            self.amounts.append(amount)
            return max(amount.end, k + 1)
        return k + 1

    def _is_place(self, k: int) -> bool:
        """`1-2` is a pair of terminals only where other pairs are named as well."""
        return "tag" in self.found[k] and (self.part[k].kind != "n" or self.numbered)

    def _touching(self, k: int) -> Found | None:
        """`high 340`, where pressures are spoken of; behind a number the word says how it is."""
        found = self.found[k].get("touching")
        follows = found is not None and found.end < len(self.part) and self.part[found.end].kind == "n"
        volts = found is not None and "supply-voltage" in found.names
        return found if follows and (volts or self._pressures()) and not (k and self.part[k - 1].kind == "n") else None

    def _worded(self, k: int) -> Amount | None:
        """`OL`, `infinite`: beyond what the meter shows; `dead short`: nothing. Both are ohms."""
        for kind, value, side in (("open", _INFINITE, 1), ("short", 0.0, 0)):
            if kind in self.found[k]:
                return Amount((value,), ("ohm",), k, self.found[k][kind].end, side=side)
        unit = self.found[k + 1].get("unit") if self.part[k].text == "a" and k + 1 < len(self.part) else None
        if unit is not None and self.part[k + 1].text in LARGE_OHMS:
            return Amount((1.0,), unit.names, k, unit.end, side=self._side(k)[0])
        return None

    def _name(self, k: int) -> bool:
        """`comp 2`, `no. 3`, `R 410`: a whole number that is a name; one with a unit is none."""
        one = self.part[k]
        if one.spoken or (self._unit(k + 1) is not None and not self._labels(k + 1)):
            return False
        before = self.part[k - 1] if k else None
        if before is not None and before.text == "." and k > 1:
            before = self.part[k - 2]
        if before is None:
            return False
        whole = one.value == int(one.value) and "." not in one.text and 0 <= one.value
        named = "names" in self.found[self.part.index(before, max(0, k - 2))] and one.value <= _NAMED_UP_TO
        year = 1980 <= one.value <= 2100 and before.text in {"in", "since", "from", "of", "to", "until", "year"}  # noqa: PLR2004
        fluid = one.text in _REFRIGERANTS and self._is_fluid(k, before.text)
        return whole and (named or year or fluid)

    def _labels(self, k: int) -> bool:
        """`comp 1 megs 0.1`: the word names what follows."""
        found = self.found[k].get("label")
        return found is not None and found.end < len(self.part) and self.part[found.end].kind == "n"

    def _is_fluid(self, k: int, before: str) -> bool:
        """`head 340 on 410`, `a 410 machine`."""
        after = self.part[k + 1].text if k + 1 < len(self.part) else ""
        machine = before in {"a", "an", "the"} and after in {"machine", "system", "unit", "circuit"}
        return machine or (before in {"on", "r", "of", "refrigerant", "gas"} and self._pressures())

    def _pressures(self) -> bool:
        names = {"suction-pressure", "discharge-pressure", "pressures"}
        return any(names & set(label.quantities) for label in self.labels) or any(
            one.text in {"psi", "psig", "bar"} for one in self.part
        )

    def _amount(self, k: int) -> Amount:
        """The number at `k` with its unit and all that is joined to it."""
        values, end, units = self._atom(k)
        form: Form = "one"
        all_values = [*values]
        while True:
            joint = self._joint(end, form, len(all_values))
            if joint is None:
                break
            kind, at = joint
            more, after, others = self._atom(at)
            listed = kind == "list" and self.part[at - 1].text != "/"
            if units and (listed if not others else not set(units) & set(others)):
                break
            all_values += more
            units, end, form = others or units, after, kind
        if form == "range" and self._changes(k):
            form = "change"
        side, about = self._side(k)
        role, weak = self._role(k, end)
        if role == "expected" and end + 1 < len(self.part) and self.part[end].text == "+" and self.part[end + 1].kind == "n":
            more, end, others = self._atom(end + 1)
            all_values, units = [all_values[-1] + more[0]], units or others
        counted = not units and self._counts(end)
        return Amount(
            tuple(all_values),
            units,
            k,
            end,
            form,
            role,
            side,
            about,
            percent_off=self._percent_off(units, k, end),
            counted=counted,
            weak=weak and not counted,
            read_out=self._ends_before("reads", k) is not None,
        )

    def _atom(self, k: int) -> tuple[list[float], int, tuple[str, ...]]:
        """One number with its unit; `14 lb 3 oz` and `11 lb 2` are one."""
        value, unit = self.part[k].value, self._unit(k + 1)
        if unit is None:
            return [value], k + 1, ()
        end, names = unit
        smaller = {small for name in names for small in self.terms.units[name].smaller}
        if smaller and end < len(self.part) and self.part[end].kind == "n" and self.part[end].value < 16:  # noqa: PLR2004
            rest = self._unit(end + 1)
            if rest is None or smaller & set(rest[1]):
                value += self.part[end].value / 16
                end = rest[0] if rest else end + 1
        return [value], end, names

    def _unit(self, k: int) -> tuple[int, tuple[str, ...]] | None:
        """The unit at `k` and one past it. A word that also names a quantity is that where a number follows it."""
        if k >= len(self.part):
            return None
        found, tag = self.found[k].get("unit"), self.found[k].get("tag")
        if found is None or not self._stands(k, found) or (tag is not None and tag.end > found.end):
            return None
        label = self.found[k].get("label")
        followed = found.end < len(self.part) and self.part[found.end].kind == "n"
        since = self.amounts[-1].end if self.amounts else 0
        led = any(other.start >= since for other in self.labels)
        if label is not None and (followed or self._reads_on(found.end)) and (led or self._is_power(k)):
            return None
        return found.end, found.names

    def _reads_on(self, k: int) -> bool:
        return k + 1 < len(self.part) and self.part[k].text in {":", "="} and self.part[k + 1].kind == "n"

    def _is_power(self, k: int) -> bool:
        return self.part[k].text == "hp"

    def _stands(self, k: int, found: Found) -> bool:
        """`a`, `m`, `g`, `r` are units only in capitals or where they touch the number."""
        one = self.part[k]
        if found.end != k + 1 or one.text not in self.terms.glued:
            return True
        return self.text[one.start].isupper() or (k > 0 and self.part[k - 1].end == one.start)

    def _joint(self, end: int, form: Form, count: int) -> tuple[Form, int] | None:
        """How the number before `end` is joined to a next one, and where that is."""
        if count >= _LISTED or end >= len(self.part):
            return None
        part, one = self.part, self.part[end]
        if self._is_place(end):
            return None
        after = part[end + 1] if end + 1 < len(part) else None
        if one.kind == "n" and form in {"one", "list"} and not self._name(end) and one.text != "number":
            return "list", end
        if after is None or after.kind != "n":
            return None
        if one.text == "/" and form in {"one", "list"}:
            return "list", end + 1
        if one.text == "vs" and (form == "list" or self._runs_on(end + 1, "vs")):
            return "list", end + 1
        if one.text in {",", "and", "&"} and (form == "list" or self._runs_on(end + 1)):
            return "list", end + 1
        if form == "one" and one.text in {"-", "to"}:
            return "range", end + 1
        if form == "one" and one.text == "and" and self.found[self._start_of(end)].get("label") is None:
            return ("range" if self._between(end) else "list"), end + 1
        return None

    def _start_of(self, end: int) -> int:
        return max(0, end - 1)

    def _between(self, end: int) -> bool:
        return any(one.text == "between" for one in self.part[max(0, end - _BACK) : end])

    def _runs_on(self, k: int, *joints: str) -> bool:
        """Whether at least two numbers follow, comma between: `20, 23, 18.5`, so that it is a list."""
        _, end, _ = self._atom(k)
        if end + 1 >= len(self.part) or self.part[end].text not in (joints or {",", "and", "&"}):
            return False
        further = end + 2 if self.part[end + 1].text in {"and", "&"} else end + 1
        return further < len(self.part) and self.part[further].kind == "n"

    def _changes(self, k: int) -> bool:
        return any("change" in self.found[back] for back in range(max(0, k - 3), k))

    def _ends_before(self, kind: str, k: int) -> int | None:
        """Where a term of this kind begins that ends at `k`, but for words that join."""
        end = k
        for _ in range(_BACK):
            for start in range(end - 1, max(-1, end - 7), -1):
                found = self.found[start].get(kind)
                if found is not None and found.end == end:
                    return start
            if end == 0 or not ("joints" in self.found[end - 1] or self.part[end - 1].text in {"(", "-"}):
                return None
            end -= 1
        return None

    def _side(self, k: int) -> tuple[int, bool]:
        side, about = 0, False
        ends = [k] + ([k - 1] if k and self.part[k - 1].text in _BETWEEN_SIDE else [])
        for start in range(k - 1, max(-1, k - 6), -1):
            at = self.found[start]
            for kind, value in (("below", -1), ("above", 1)):
                if kind in at and at[kind].end in ends:
                    side = value
            about = about or ("about" in at and at["about"].end in ends)
        return side, about

    def _role(self, k: int, end: int) -> tuple[Role, bool]:
        """Whether the amount was measured, is what was expected, or a limit; True where that needs a measured one."""
        if self._ends_before("limit", k) is not None:
            return "limit", False
        strong = self._ends_before("expected", k)
        if strong is not None:
            return "expected", False
        ahead = self.found[end] if end < len(self.part) else {}
        for kind, role in (("limit_after", "limit"), ("expected_after", "expected")):
            after = ahead.get(kind)
            if after is not None and not self._leads_on(after.end):
                return role, False  # type: ignore[return-value]
        directly = any(
            "expected_weakly" in self.found[start] and self.found[start]["expected_weakly"].end == k
            for start in range(k - 1, max(-1, k - 4), -1)
        )
        return ("expected", True) if directly else ("measured", False)

    def _leads_on(self, k: int) -> bool:
        """Whether the words from `k` on lead to a further number: `limit is 0.15`, `should be 28`."""
        for at in range(k, min(k + _BACK, len(self.part))):
            if self.part[at].kind == "n":
                return True
            if not {"joints", "expected", "expected_weakly", "limit"} & self.found[at].keys() and self.part[at].text != "be":
                return False
        return False

    def _percent_off(self, units: tuple[str, ...], k: int, end: int) -> int:
        """`15 % above`, `up 25 %`: a difference, not a share."""
        if "percent" not in units:
            return 0
        behind = self.found[end] if end < len(self.part) else {}
        ahead = self.found[k - 1] if k and self.part[k - 1].text in {"up", "down"} else {}
        return 1 if "more" in behind or "more" in ahead else -1 if "fewer" in behind or "fewer" in ahead else 0

    def _counts(self, end: int) -> bool:
        if end >= len(self.part) or self.part[end].kind != "w":
            return False
        at = self.found[end]
        return not ({"joints", "label", "tag", "cold", "hot", "limit", "expected", "expected_after", "change"} & at.keys())

    def _tagged(self) -> Iterator[Amount]:
        """Numbers read at three places of one set become one list, in the order of the places."""
        chosen = self._set_of_places()
        if chosen is None:
            yield from self.amounts
            return
        name, places = chosen
        readings = self._read_at(places)
        if len(readings) < 2:  # noqa: PLR2004 - one place makes no comparison
            yield from self.amounts
            return
        used = {id(amount) for amount, _ in readings.values()}
        last = max((amount for amount, _ in readings.values()), key=lambda a: a.start)
        units = next((a.units for a, _ in reversed(list(readings.values())) if a.units and a.values[0] < _INFINITE), last.units)
        tags = tuple(f"{name}:{place}" for place in sorted(readings))
        merged = Amount(
            tuple(readings[place][0].values[0] for place in sorted(readings)),
            units,
            min(start for _, start in readings.values()),
            max(amount.end for amount, _ in readings.values()),
            "list",
            tags=tags,
        )
        for amount in self.amounts:
            if id(amount) not in used:
                yield amount
            elif amount is last:
                yield merged

    def _is_rate(self, amount: Amount) -> bool:
        """`0.6 bar a min` is no pressure."""
        per = [one.text for one in self.part[amount.end : amount.end + 2]]
        if self.part[amount.end - 1].text == "a" and per and per[0] in _TIMES:
            return True  # `bar a min` is not absolute
        return len(per) == 2 and per[0] in {"a", "an", "per", "/", "each"} and per[1] in _TIMES and bool(amount.units)  # noqa: PLR2004

    def _set_of_places(self) -> tuple[str, dict[int, tuple[int, int]]] | None:
        """The set of which most places are named, at least two, and where each is named first."""
        sets: dict[str, dict[int, tuple[int, int]]] = {}
        for start, end, names in self.places:
            for name in names:
                of, _, place = name.partition(":")
                sets.setdefault(of, {}).setdefault(int(place), (start, end))
        best = max(sets.items(), key=lambda item: len(item[1]), default=None)
        return best if best is not None and len(best[1]) > 1 else None

    def _read_at(self, places: dict[int, tuple[int, int]]) -> dict[int, tuple[Amount, int]]:
        """Each place with the one number beside it, all behind their places or all before them."""
        singles = [a for a in self.amounts if len(a.values) == 1]
        behind = self._beside(places, singles, ahead=True)
        before = self._beside(places, singles, ahead=False)
        return behind if len(behind) >= len(before) else before

    def _beside(
        self, places: dict[int, tuple[int, int]], singles: Sequence[Amount], *, ahead: bool
    ) -> dict[int, tuple[Amount, int]]:
        found: dict[int, tuple[Amount, int]] = {}
        for place, (start, end) in places.items():
            for amount in singles:
                gap = (amount.start - end) if ahead else (start - amount.end)
                between = self.part[end : amount.start] if ahead else self.part[amount.end : start]
                if 0 <= gap <= 2 and not any(one.text in {",", ";"} for one in between):  # noqa: PLR2004
                    found[place] = (replace(amount), start) if False else (amount, start)
                    break
        return found
