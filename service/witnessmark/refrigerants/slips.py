"""Names that are no designation and nearly one: a letter that no designation of that number has, a number too high.

No list of this version names every designation to come: of a blend it cannot be told whether the name is a slip or
newer than the list, and that is what is said. A substance gets its letters by the rules of the standard (`numbering`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

_PARTS = re.compile(r"(?P<number>[EC]?\d{2,4})(?P<end>[A-Z]{0,3})")
BLENDS = {"4": "zeotropic", "5": "azeotropic"}
DIGITS_OF_BLEND = 3
_AS_DIGITS = str.maketrans({"O": "0", "I": "1"})
NEWER = "a slip, or newer than this version, whose list it is not on"


def family(plain: str, real: Mapping[str, str]) -> tuple[str, ...]:
    """The real designations of the same number. plain: the name as it is folded; real: designations by theirs.

    >>> family("290A", {"290": "R-290", "600": "R-600"}), family("32", {"32": "R-32"}), family("CO2", {})
    (('R-290',), (), ())
    """
    parts = _PARTS.fullmatch(plain)
    if parts is None or not parts["end"]:
        return ()
    return tuple(name for key, name in real.items() if _number(key) == parts["number"])


def _number(key: str) -> str:
    parts = _PARTS.fullmatch(key)
    return "" if parts is None else parts["number"]


def _is_blend(number: str) -> bool:
    return len(number) == DIGITS_OF_BLEND and number[0] in BLENDS


def other_end(plain: str, found: Sequence[str]) -> str:
    """What is said of a name whose number others have, with other letters or with none.

    >>> other_end("290A", ("R-290",))
    'no such refrigerant: no designation with the number 290 ends so, there is R-290 alone'
    """
    parts = _PARTS.fullmatch(plain)
    number = "" if parts is None else parts["number"]
    there = f"there is {found[0]} alone" if len(found) == 1 else f"there are {', '.join(found[:-1])} and {found[-1]}"
    newer = f": {NEWER}" if _is_blend(number) and plain > max(name.removeprefix("R-") for name in found) else ""
    return f"no such refrigerant: no designation with the number {number} ends so, {there}{newer}"


def with_digits(plain: str) -> str:
    """The name with the digits that its letters O and I may stand for.

    >>> with_digits("41OA")
    '410A'
    """
    return plain.translate(_AS_DIGITS)


def beyond(plain: str, real: Mapping[str, str]) -> str:
    """What is said of a blend whose number is higher than those of its kind that are known; "" of any other name.

    >>> beyond("480A", {"476A": "R-476A", "516A": "R-516A"}).partition(";")[0]
    'no such refrigerant: the zeotropic blends known here end with R-476A'
    """
    parts = _PARTS.fullmatch(plain)
    if parts is None or not _is_blend(parts["number"]):
        return ""
    first = plain[0]
    last = max(key for key in real if key[0] == first and _is_blend(_number(key)))
    if parts["number"] <= _number(last):
        return ""
    return f"no such refrigerant: the {BLENDS[first]} blends known here end with {real[last]}; {NEWER}"
