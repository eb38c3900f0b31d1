"""From amounts and labels to readings of the engine: SI values, what stands beside them, and under which condition.

A unit that is missing is taken only where the trade leaves no doubt: the label itself says it (amps, TAN), the rest of the
note is in one system, or no gauge shows such a number in the other unit. That is said in `assumed`. Else the reading keeps
every unit that it may have in `possible`, and is not to be used as a value.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from witnessmark.diagnosis.notes.numbers.amounts import LARGE_OHMS, Amount, Segment, segments
from witnessmark.diagnosis.notes.numbers.labelling import Choice, fitting, labelled
from witnessmark.diagnosis.notes.numbers.lexer import Lexeme, lexemes
from witnessmark.diagnosis.notes.numbers.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.terms import Terms, terms

When = Literal["now", "before"]
Values = tuple[float, ...]
MOST = 1_500
"""Numbers of a note that are read; no note of a technician has so many."""
_HOUR = 3600.0
_NEAR = 4
_THREE = 3
_MEGOHM = 1e5
_LIVE = 80.0
_OPEN = 1e12
_LEAST_LEG = 2.0
_APART = 10


@dataclass(frozen=True, slots=True)
class Number:
    """One reading as the note tells it.

    quantity: id of knowledge/numbers.toml; `field` its name in the readings of a diagnosis, "" if there is none.
    values: SI (pressures absolute), one or a row of three; empty where the unit is not certain. possible: the values under
    each unit that it may have. unit: as written, "" where none was. assumed: why a unit that was not written is taken.
    start, end: characters of number and unit; words: characters of the label. conditions: cold, hot, running, at_rest, moving …
    side: -1 for less than, 1 for more than. beside: rated, marked or expected value; limit: of the note's own; both for each
    unit in `possible`. tags: the places of a row. line: number of the segment, for what was read together.
    """

    quantity: str
    values: Values
    possible: tuple[Values, ...]
    unit: str
    assumed: str
    start: int
    end: int
    words: tuple[tuple[int, int], ...] = ()
    conditions: frozenset[str] = frozenset()
    side: int = 0
    about: bool = False
    span: bool = False
    tags: tuple[str, ...] = ()
    beside: tuple[float, ...] = ()
    limit: tuple[float, ...] = ()
    when: When = "now"
    line: int = 0
    field: str = ""
    labelled: bool = True


@dataclass(slots=True)
class _Reader:
    """One note on its way."""

    text: str
    known: Terms
    system: str = ""
    now: int = -1
    numbers: list[Number] = field(default_factory=list)


def numbers_in(text: str) -> tuple[Number, ...]:
    """Every reading that a note of at most 20,000 characters tells, in the order of the text."""
    read = lexemes(text)
    if not any(one.kind == "n" for one in read) and not any(one.text in {"ol", "infinite", "infinity", "dead", *LARGE_OHMS} for one in read):
        return ()
    known = terms()
    parts = list(segments(_first(read), known, text))
    now = max((line for line, part in enumerate(parts) if part.has("now")), default=-1)
    reader = _Reader(text, known, _system(parts, known), now)
    for line, part in enumerate(parts):
        reader.numbers.extend(_of_segment(reader, part, line))
    if not reader.system and (system := _shown(reader.numbers)):
        reader = _Reader(text, known, system, now)
        for line, part in enumerate(parts):
            reader.numbers.extend(_of_segment(reader, part, line))
    return tuple(sorted(reader.numbers, key=lambda n: (n.start, n.end)))


def _first(read: Sequence[Lexeme]) -> Sequence[Lexeme]:
    """The lexemes up to the last number that is read."""
    count = 0
    for k, one in enumerate(read):
        count += one.kind == "n"
        if count > MOST:
            return read[:k]
    return read


def _system(parts: Sequence[Segment], known: Terms) -> str:
    """The one system of units that the note is written in; "" where it mixes them or shows none."""
    seen: set[str] = set()
    for part in parts:
        for amount in part.amounts:
            systems = {known.units[unit].system for unit in amount.units} - {""}
            seen |= systems if len(systems) == 1 else set()
    return seen.pop() if len(seen) == 1 else ""


def _shown(numbers: Sequence[Number]) -> str:
    """The system of a note without units in which a pressure can only be of one: `LP 3.4 HP 19.2 SH 26`."""
    units = {n.assumed.partition(",")[0] for n in numbers if n.quantity == "discharge-pressure" and n.assumed}
    systems = {terms().units[unit].system for unit in units}
    return systems.pop() if len(systems) == 1 else ""


def _of_segment(reader: _Reader, part: Segment, line: int) -> Iterator[Number]:
    """The readings of one segment, each with what stands beside it."""
    choices = labelled(part, reader.known)
    taken = [_quantity(reader.known, part, a, c) for a, c in zip(part.amounts, choices, strict=True)]
    taken = _derived(part, taken)
    roles = _roles(reader.known, part, taken)
    for k, (amount, choice, quantity, role) in enumerate(zip(part.amounts, choices, taken, roles, strict=True)):
        if not quantity or not reader.known.quantities[quantity].dimension or role != "measured" or (quantity == "starts-per-hour" and "expected" in roles[k + 1 : k + 2]):
            continue
        row = reader.known.quantities[quantity]
        beside = _partner(reader, part, choices, taken, roles, k, "expected")
        limit = _partner(reader, part, choices, taken, roles, k, "limit")
        if quantity == "terminal-voltage-at-start" and beside is None:
            beside = _at_rest(reader.known, part, k)
        locked = _locked(part, choices, taken, roles, k)
        if locked is not None:
            row, beside = reader.known.quantities["locked-rotor-current"], part.amounts[locked]
        yield from _numbers(reader, part, line, amount, choice, row, beside, limit)
    yield from _cycles(reader, part, line)
    yield from _across(reader, part, line)


def _across(reader: _Reader, part: Segment, line: int) -> Iterator[Number]:
    """`drier 34 in, 22 out`: the drop between the two."""
    words = [one.text for one in part.lexemes]
    ends: dict[str, Amount] = {}
    for amount in part.amounts:
        beside = {*words[amount.end : amount.end + 1], *words[max(0, amount.start - 1) : amount.start]} & {"in", "out"}
        if len(beside) == 1 and len(amount.values) == 1:
            ends.setdefault(beside.pop(), amount)
    if len(ends) != 2 or not {"drier", "strainer", "dryer"} & set(words):  # noqa: PLR2004 - in and out
        return
    row, (first, last) = reader.known.quantities["liquid-line-drop"], sorted(ends.values(), key=lambda a: a.start)
    difference = replace(first, values=(ends["in"].values[0] - ends["out"].values[0],), units=(), end=last.end)
    number = _number(reader, part, line, difference, Choice(None, "", 0, 0.0), row, None, None)
    if number is not None:
        yield replace(number, labelled=True)


def _cycles(reader: _Reader, part: Segment, line: int) -> Iterator[Number]:
    """Starts an hour from times: `runs 2 minutes off 1`, `starts every 100 s`."""
    words = [one.text for one in part.lexemes]
    for k, amount in enumerate(part.amounts):
        seconds = _seconds(reader.known, amount, None)
        led = set(words[max(0, amount.start - 2) : amount.start])
        after = part.amounts[k + 1] if k + 1 < len(part.amounts) else None
        if seconds is None or amount.form != "one":
            continue
        if "every" in led and _STARTS.intersection(words):
            yield _rate(reader, part, line, (amount, amount), _HOUR / seconds)
        elif after is not None and _ON & led and "off" in words[amount.end : after.start] and after.start - amount.end <= _NEAR:
            rest = _seconds(reader.known, after, amount)
            if rest is not None:
                yield _rate(reader, part, line, (amount, after), _HOUR / (seconds + rest))


_STARTS = frozenset({"starts", "start", "cycles", "cycling", "starting", "cycle"})
_ON = frozenset({"on", "runs", "run", "ran", "for"})


def _seconds(known: Terms, amount: Amount, like: Amount | None) -> float | None:
    """A time in seconds; one without unit has that of another. None where it is none."""
    names = amount.units or (like.units if like is not None else ())
    factors = [known.units[name].factor for name in names if known.units[name].dimension == "time"]
    seconds = amount.values[0] * factors[0] if factors else 0.0
    return seconds if seconds > 0 else None


def _rate(reader: _Reader, part: Segment, line: int, amounts: tuple[Amount, Amount], value: float) -> Number:
    first, last = part.lexemes[amounts[0].start], part.lexemes[amounts[1].end - 1]
    row = reader.known.quantities["starts-per-hour"]
    conditions = _conditions(part, amounts[0])
    unit = _written(reader, part, amounts[0])
    return Number(row.id, (value,), ((value,),), unit, "", first.start, last.end, (), conditions, line=line, field=row.field)


def _quantity(known: Terms, part: Segment, amount: Amount, choice: Choice) -> str:
    """The quantity of an amount: that of its label, or the one that its unit stands for by itself."""
    plain = [known.units[name] for name in amount.units if known.units[name].dimension == "resistance"]
    if choice.quantity.startswith("drop-of-"):
        return _place_of_drop(part)
    if choice.quantity == "suction-superheat" and part.has("evaporator", amount.end, amount.end + 2):
        return ""
    if choice.quantity == "sump-superheat-running" and "at_rest" in _conditions(part, amount):
        return "sump-superheat-at-rest"
    if choice.quantity in {"winding-resistances", "insulation-resistance"} and plain:
        even = bool(_EVEN.intersection(one.text for one in part.lexemes))
        return _resistance(amount, choice.quantity, max(unit.factor for unit in plain), even=even)
    if choice.quantity == "winding-resistances":
        return choice.quantity if len(amount.values) >= _THREE or amount.tags else ""
    if choice.quantity == "suction-pressure" and len(amount.values) == 2 and amount.form == "list":  # noqa: PLR2004
        return "pressures"
    return choice.quantity or _by_unit(known, part, amount)


def _place_of_drop(part: Segment) -> str:
    """Where a drop was read, by the other words of the segment."""
    words = {one.text for one in part.lexemes}
    if words & {"suction", "suct"}:
        return "suction-line-drop"
    if words & {"drier", "strainer", "liquid", "dryer"}:
        return "liquid-line-drop"
    return "valve-drop" if words & {"rv", "reversing", "4way", "way"} else ""


def _resistance(amount: Amount, quantity: str, factor: float, *, even: bool = False) -> str:
    """Three plain ohms are the windings among themselves; a megohm, or one value to the shell, is insulation."""
    finite = [v for v in amount.values if v < _OPEN]
    if even and factor == 1 and any(v > 0 for v in finite):
        return "winding-resistances" if len(finite) >= _THREE else ""
    three = len(amount.values) >= _THREE or len(amount.tags) > 1
    if three and factor < _MEGOHM and any(v > 0 for v in finite):
        return "winding-resistances"
    if factor >= 1e3 and len(finite) == len(amount.values):  # noqa: PLR2004 - kilohm
        return "insulation-resistance"
    return quantity if quantity == "insulation-resistance" else ""


_TAGGED = {
    "line": "line-currents",
    "lead": "line-currents",
    "terminal pair": "winding-resistances",
    "winding pair": "winding-resistances",
    "phase pair": "winding-resistances",
}


def _by_unit(known: Terms, part: Segment, amount: Amount) -> str:
    dimensions = {known.units[name].dimension for name in amount.units}
    three = len(amount.values) == _THREE and amount.form == "list"
    of = amount.tags[0].partition(":")[0] if amount.tags else ""
    if amount.tags and not amount.units:
        if of == "line pair":
            return "line-voltages" if min(amount.values) >= _LIVE or 0 in amount.values else "winding-resistances"
        return _TAGGED.get(of, "") if of != "phase letter" else ""
    if "current" in dimensions:
        single = len(amount.values) == 1 or amount.form in {"range", "change"}
        return "line-currents" if three else "running-current" if single else ""
    if "voltage" in dimensions and _ORDERED.intersection(one.text for one in part.lexemes):
        return ""
    if "voltage" in dimensions and (three or amount.form == "one"):
        return "line-voltages" if three else "supply-voltage"
    if "resistance" in dimensions and (_plainly(amount) or _of_resistance(known, part)):
        factor = max(known.units[name].factor for name in amount.units if known.units[name].dimension == "resistance")
        return _resistance(amount, "", factor)
    if "pressure" in dimensions and len(amount.values) == 2 and amount.form == "list":  # noqa: PLR2004
        return "pressures" if "/" in {one.text for one in part.lexemes[amount.start : amount.end]} else ""
    hours = {"hour": 20_000, "thousand hours": 20}
    led = {one.text for one in part.lexemes[max(0, amount.start - 1) : amount.start]} & {"at", "after", "every", "in"}
    if not led and any(unit in amount.units and amount.values[0] >= least for unit, least in hours.items()):
        return "run-hours"
    if not amount.units and three and 0 in amount.values and max(amount.values) > _LEAST_LEG and _HUMS.intersection(one.text for one in part.lexemes):
        return "line-currents"
    if "vacuum" in dimensions and not _EVACUATED.intersection(one.text for one in part.lexemes):
        return ""
    if not amount.units and amount.form == "one" and _of_machine(part, amount):
        return "supply-voltage"
    plain = {
        "mass": "recovered-charge",
        "oil": "oil-drained",
        "capacitance": "run-capacitor",
        "vacuum": "vacuum",
        "age": "age",
        "rate": "starts-per-hour",
        "acid_number": "oil-acid-number",
    }
    return next((quantity for dimension, quantity in plain.items() if dimension in dimensions), "")


_MACHINE = frozenset({"machine", "motor", "unit", "comp", "compressor", "system", "rated"})
_MAINS = (90.0, 700.0)


def _of_machine(part: Segment, amount: Amount) -> bool:
    """`446 on a 400 machine`: volts, since nothing else of a machine has such numbers."""
    after = next((a for a in part.amounts if a.start >= amount.end), None)
    if after is None or after.start - amount.end > _NEAR or after.role != "expected":
        return False
    both = all(_MAINS[0] <= a.values[0] <= _MAINS[1] for a in (amount, after))
    word = part.lexemes[after.end].text if after.end < len(part.lexemes) else ""
    return both and word in _MACHINE


def _derived(part: Segment, taken: list[str]) -> list[str]:
    """Times: how long it ran before a trip."""
    return [
        "trip-delay" if not quantity and _before_trip(part, amount) else quantity
        for amount, quantity in zip(part.amounts, taken, strict=True)
    ]


_ORDERED = frozenset({"model", "ordered", "supplied", "sent", "wrong", "quote", "deliver", "order"})
_EVACUATED = frozenset({"vac", "vacuum", "evac", "evacuated", "pulled", "pull", "held", "hold", "gauge", "decay", "triple", "deep", "rise"})
_EVEN = frozenset({"balanced", "equal", "even", "alike", "matched", "across"})
_HUMS = frozenset({"hum", "hums", "humming", "growl", "growls", "fuse", "legs", "leg", "phase"})


def _plainly(amount: Amount) -> bool:
    """Whether the unit is no single letter that means something else as well."""
    return not {"other", "kelvin", "gram", "kelvin absolute"} & set(amount.units)


def _of_resistance(known: Terms, part: Segment) -> bool:
    """Whether something else in the segment is a resistance."""
    labels = {name for label in part.labels for name in label.quantities}
    units = {known.units[u].dimension for a in part.amounts if _plainly(a) for u in a.units}
    return bool({"insulation-resistance", "winding-resistances"} & labels) or "resistance" in units


_STARTED = frozenset({"after", "runs", "ran", "run", "for", "about", "holds"})
_CLOSED = frozenset({"close", "closes", "closed", "reset", "resets", "restarted", "restarts", "back", "again", "cooling", "if", "lp", "hp", "pressure", "side", "oil", "not", "held"})


def _before_trip(part: Segment, amount: Amount) -> bool:
    if not {"second", "minute", "hour"} & set(amount.units) or not part.has("trips", max(0, amount.start - 8), amount.end + 6):
        return False
    texts = [one.text for one in part.lexemes]
    led = _STARTED.intersection(texts[max(0, amount.start - 3) : amount.start]) or "then" in texts[amount.end : amount.end + 6]
    return bool(led) and not _CLOSED.intersection(texts)


def _roles(known: Terms, part: Segment, taken: Sequence[str]) -> list[str]:
    """Measured, expected or limit. What is only weakly expected needs something measured just before it."""
    roles: list[str] = []
    for k, amount in enumerate(part.amounts):
        role: str = amount.role
        if amount.weak:
            ahead = part.amounts[k - 1] if k else None
            close = ahead is not None and amount.start - ahead.end <= _NEAR and _beside(known, ahead, amount, taken[k - 1])
            role = "expected" if close else "measured"
            if close and roles[k - 1] == "expected" and "measured" not in roles:
                roles[k - 1] = "measured"
        if "percent" in amount.units or amount.form == "change":
            role = "measured" if role == "expected" else role
        roles.append(role)
    return _read_out(part, taken, roles)


def _beside(known: Terms, measured: Amount, other: Amount, quantity: str) -> bool:
    """Whether the other amount may stand beside a measured one: of its unit, or of its dimension, or without unit."""
    if not quantity or not other.units:
        return bool(quantity)
    dimension = known.quantities[quantity].dimension
    return any(known.units[unit].dimension == dimension for unit in other.units)


def _read_out(part: Segment, taken: Sequence[str], roles: list[str]) -> list[str]:
    """`cap 45 reads 28`: what was printed stands before what was read."""
    for k in range(1, len(roles)):
        both = part.amounts[k].read_out and not part.amounts[k - 1].read_out and taken[k] == taken[k - 1]
        if both and roles[k] == roles[k - 1] == "measured" and taken[k] in {"run-capacitor", "start-capacitor", "oil-drained"}:
            roles[k - 1] = "expected"
    return roles


def _partner(
    reader: _Reader,
    part: Segment,
    choices: Sequence[Choice],
    taken: Sequence[str],
    roles: Sequence[str],
    k: int,
    role: str,
) -> Amount | None:
    """The rated or expected value, or the limit, that stands beside a measured one; behind it before ahead of it."""
    amount = part.amounts[k]
    order = [*range(k + 1, len(roles)), *range(k - 1, -1, -1)]
    for j in order:
        other = part.amounts[j]
        between = range(min(j, k) + 1, max(j, k))
        apart = max(amount.start, other.start) - min(amount.end, other.end) > _APART or any(roles[i] == "measured" and taken[i] and taken[i] != taken[k] for i in between)
        weak = other.weak and role == "expected" and j != k + 1
        if roles[j] == role and _beside(reader.known, amount, other, taken[k]) and not (apart or weak) and _same(reader, taken[k], taken[j], choices[j], bare=not other.units):
            nearer = [i for i in range(len(roles)) if roles[i] == "measured" and _takes(reader, taken[i], role)]
            if k in nearer and abs(j - k) == min(abs(j - i) for i in nearer):
                return other
    return None


def _takes(reader: _Reader, quantity: str, role: str) -> bool:
    """Whether a rated value, or a limit, says anything of a reading of this quantity."""
    if not quantity:
        return False
    row = reader.known.quantities[quantity]
    return bool(row.limit) if role == "limit" else bool(row.share_by or row.share_bands or row.beside)


def _at_rest(known: Terms, part: Segment, k: int) -> Amount | None:
    """The higher voltage of the same place beside one during a start."""
    highest = max(part.amounts[k].values)
    others = [a for j, a in enumerate(part.amounts) if j != k and len(a.values) == 1 and a.values[0] > highest]
    return next((a for a in others if not a.units or any(known.units[u].dimension == "voltage" for u in a.units)), None)


def _same(reader: _Reader, quantity: str, other: str, choice: Choice, *, bare: bool) -> bool:
    """Whether the other amount may stand beside a reading of this quantity."""
    if not other or other == quantity or choice.label is None:
        return True
    rows = reader.known.quantities
    evident = any(name.startswith("~") for name in rows[other].bare)
    return (rows[other].dimension == rows[quantity].dimension and other != "locked-rotor-current") or (bare and not evident)


def _locked(
    part: Segment, choices: Sequence[Choice], taken: Sequence[str], roles: Sequence[str], k: int
) -> int | None:
    """The locked-rotor current of the nameplate beside a current."""
    if taken[k] not in {"running-current", "locked-rotor-current"}:
        return None
    for j, role in enumerate(roles):
        if j != k and role == "expected" and (taken[j] == "locked-rotor-current" or taken[k] == "locked-rotor-current"):
            return j
    return None


def _numbers(
    reader: _Reader,
    part: Segment,
    line: int,
    amount: Amount,
    choice: Choice,
    row: QuantityRow,
    beside: Amount | None,
    limit: Amount | None,
) -> Iterator[Number]:
    """The readings that an amount stands for: one, two pressures, or one before and one after a change."""
    if row.id == "run-hours" and len(amount.values) == 2 and amount.values[1] < 1e3:  # noqa: PLR2004 - `81 460`
        amount = replace(amount, values=(amount.values[0] * 1e3 + amount.values[1],), form="one")
    if row.three and len(amount.values) == _THREE and amount.form == "list":
        row = reader.known.quantities[row.three]
    number = _number(reader, part, line, amount, choice, row, beside, limit)
    if number is None:
        return
    if row.pair and len(amount.values) == 2:  # noqa: PLR2004
        for place, name in enumerate(row.pair):
            one = reader.known.quantities[name]
            yield replace(_only(number, place), quantity=name, field=one.field)
    elif _is_change(amount, row):
        after = replace(_only(number, 1), span=False)
        beside_first = tuple(values[0] for values in number.possible)
        if row.id == "terminal-voltage-at-start" and not number.beside:
            after = replace(after, beside=beside_first)
        yield replace(_only(number, 0), when="before", span=False)
        yield after
    else:
        yield number


def _is_change(amount: Amount, row: QuantityRow) -> bool:
    falls = amount.form == "range" and row.id == "terminal-voltage-at-start" and amount.values[0] > amount.values[-1]
    return len(amount.values) == 2 and (amount.form == "change" or falls)  # noqa: PLR2004


def _only(number: Number, place: int) -> Number:
    return replace(
        number,
        values=number.values[place : place + 1],
        possible=tuple(values[place : place + 1] for values in number.possible),
    )


def _number(
    reader: _Reader,
    part: Segment,
    line: int,
    amount: Amount,
    choice: Choice,
    row: QuantityRow,
    beside: Amount | None,
    limit: Amount | None,
) -> Number | None:
    first, last = part.lexemes[amount.start], part.lexemes[amount.end - 1]
    units, assumed = _units(reader, amount, row, beside or limit, (first, last))
    if not units:
        return None
    converted = [tuple(_si(reader.known, unit, value) for value in amount.values) for unit in units]
    if amount.percent_off:
        converted = [tuple(1 + amount.percent_off * value for value in values) for values in converted]
    words = _words(part, choice)
    return Number(
        quantity=row.id,
        values=converted[0] if len(converted) == 1 else (),
        possible=tuple(converted),
        unit=_written(reader, part, amount),
        assumed=assumed,
        start=first.start,
        end=last.end,
        words=words,
        conditions=_conditions(part, amount),
        side=amount.side,
        about=amount.about,
        span=amount.form == "range",
        tags=amount.tags,
        beside=_other(reader, beside, row, units),
        limit=_other(reader, limit, row, units),
        when=_when(part, amount, now_later=line < reader.now),
        line=line,
        field=row.field,
        labelled=choice.label is not None,
    )


def _words(part: Segment, choice: Choice) -> tuple[tuple[int, int], ...]:
    label = choice.label
    return () if label is None else ((part.lexemes[label.start].start, part.lexemes[label.end - 1].end),)


def _written(reader: _Reader, part: Segment, amount: Amount) -> str:
    """The unit as it stands in the note."""
    if not amount.units:
        return ""
    numbers = [k for k in range(amount.start, amount.end) if part.lexemes[k].kind == "n"]
    first = (numbers[-1] if numbers else amount.start - 1) + 1
    if first >= amount.end:
        return ""
    return reader.text[part.lexemes[first].start : part.lexemes[amount.end - 1].end]


def _other(reader: _Reader, amount: Amount | None, row: QuantityRow, units: Sequence[str]) -> tuple[float, ...]:
    """The value beside a reading, for each unit that the reading may have; its own unit counts where it has one."""
    if amount is None:
        return ()
    own = [u for u in amount.units if reader.known.units[u].dimension == row.dimension and not reader.known.units[u].open]
    value = sum(amount.values) / len(amount.values)
    return tuple(_si(reader.known, own[0] if own else unit, value) for unit in units)


def _si(known: Terms, unit: str, value: float) -> float:
    row = known.units[unit]
    return min(value * row.factor + row.offset, _OPEN)


def _units(
    reader: _Reader, amount: Amount, row: QuantityRow, beside: Amount | None, ends: tuple[Lexeme, Lexeme]
) -> tuple[list[str], str]:
    """Names of the units that the amount may be in, and why one that was not written is taken."""
    known, (first, last) = reader.known.units, ends
    named = [name for name in amount.units if known[name].dimension == row.dimension]
    if not named and not amount.units and beside is not None:
        named = [name for name in beside.units if known[name].dimension == row.dimension]
    written = [name for name in named if not known[name].open]
    if written:
        return _one_of(written, row.id, reader.text[first.start : last.end]), ""
    bare = [name for unit in named for name in known[unit].open] or list(row.bare)
    if amount.units and not named:
        return [], ""
    certain = [name.removeprefix("~") for name in bare if name.startswith("~")]
    if certain:
        return certain, f"{certain[0]}, as the trade writes it"
    possible = [name for name in bare if max(amount.values) <= known[name].most]
    if row.split is not None:
        system = "metric" if max(amount.values) <= row.split else "imperial"
        possible = [name for name in possible if known[name].system == system]
    if len(possible) == 1:
        return possible, f"{possible[0]}, since no gauge shows such a number in another unit"
    of_system = [name for name in possible if known[name].system == reader.system]
    if len(of_system) == 1:
        return of_system, f"{of_system[0]}, since the note is in {reader.system} units"
    return possible, ""


def _one_of(written: list[str], quantity: str, text: str) -> list[str]:
    """One unit where a word may stand for two of a dimension: `Mohm` in capitals, or to ground, is a megohm."""
    if set(written) != {"milliohm", "megohm"}:
        return written
    return ["megohm"] if quantity == "insulation-resistance" or "M" in text else ["milliohm"]


def _conditions(part: Segment, amount: Amount) -> frozenset[str]:
    """What is said of the moment: by words of the segment, hot and cold by those beside the amount."""
    near = {c.kind for c in part.conditions if c.kind in {"moving", "swing"}}
    states = [c for c in part.conditions if c.kind in {"running", "at_rest"}]
    if states:
        ahead = [c for c in states if c.start < amount.start]
        near.add((ahead[-1] if ahead else states[0]).kind)
    warm = [c for c in part.conditions if c.kind in {"cold", "hot"}]
    if warm:
        leading = warm[0].start < min((a.start for a in part.amounts), default=0)
        side = [c for c in warm if (c.start < amount.start if leading else c.start >= amount.end)]
        if side:
            near.add((side[-1] if leading else side[0]).kind)
    return frozenset(near)


def _when(part: Segment, amount: Amount, *, now_later: bool) -> When:
    """Before, where a word of the past stands beside the number and none of the present does."""
    earlier = max((a.end for a in part.amounts if a.end <= amount.start), default=0)
    later = min((a.start for a in part.amounts if a.start >= amount.end), default=len(part.lexemes))
    pause = next((k for k in range(amount.end, later) if part.lexemes[k].text in {",", "-", "("}), later)
    around = {c.kind for c in part.conditions if earlier <= c.start < pause}
    past = "before" in around and "now" not in around
    others = any(c.kind == "now" and not earlier <= c.start < later for c in part.conditions)
    return "before" if past and (others or now_later) else "now"
