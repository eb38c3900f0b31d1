"""Exact marginals on a tree of cliques: two passes, batched, without a single division of tables.

Upwards every clique multiplies what is its own with what came from below and sums its variables out; downwards it hands
every clique below what all the others say (Shenoy & Shafer 1990, "Axioms for probability and belief-function
propagation"). Tables may hold negative entries (`stars`). What rounding can have cost is bounded along the way: every
entry is right to a few units in its last place, so a clique can be off by that times the sum of its entries without
their signs, each as much as it counts in the whole (first order; a running error bound, Higham 2002, "Accuracy and
Stability of Numerical Algorithms", cited from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from witnessmark.diagnosis.inference.cliques import Clique, Tree
from witnessmark.diagnosis.inference.elimination_order import Lay
from witnessmark.diagnosis.inference.network import Floats

RUN = 64
"""Entries that are multiplied in one go, if that can be had."""
SHARE = 2
"""A part is written out further only if that stays within one part in so many of the table."""
_TINY = np.finfo(float).tiny
_ROUNDING = 8 * np.finfo(float).eps
"""Of an entry that is a product of some tables and a sum of two such."""
Part = tuple[Floats, Lay]
"""A (B, 2^d) table, and how it lies over a larger one."""


@dataclass(frozen=True, slots=True, eq=False)
class Summed:
    """What the passes leave. log_evidence: (B,).

    joint: of every clique the (B, 2^d) probability of the variables it has of its own; where none of its factors is
    wanted, of those summed out there. doubt: bound on the relative error of the evidence by rounding; infinite or not a
    number where nothing sensible is left.
    """

    joint: tuple[Floats, ...]
    log_evidence: Floats
    doubt: float


def summed(tree: Tree, tables: Sequence[Floats], weights: Floats) -> Summed:
    """Both passes. tables: (B, 2^d) of every factor, axes by rank; weights: (B, count, 2) of single variables."""
    passes = _Passes(tree.cliques, [_own(clique, tables, weights) for clique in tree.cliques])
    for k in range(len(tree.cliques)):
        passes.up(k)
    for k in range(len(tree.cliques) - 1, -1, -1):
        passes.down(k)
    log_evidence = sum((np.log(top) for top in passes.top), np.zeros(1))
    return Summed(tuple(passes.joint), log_evidence, float(np.max(passes.doubt)) * _ROUNDING)


def onto(table: Floats, lay: Lay) -> Floats:
    """A (B, …) table summed onto the variables of a smaller one; outermost axes first: the sums run along memory."""
    left = table.reshape(len(table), *lay.over)
    for done, axis in enumerate(lay.apart):
        left = left.sum(axis=axis - done)
    return left.reshape(len(table), -1)


def _own(clique: Clique, tables: Sequence[Floats], weights: Floats) -> Floats:
    """(B, 2^own) product of the weights of the variables summed out here and the factors that are at home here."""
    table = weights[:, clique.variables[0]]
    for v in clique.variables[1 : clique.gone]:
        table = (table[:, :, None] * weights[:, None, v]).reshape(len(table), -1)
    whole = np.repeat(table, 1 << (len(clique.own) - clique.gone), axis=1)
    for factor, lay in zip(clique.homes, clique.views, strict=True):
        whole = times(whole, (tables[factor], lay))
    return whole


def times(table: Floats, part: Part, *, anew: bool = False) -> Floats:
    """A table times a part of it; in place, where the variants allow and nothing anew is asked for."""
    smaller, lay = part
    over, given, written = unrolled(lay)
    if written:
        rolled = smaller.reshape(len(smaller), *given, *lay.part[len(given) :])
        smaller = np.empty((len(smaller), *given, *lay.over[len(given) :]))
        np.copyto(smaller, rolled)
        given = (*given, over[-1])
    view, laid = table.reshape(len(table), *over), smaller.reshape(len(smaller), *given)
    if anew or len(smaller) > len(table):
        return (view * laid).reshape(max(len(smaller), len(table)), -1)
    np.multiply(view, laid, out=view)
    return table


@lru_cache(maxsize=1 << 16)
def unrolled(lay: Lay) -> tuple[tuple[int, ...], tuple[int, ...], bool]:
    """Shapes of table and part, and whether the part is written out along the innermost axes first.

    Numbers are multiplied along the innermost run of axes; where that is short, calls cost more than the numbers
    (3 ns an entry instead of 1), and it pays to make it longer in the smaller table, if that stays small.
    """
    inner, start = 1, len(lay.over)
    while start and inner < RUN:
        start -= 1
        inner *= lay.over[start]
    outside = math.prod(lay.part[:start]) * SHARE <= math.prod(lay.over[:start])
    if lay.over and lay.over[-1] < RUN and outside:
        return (*lay.over[:start], inner), lay.part[:start], True
    return lay.over, lay.part, False


def _product(parts: Sequence[Part]) -> Floats:
    """The product of its parts, begun with the widest; not to be written to, since it may be the only part itself."""
    first, *others = sorted(parts, key=lambda part: -part[0].shape[1])
    table, lay = first
    if lay.apart:
        table = np.empty((len(table), *lay.over))
        np.copyto(table, first[0].reshape(len(table), *lay.part))
        table = table.reshape(len(table), -1)
    for place, part in enumerate(others):
        table = times(table, part, anew=place == 0 and not lay.apart)
    return table


class _Passes:
    """Tables and messages of one run; `up` for every clique in order, then `down` in reverse."""

    def __init__(self, cliques: Sequence[Clique], own: Sequence[Floats]) -> None:
        self.cliques, self.own = cliques, own
        self.whole: dict[int, Floats] = {}
        self.message: list[Floats] = []
        self.gross: list[Floats] = []
        self.top: list[Floats] = []
        self.said: dict[int, Floats] = {}
        self.joint = list(own)
        self.doubt = np.zeros(1)

    def up(self, k: int) -> None:
        """The message of a clique."""
        clique = self.cliques[k]
        if clique.wide:
            first, second = (
                _product([self._own_half(k, state), *self._halves(clique.kids, state)]) for state in (0, 1)
            )
            message, gross = first + second, np.abs(first) + np.abs(second)
        else:
            table = self.own[k]
            for place, j in enumerate(clique.kids):
                table = times(table, (self.message[j], self.cliques[j].lay), anew=place == 0)
            self.whole[k] = table
            split = table.reshape(len(table), 1 << clique.gone, -1)
            message, gross = split.sum(axis=1), np.abs(split).sum(axis=1)
        top = np.maximum(np.abs(message).max(axis=1), _TINY)
        self.message.append(message / top[:, None])
        self.gross.append(gross)
        self.top.append(top)

    def _own_half(self, k: int, state: int) -> Part:
        """What a wide clique has of its own, for one state of the variable summed out."""
        own = self.own[k]
        return own.reshape(len(own), 2, -1)[:, state], self.cliques[k].rest

    def _halves(self, kids: Sequence[int], state: int) -> list[Part]:
        """The messages that arrive at a wide clique, for one state of the variable summed out."""
        return [(self._half(j, self.message[j], state), self.cliques[j].lay) for j in kids]

    def _half(self, j: int, table: Floats, state: int) -> Floats:
        return table.reshape(len(table), 2, -1)[:, state] if self.cliques[j].halved else table

    def down(self, k: int) -> None:
        """The joint probability asked for at a clique, and what those below hear of it."""
        above = (self.said.pop(k) if k in self.said else self._outermost(k)) / self.top[k][:, None]
        self.doubt = self.doubt + (np.abs(above) * self.gross[k]).sum(axis=1)
        joint = self._halfway(k, above) if self.cliques[k].wide else self._at_once(k, above)
        total = joint.sum(axis=1, keepdims=True)
        self.joint[k] = joint / np.where(total > 0, total, 1.0)

    def _outermost(self, k: int) -> Floats:
        """Above a clique with nothing above: what makes its total 1; nothing where no digit of it is left."""
        lost = ~((self.message[k] > 0) & (self.top[k][:, None] > _ROUNDING * self.gross[k]))
        self.doubt = np.where(lost[:, 0], np.inf, self.doubt)
        return np.asarray(np.where(lost, 0.0, 1 / np.where(lost, 1.0, self.message[k])))

    def _at_once(self, k: int, above: Floats) -> Floats:
        """Of a small clique."""
        clique, whole = self.cliques[k], self.whole[k]
        split = whole.reshape(len(whole), 1 << clique.gone, -1)
        if clique.kids:
            self._hand_down(k, above)
        if clique.wanted:
            return (split * above[:, None]).reshape(max(len(whole), len(above)), -1)
        return np.asarray((split @ above[:, :, None])[:, :, 0])

    def _hand_down(self, k: int, above: Floats) -> None:
        """To every clique below: what comes from above, this clique's own, and what the other ones below say."""
        clique, own = self.cliques[k], self.own[k]
        over = Lay((1 << clique.gone, above.shape[1]), (1, above.shape[1]), (1,))
        table = times(own, (above, over), anew=True)
        for place, j in enumerate(clique.kids):
            others, rest = table, clique.kids[place + 1 :]
            for other in rest:
                others = times(others, (self.message[other], self.cliques[other].lay), anew=others is table)
            self.said[j] = onto(others, self.cliques[j].lay)
            if rest:
                table = times(table, (self.message[j], self.cliques[j].lay))

    def _halfway(self, k: int, above: Floats) -> Floats:
        """Of a wide clique, state by state of the variable summed out."""
        kids, over = self.cliques[k].kids, Lay((above.shape[1],), (above.shape[1],), ())
        chance: list[Floats] = []
        for place, j in enumerate(kids):
            others = [*kids[:place], *kids[place + 1 :]]
            parts = [[(above, over), self._own_half(k, state), *self._halves(others, state)] for state in (0, 1)]
            heard = [onto(_product(some), self.cliques[j].lay) for some in parts]
            self.said[j] = np.concatenate(heard, axis=1) if self.cliques[j].halved else heard[0] + heard[1]
            chance = chance or [(h * self._half(j, self.message[j], s)).sum(axis=1) for s, h in enumerate(heard)]
        if kids and not self.cliques[k].wanted:
            return np.stack(chance, axis=1)
        joint = []
        for state in (0, 1):
            own, rest = self._own_half(k, state)
            half = own * onto(_product([(above, over), *self._halves(kids, state)]), rest)
            joint.append(half if self.cliques[k].wanted else half.sum(axis=1, keepdims=True))
        return np.concatenate(joint, axis=1)
