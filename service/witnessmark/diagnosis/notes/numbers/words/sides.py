"""Two bare numbers that can only be the low and the high side: `R-22 68/250`, `118 over 380 R-410A`, `SP 68 DP 275`."""

from __future__ import annotations

import re

from witnessmark.diagnosis.notes.numbers.words.amounts import PAIR, Amount, Segment

_GAS = re.compile(
    r"(?<![a-z0-9])(?:r[ -]?\d{2,4}[a-z]{0,2}|(?:134|404|407|410|422|438|448|449|452|454|507|513)a?"
    r"|ammonia|nh3|co2)(?![a-z0-9])"
)
_PSI, _LOW_PSI, _HIGH_PSI = 46.0, 250.0, (60.0, 700.0)
_BAR_LOW, _BAR_HIGH = 17.0, 46.0
_RATIO, _APART = 1.3, 15.0
"""How far the sides of a machine that pumps lie apart at least (expert estimates)."""
_MAINS = frozenset({(110, 220), (115, 230), (120, 208), (120, 240), (127, 220), (220, 440), (230, 460), (240, 480)})
"""What is written so of a supply."""
_FAR_APART = 1.8
"""What swings between two numbers seldom comes to so many times the lower one (expert estimate)."""
_LED, _MARKS = 4, frozenset(":=(")
_BEFORE = frozenset({"joints", "running", "now", "before"})
_LOW_UNTOLD, _HIGH_UNTOLD = 200.0, 130.0
"""Without a refrigerant no weather is taken for pressures."""


def can_be_sides(low: float, high: float) -> bool:
    """Whether two numbers are a low and a high side in gauge bar or psi, and no voltages or fractions of an inch."""
    if (low, high) in _MAINS or low < 0:
        return False
    if high > _PSI:
        psi = low <= _LOW_PSI and _HIGH_PSI[0] <= high <= _HIGH_PSI[1]
        return psi and high >= _RATIO * low + _APART
    decimal = low != int(low) or high != int(high)
    return decimal and low <= _BAR_LOW and _BAR_LOW / 4 <= high <= _BAR_HIGH and high >= _RATIO * low + 1


def of_both_sides(segment: Segment, amount: Amount) -> bool:
    """Whether two bare numbers in a row are both sides: `118 over 380`, or a refrigerant or a pressure is named."""
    pair = len(amount.values) == PAIR and not amount.units and not amount.tags
    if not (pair and can_be_sides(*amount.values)):
        return False
    if amount.form == "range":
        return called_pressure(segment, amount) and far_apart(*amount.values)
    parts = {segment.text(k) for k in range(amount.start, amount.end)} & {"/", "over"}
    if amount.form != "list" or not parts:
        return False
    return "over" in parts or called_pressure(segment, amount) or _GAS.search(segment.note.lower()) is not None


def called_pressure(segment: Segment, amount: Amount) -> bool:
    """`pressure 122/ 365`, `psi 68-250`: a word of pressure of nothing else stands right before."""
    start, end = amount.start - 1, amount.start
    while start >= 0 and (segment.text(start) in _MARKS or "joints" in segment.at(start)):
        start, end = start - 1, end - 1
    for k in range(max(0, end - _LED), end):
        told = segment.at(k).get("pressure_told")
        if told is not None and told.end == end:
            return k == 0 or segment.lexemes[k - 1].kind != "w" or bool(_BEFORE & segment.at(k - 1).keys())
    return False


def far_apart(low: float, high: float) -> bool:
    """Whether two numbers of a span are more likely both sides than one that swings between them."""
    return high >= _FAR_APART * low and (high >= _HIGH_UNTOLD or high <= _PSI)


def both_named(segment: Segment) -> bool:
    """`low 68 high 275`, `SP 68 DP 275`: words that may be others name both sides, each touching a number that fits."""
    sides = {
        name: segment.lexemes[found["touching"].end].value
        for found in segment.found
        if "touching" in found and segment.is_number(found["touching"].end)
        for name in found["touching"].names
    }
    low, high = sides.get("suction-pressure"), sides.get("discharge-pressure")
    if low is None or high is None or not can_be_sides(low, high):
        return False
    return _GAS.search(segment.note.lower()) is not None or (low <= _LOW_UNTOLD and high >= _HIGH_UNTOLD)
