"""The factors of an exact pass: noisy-OR gates as small non-negative tables, long ones cut into chains of ORs.

Structure first (`Gate`: which variables, which figures), numbers after (`tables`), so that one structure serves
many variants. Causal independence: Heckerman & Breese 1996, IEEE Trans. SMC-A 26(6), 826-831.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from witnessmark.diagnosis.inference.elimination_order import Scope
from witnessmark.diagnosis.inference.network import Figures, Floats, Network

MOST_PARENTS = 7
"""A noisy-OR with more parents is cut into a chain; a table of 2^7 is cheap."""


class Input(NamedTuple):
    """A parent of a gate. node: column of the figures, or -1 for a link of a chain, which always triggers its side."""

    variable: int
    node: int
    side: str = "both"


@dataclass(frozen=True, slots=True)
class Gate:
    """A noisy-OR over its inputs.

    row: the node or finding whose figures it uses; seen: which observation weighs it (findings only, else -1).
    side: the accumulator it raises, `both` for evidence. raises: the variable it sets; None for evidence.
    started: the quiet of the background is already accounted for further up the chain. last: it sets a node itself.
    """

    row: int
    seen: int
    inputs: tuple[Input, ...]
    side: str = "low"
    raises: int | None = None
    started: bool = False
    last: bool = False

    @property
    def scope(self) -> Scope:
        """Its variables, in the order of the axes of its table."""
        tail = () if self.raises is None else (self.raises,)
        return (*(i.variable for i in self.inputs), *tail)


class Circuit:
    """Gates, and the number of variables with the auxiliary ones."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.gates: list[Gate] = []

    def node(self, variable: int, row: int, inputs: Sequence[Input]) -> None:
        """P(variable | parents)."""
        self._chain(Gate(row, -1, tuple(inputs), raises=variable, last=True))

    def finding(self, row: int, seen: int, sides: Mapping[str, Sequence[Input]]) -> None:
        """Evidence; `sides` holds the inputs that trigger the low and the high accumulator."""
        inputs = tuple(dict.fromkeys((*sides["low"], *sides["high"])))
        if len(inputs) <= MOST_PARENTS:
            self.gates.append(Gate(row, seen, inputs, "both"))
            return
        links = tuple(self._accumulator(row, seen, side, given) for side, given in sides.items())
        self.gates.append(Gate(row, seen, links, "both", started=True))

    def _accumulator(self, row: int, seen: int, side: str, inputs: Sequence[Input]) -> Input:
        variable = self._new()
        self._chain(Gate(row, seen, tuple(inputs), side, raises=variable))
        return Input(variable, -1, side)

    def _new(self) -> int:
        self.count += 1
        return self.count - 1

    def _chain(self, gate: Gate) -> None:
        while len(gate.inputs) > MOST_PARENTS:
            link = self._new()
            self.gates.append(replace(gate, inputs=gate.inputs[:MOST_PARENTS], raises=link, last=False))
            gate = replace(gate, inputs=(Input(link, -1), *gate.inputs[MOST_PARENTS:]), started=True)
        self.gates.append(gate)


@dataclass(frozen=True, slots=True, eq=False)
class Numbers:
    """What the gates are filled with.

    fold_node: (n,), fold_low, fold_high: (K,) factors on the quiet that nodes left out bring. weight: (B, n, 2) what
    else is said of every node inactive and active. likelihood: (B, K, 3).
    """

    net: Network
    figures: Figures
    fold_node: Floats
    fold_low: Floats
    fold_high: Floats
    weight: Floats
    likelihood: Floats


def tables(gates: Sequence[Gate], numbers: Numbers) -> list[Floats]:
    """The table of every gate, (B, 2, 2, …)."""
    return [_evidence(gate, numbers) if gate.raises is None else _raising(gate, numbers) for gate in gates]


def _raising(gate: Gate, numbers: Numbers) -> Floats:
    off = _off(gate, gate.side, numbers)
    table = np.empty((*off.shape, 2))
    table[..., 0], table[..., 1] = off, 1 - off
    if not gate.last:
        return table
    return np.asarray(table * numbers.weight[:, gate.row].reshape(-1, *(1,) * (table.ndim - 2), 2))


def _background(gate: Gate, side: str, numbers: Numbers) -> tuple[Floats, Floats]:
    """(B,) quiet and (B, n) triggers of the row and side."""
    figures, row = numbers.figures, gate.row
    if gate.seen < 0:
        return (1 - figures.leak[:, row]) * numbers.fold_node[row], figures.trigger[:, row]
    if side == "low":
        return figures.quiet_low[:, row] * numbers.fold_low[gate.seen], figures.low[:, row]
    return figures.quiet_high[:, row] * numbers.fold_high[gate.seen], figures.high[:, row]


def _off(gate: Gate, side: str, numbers: Numbers) -> Floats:
    """P(accumulator stays off) over the inputs, (B, 2, 2, …)."""
    quiet, triggers = _background(gate, side, numbers)
    table = np.ones(1) if gate.started else quiet
    for given in gate.inputs:
        table = _widened(table, given, side, triggers)
    return table


def _widened(table: Floats, given: Input, side: str, triggers: Floats) -> Floats:
    """One axis more: unchanged while the input is inactive, times 1 - trigger while it is active."""
    wide = np.empty((max(len(table), len(triggers)), *table.shape[1:], 2))
    wide[..., 0] = table
    if given.node >= 0:
        wide[..., 1] = table * (1 - triggers[:, given.node]).reshape(-1, *(1,) * (table.ndim - 1))
    else:
        wide[..., 1] = 0.0 if given.side in ("both", side) else table
    return wide


def _evidence(gate: Gate, numbers: Numbers) -> Floats:
    seen = numbers.likelihood[:, gate.seen]
    off_low = _off(gate, "low", numbers)
    if not numbers.net.three_way[gate.row]:
        shape = (-1, *(1,) * (off_low.ndim - 1))
        return off_low * seen[:, 0].reshape(shape) + (1 - off_low) * seen[:, 1].reshape(shape)
    return weigh(off_low, _off(gate, "high", numbers), seen)


def weigh(off_low: Floats, off_high: Floats, likelihood: Floats) -> Floats:
    """Likelihood of a report given that the accumulators stay off with these probabilities, (B, …) and (B, 3)."""
    shape = (-1, *(1,) * (off_low.ndim - 1))
    normal, low, high = (likelihood[:, k].reshape(shape) for k in range(3))
    on_low, on_high = 1 - off_low, 1 - off_high
    one_sided = on_low * off_high * low + off_low * on_high * high
    return off_low * off_high * normal + one_sided + on_low * on_high * (low + high) / 2
