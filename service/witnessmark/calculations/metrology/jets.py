"""Formulas with their first and second derivatives, written down once as straight lines and run for numbers or columns.

A `Jet` stands for an expression; what is done with it is written on its `Tape`: the value, and how it and its slopes
change with the independent ones. The same lines then serve numbers and columns, so that both agree to the last bit.
`Tape.estimate` writes the standard uncertainty to second order, as `uncertainty.SecondOrder` has it from the function
at nodes and corners, here from the derivatives: a tenth of the work. Dimensions are those of the caller.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations_with_replacement
from typing import Any

import numpy as np

from witnessmark.calculations.metrology.uncertainty import CURVATURE, MISFIT, NODE, ROUNDING, signs_of

ONE, MINUS = "1.0", "-1.0"
REACH = 1.25
"""How much farther than to the nodes along the slopes there must be room, for what the slopes do not tell."""
Ways = Mapping[str, Mapping[str, str]]
"""By reading: the independent variables that move with it, and by how much in one standard uncertainty."""
_NAME = re.compile(r"\bt\d+\b")


@dataclass(slots=True)
class Tape:
    """Lines written so far; each expression once."""

    lines: dict[str, tuple[str, ...]] = field(default_factory=dict)
    count: int = 0

    def put(self, text: str) -> str:
        """The name of an expression; a name or a number stays what it is."""
        if text.replace("_", "").isalnum() or text.removeprefix("-").replace(".", "").isdigit():
            return text
        return self.call(text, 1)[0]

    def call(self, text: str, parts: int) -> tuple[str, ...]:
        """The names of the parts of what a call gives."""
        if text not in self.lines:
            self.lines[text] = tuple(f"t{self.count + k}" for k in range(parts))
            self.count += parts
        return self.lines[text]

    def sum(self, terms: Iterable[str | None]) -> str | None:
        """The sum of some products; None for none at all."""
        there = [term for term in terms if term is not None]
        return self.put("+".join(there).replace("+-", "-")) if there else None

    def independent(self, name: str, value: str) -> Jet:
        """The jet of an independent variable."""
        return Jet(self, value, {name: ONE}, {})

    def estimate(self, jet: Jet, ways: Ways) -> tuple[str, str]:
        """Standard uncertainty of a jet, and whether series hold for it."""
        slopes = {reading: self._slope(jet, way) for reading, way in ways.items()}
        told = [reading for reading, slope in slopes.items() if slope is not None]
        if not told:
            return "0.0", "True"
        crosses = {
            (r, q): cross
            for r, q in combinations_with_replacement(told, 2)
            if (cross := self._bend(jet, ways[r], ways[q])) is not None
        }
        bends = [cross for (r, q), cross in crosses.items() if r == q]
        squares = [f"{slopes[r]}*{slopes[r]}" for r in told] + [f"0.5*({bend}*{bend})" for bend in bends]
        spread = self.put(f"root({'+'.join(squares)})")
        mixed = {pair: cross for pair, cross in crosses.items() if pair[0] != pair[1]}
        return spread, self._holds(jet, spread, bends, mixed, list(ways))

    def _holds(
        self, jet: Jet, spread: str, bends: list[str], mixed: dict[tuple[str, str], str], readings: list[str]
    ) -> str:
        """Little bend, and at the corners, where readings act on each other, little miss."""
        room = self.put(f"({spread}+{ROUNDING!r}*abs({jet.value}))")
        limit = self.put(f"{MISFIT!r}*{room}")
        tests = [f"({2 / CURVATURE!r}*({'+'.join(f'abs({bend})' for bend in bends)})<={room})"] if bends else []
        for signs in dict.fromkeys(map(_upward, signs_of(len(readings)))):
            sign = dict(zip(readings, signs, strict=True))
            miss = "".join(f"{'+' if sign[r] == sign[q] else '-'}{cross}" for (r, q), cross in mixed.items())
            tests += [f"(abs({miss})<={limit})"] if miss else []
        return self.put("&".join(tests)) if tests else "True"

    def expanded(self, jet: Jet, ways: Ways, readings: Sequence[str]) -> list[str]:
        """The value, the slope along each reading, and the second derivative along each pair of them."""
        slopes = [self._slope(jet, ways[r]) or "0.0" for r in readings]
        pairs = combinations_with_replacement(readings, 2)
        return [jet.value, *slopes, *(self._bend(jet, ways[r], ways[q]) or "0.0" for r, q in pairs)]

    def clear(self, jet: Jet, ways: Ways) -> str:
        """Whether a jet stays above zero wherever the readings may be, as far as its slopes tell."""
        slopes = [slope for way in ways.values() if (slope := self._slope(jet, way)) is not None]
        if not slopes:
            return self.put(f"({jet.value}>0.0)")
        return self.put(f"({REACH * NODE!r}*({'+'.join(f'abs({slope})' for slope in slopes)})<{jet.value})")

    def _slope(self, jet: Jet, way: Mapping[str, str]) -> str | None:
        return self.sum(product(jet.slopes.get(name), by) for name, by in way.items())

    def _bend(self, jet: Jet, way: Mapping[str, str], other: Mapping[str, str]) -> str | None:
        return self.sum(product(jet.bend(k, m), way[k], other[m]) for k in way for m in other)

    def compiled(self, results: Sequence[str], arguments: str) -> tuple[Callable[..., Any], Callable[..., Any]]:
        """The lines that the results need as a function, for numbers and for columns."""
        needed, lines = set(_NAME.findall(" ".join(results))), []
        for text, names in reversed(self.lines.items()):
            if needed.intersection(names):
                needed.update(used := set(_NAME.findall(text)))
                lines.append((", ".join(names), text, used))
        body = "\n".join(f"    {names} = {text}" for names, text, _ in reversed(lines))
        numbers = f"def work({arguments}):\n{body}\n    return ({', '.join(results)},)"
        space: dict[str, Any] = {"root": math.sqrt}
        wide: dict[str, Any] = {"root": np.sqrt}
        exec(numbers, space)  # noqa: S102 - names and operations of our own
        exec(_freed(lines, results, arguments), wide)  # noqa: S102
        return space["work"], wide["work"]


def _freed(lines: list[tuple[str, str, set[str]]], results: Sequence[str], arguments: str) -> str:
    """The same for columns, each of which is let go after its last use, so that few are held at a time."""
    alive = set(_NAME.findall(" ".join(results)))
    body: list[str] = []
    for names, text, used in lines:  # from the last to the first
        body += [f"    del {', '.join(sorted(used - alive))}"] * bool(used - alive)
        unused = set(names.split(", ")) - alive - used
        alive |= used | unused
        body.append(f"    {names} = {text}")
    return f"def work({arguments}):\n" + "\n".join(reversed(body)) + f"\n    return ({', '.join(results)},)"


def product(*factors: str | None) -> str | None:
    """A product as text, ones left out and the sign of minus ones in front; None where a factor is nothing.

    >>> product("a", "1.0", "b"), product("a", None), product("-1.0", "b")
    ('a*b', None, '-b')
    """
    if None in factors:
        return None
    there = [factor for factor in factors if factor not in {ONE, MINUS}]
    sign = "-" * (factors.count(MINUS) % 2)
    return sign + ("*".join(there) or ONE)  # type: ignore[arg-type]


def _upward(signs: tuple[int, ...]) -> tuple[int, ...]:
    """A corner and its opposite miss alike to second order."""
    return tuple(sign * signs[0] for sign in signs)


@dataclass(frozen=True, slots=True)
class Jet:
    """An expression on a tape: names of its value, of its slopes and of its second derivatives (none: nothing)."""

    tape: Tape
    value: str
    slopes: Mapping[str, str]
    bends: Mapping[tuple[str, str], str]
    turned: tuple[str, str] | None = None
    """Slope and second derivative of its reciprocal over its own variable, where nodes are asked for these."""

    def bend(self, k: str, m: str) -> str | None:
        """Second derivative over two variables."""
        return self.bends.get((k, m) if k <= m else (m, k))

    def __add__(self, other: Jet | float) -> Jet:
        if not isinstance(other, Jet):
            return composed(f"{self.value}+{other!r}", [self], [ONE])
        return composed(f"{self.value}+{other.value}", [self, other], [ONE, ONE])

    def __sub__(self, other: Jet) -> Jet:
        return composed(f"{self.value}-{other.value}", [self, other], [ONE, MINUS])

    def __rsub__(self, other: float) -> Jet:
        return composed(f"{other!r}-{self.value}", [self], [MINUS])

    def __mul__(self, other: Jet | float) -> Jet:
        if not isinstance(other, Jet):
            return composed(f"{self.value}*{other!r}", [self], [repr(other)])
        return composed(f"{self.value}*{other.value}", [self, other], [other.value, self.value], {(0, 1): ONE})

    def squared(self) -> Jet:
        """Itself times itself."""
        twice = self.tape.put(f"{self.value}+{self.value}")
        return composed(f"{self.value}*{self.value}", [self], [twice], {(0, 0): "2.0"})

    def __truediv__(self, other: Jet) -> Jet:
        put = self.tape.put
        value = put(f"{self.value}/{other.value}")
        if other.turned is not None:
            turned = Jet(self.tape, put(f"1.0/{other.value}"), *_own(other, *other.turned))
            return composed(value, [self, turned], [turned.value, self.value], {(0, 1): ONE})
        per = put(f"1.0/{other.value}")
        share = put(f"-{value}*{per}")
        seconds = {(0, 1): put(f"-{per}*{per}"), (1, 1): put(f"-2.0*{share}*{per}")}
        return composed(value, [self, other], [per, share], seconds)

    def __rtruediv__(self, other: float) -> Jet:
        value = self.tape.put(f"{other!r}/{self.value}")
        first = self.tape.put(f"-{value}/{self.value}")
        return composed(value, [self], [first], {(0, 0): self.tape.put(f"-2.0*{first}/{self.value}")})


def _own(variable: Jet, slope: str, bend: str) -> tuple[dict[str, str], dict[tuple[str, str], str]]:
    (name,) = variable.slopes
    return {name: slope}, {(name, name): bend}


def composed(
    value: str, of: Sequence[Jet], firsts: Sequence[str], seconds: Mapping[tuple[int, int], str] | None = None
) -> Jet:
    """A function of some jets: its value, and by place its first and its second derivatives that are not nothing."""
    tape = of[0].tape
    names = sorted({name for jet in of for name in jet.slopes})
    slopes = {k: tape.sum(product(first, jet.slopes.get(k)) for first, jet in zip(firsts, of, strict=True))
              for k in names}  # fmt: skip
    turns = {k: [_turn(of, seconds or {}, i, k) for i in range(len(of))] for k in names}
    bends = {}
    for k, m in combinations_with_replacement(names, 2):
        terms = [product(first, jet.bend(k, m)) for first, jet in zip(firsts, of, strict=True)]
        terms += [product(turn, jet.slopes.get(m)) for turn, jet in zip(turns[k], of, strict=True)]
        if (total := tape.sum(terms)) is not None:
            bends[k, m] = total
    return Jet(tape, tape.put(value), {name: slope for name, slope in slopes.items() if slope}, bends)


def _turn(of: Sequence[Jet], seconds: Mapping[tuple[int, int], str], i: int, k: str) -> str | None:
    """How the first derivative over jet number i changes with a variable."""
    of_i = {pair[0] + pair[1] - i: second for pair, second in seconds.items() if i in pair}
    return of[i].tape.sum(product(second, of[j].slopes.get(k)) for j, second in of_i.items())


def implied(value: str, x: Jet, y: Jet, surface: Sequence[str]) -> Jet:
    """The place b at which F(x, b) = y; surface: F_x, F_b, F_xx, F_xb, F_bb there."""
    put = x.tape.put
    f_x, f_b, f_xx, f_xb, f_bb = surface
    per = put(f"1.0/{f_b}")
    b_x = put(f"-{f_x}*{per}")
    turn = put(f"-({f_xb}+{f_bb}*{b_x})*{per}")
    seconds = {
        (0, 0): put(f"-({f_xx}+({f_xb}+{f_xb}+{f_bb}*{b_x})*{b_x})*{per}"),
        (0, 1): put(f"{turn}*{per}"),
        (1, 1): put(f"-{f_bb}*{per}*{per}*{per}"),
    }
    return composed(value, [x, y], [b_x, per], seconds)
