"""The numbers of the exact pass: every star as a table (`stars` has the structure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.inference.elimination_order import Scope
from witnessmark.diagnosis.inference.factors import LOW, Bundle, Narrow, Stars
from witnessmark.diagnosis.inference.gates import Numbers, weigh
from witnessmark.diagnosis.inference.network import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Filled:
    """Numbers to the structure; every array has a leading axis of variants, of length 1 where all are alike.

    tables: of the bundles, gates, states and narrow stars in this order, (B, 2^d) with axes by rank. weights:
    (B, count, 2) of single variables. active: for every cause that is no variable the share of its table that it has
    when active. idle: (B, idle) P(active) of the causes that feed nothing. constant: (B,) log of what hangs on no
    variable.
    """

    tables: list[Floats]
    weights: Floats
    active: dict[int, Floats]
    idle: Floats
    constant: Floats


def filled(held: Stars, numbers: Numbers, rank: Sequence[int], bundles: Sequence[Bundle]) -> Filled:
    """Tables whose axes go by the rank of the variables (position in the order of summing out)."""
    return _Filling(held, numbers, rank).filled(bundles)


class _Filling:
    """The numbers of one structure. keep: (B, arms) 1 - trigger. quiet: (B, K) by side, of observations."""

    def __init__(self, held: Stars, numbers: Numbers, rank: Sequence[int]) -> None:
        self.held, self.numbers, self.rank = held, numbers, rank
        figures, rows = numbers.figures, np.array(held.rows, np.intp)
        arms = np.array(held.arms, np.intp).reshape(-1, 3)
        row, parent = rows[arms[:, 1]], arms[:, 2]
        of_findings = np.where(arms[:, 0] == LOW, figures.low[:, row, parent], figures.high[:, row, parent])
        of_modes = figures.trigger[:, held.core.child, held.core.parent]
        self.keep = 1 - np.concatenate([of_modes, of_findings], axis=1)
        self.quiet_low = figures.quiet_low[:, rows] * numbers.fold_low
        self.quiet_high = figures.quiet_high[:, rows] * numbers.fold_high
        self.prior = self._priors()

    def filled(self, bundles: Sequence[Bundle]) -> Filled:
        """All of it."""
        active: dict[int, Floats] = {}
        tables = _products(self.keep, [bundle.arms for bundle in bundles], halved=True)
        tables += self._gates()
        tables += [_turned(self._state(one.number), one.scope, self.rank) for one in self.held.states]
        tables += self._narrow(active)
        idle = self.prior[:, list(self.held.idle)]
        total = idle.sum(axis=2)
        return Filled(tables, self._weights(), active, idle[:, :, 1] / total, self._constant(np.log(total)))

    def _priors(self) -> Floats:
        """(B, n, 2) weights of causes and of modes without a gate; of the others what is said beside the gates."""
        figures, numbers, causes = self.numbers.figures, self.numbers, self.numbers.net.causes
        rows = max(map(len, (figures.leak, numbers.weight, numbers.likelihood)))
        prior = np.repeat(numbers.weight, rows // len(numbers.weight), axis=0)
        off = (1 - figures.leak) * numbers.fold_node
        for chosen in (slice(causes), list(self.held.core.free)):
            prior[:, chosen, 0] *= off[:, chosen]
            prior[:, chosen, 1] *= 1 - off[:, chosen]
        for seen, node in self.held.single:
            keep = 1 - figures.low[:, self.held.rows[seen], node]
            prior[:, node] *= self._observed(seen, np.stack([np.ones_like(keep), keep], axis=1))
        return prior

    def _gates(self) -> list[Floats]:
        """(B, 4) tables of modes and their hubs: a hub in its second state stands for the product of its arms."""
        gates, rank = self.held.core.gates, self.rank
        modes = [one.number for one in gates]
        quiet = (1 - self.numbers.figures.leak[:, modes]) * self.numbers.fold_node[modes]
        before = np.array([rank[one.scope[0]] < rank[one.scope[1]] for one in gates], bool)
        table = np.zeros((*quiet.shape, 4))
        table[:, :, 1], table[:, :, 2] = np.where(before, quiet, 1.0), np.where(before, 1.0, quiet)
        table[:, :, 3] = -quiet
        return [table[:, k] for k in range(len(gates))]

    def _state(self, seen: int) -> Floats:
        """(B, 2, 2) of the low and the high hub of an observation."""
        quiet_low, quiet_high = self.quiet_low[:, seen], self.quiet_high[:, seen]
        normal, low, high = (self.numbers.likelihood[:, seen, k] for k in range(3))
        both = (low + high) / 2
        parts = (both, quiet_high * (low - both), quiet_low * (high - both), quiet_low * quiet_high * (normal - both))
        return np.stack(np.broadcast_arrays(*parts), axis=1).reshape(-1, 2, 2)

    def _narrow(self, active: dict[int, Floats]) -> list[Floats]:
        """Of causes and observations with few arms; enters the share of active causes."""
        tables = []
        products = _products(self.keep, [_sorted_arms(one, self.rank) for one in self.held.narrow])
        for one, product in zip(self.held.narrow, products, strict=True):
            if one.of == "finding":
                tables.append(self._observed(one.number, product))
                continue
            on = self.prior[:, one.number, 1:] * product
            tables.append(self.prior[:, one.number, :1] + on)
            active[one.number] = on / tables[-1]
        return tables

    def _observed(self, seen: int, product: Floats) -> Floats:
        """(B, 2^d) likelihood of a yes-no observation over the product of its arms."""
        off = self.quiet_low[:, seen, None] * product
        normal, low = self.numbers.likelihood[:, seen, :1], self.numbers.likelihood[:, seen, 1:2]
        return off * normal + (1 - off) * low

    def _weights(self) -> Floats:
        held, likelihood = self.held, self.numbers.likelihood
        weights = np.ones((len(self.prior), held.count, 2))
        weights[:, list(held.variable.values())] = self.prior[:, list(held.variable)]
        hubs, seen = list(held.hubs), list(held.hubs.values())
        weights[:, hubs, 0] = likelihood[:, seen, 1]
        weights[:, hubs, 1] = self.quiet_low[:, seen] * (likelihood[:, seen, 0] - likelihood[:, seen, 1])
        return weights

    def _constant(self, idle: Floats) -> Floats:
        """(B,) log of the weights of idle causes, and of the likelihood of findings that nothing taken in triggers."""
        total = np.asarray(idle.sum(axis=1))
        for seen in self.held.lonely:
            quiet = self.quiet_low[:, seen]
            total = total + np.log(weigh(quiet, np.ones_like(quiet), self.numbers.likelihood[:, seen]))
        return total


def _products(keep: Floats, stars: Sequence[Sequence[int]], *, halved: bool = False) -> list[Floats]:
    """(B, 2^d) product of the arms of every star, the first outermost; stars of one width are filled at once.

    halved: with the variable of a bundle before the arms: its first state is not touched by any of them.
    """
    products: list[Floats] = [keep] * len(stars)
    widths: dict[int, list[int]] = {}
    for k, arms in enumerate(stars):
        widths.setdefault(len(arms), []).append(k)
    for width, chosen in widths.items():
        table = np.ones((len(keep), len(chosen), 1 + halved, 1 << width))
        numbers = np.array([stars[k] for k in chosen], np.intp)
        for place in range(width):
            active = table[:, :, -1].reshape(len(keep), len(chosen), 1 << place, 2, -1)[:, :, :, 1]
            active *= keep[:, numbers[:, place], None, None]
        for number, k in enumerate(chosen):
            products[k] = table[:, number].reshape(len(keep), -1)
    return products


def _sorted_arms(one: Narrow, rank: Sequence[int]) -> list[int]:
    return [arm for _, arm in sorted(zip(one.scope, one.arms, strict=True), key=lambda a: rank[a[0]])]


def _turned(table: Floats, scope: Scope, rank: Sequence[int]) -> Floats:
    """(B, 4) of a (B, 2, 2) table, its axes by rank."""
    first, second = scope
    return (table if rank[first] < rank[second] else table.swapaxes(1, 2)).reshape(len(table), 4)
