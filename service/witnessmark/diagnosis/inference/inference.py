"""Exact marginals by variable elimination on a bucket tree: two passes, batched, no negatives.

Every noisy-OR is a table over its parents; one with many parents is cut into a chain of ORs (causal independence:
Heckerman & Breese 1996, IEEE Trans. SMC-A 26(6)). Nothing is ever subtracted, so no digits are lost to cancellation,
unlike with the alternating sums of quickscore (Heckerman 1989), which is not used.
Message passing: Shenoy & Shafer 1990; Koller & Friedman 2009, "Probabilistic Graphical Models", chapter 10.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.inference.elimination_order import Lay, Plan
from witnessmark.diagnosis.inference.network import Floats

_TINY = np.finfo(float).tiny


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """What the passes leave. probability: (B, count) P(variable = 1 | evidence). log_evidence: (B,).

    tables: (B, size) of every clique, for sampling backwards.
    """

    plan: Plan
    probability: Floats
    log_evidence: Floats
    tables: tuple[Floats, ...]


def calibrate(plan: Plan, factors: Sequence[Floats], count: int) -> Calibrated:
    """Marginals of all variables and the log of the evidence, for every variant of the batch."""
    rows = max(map(len, factors), default=1)
    tables, messages, log_evidence = _upward(plan, factors, rows)
    return Calibrated(plan, _downward(plan, tables, messages, (rows, count)), log_evidence, tuple(tables))


def _upward(plan: Plan, factors: Sequence[Floats], rows: int) -> tuple[list[Floats], list[Floats], Floats]:
    tables: list[Floats] = []
    messages: list[Floats] = []
    log_evidence = np.zeros(rows)
    for k, clique in enumerate(plan.cliques):
        parts = [(factors[f].transpose(plan.views[f][0]), plan.views[f][1]) for f in plan.homes[k]]
        parts += [(messages[c], plan.joins[c]) for c in plan.children[k]]
        table = _product(parts, 1 << len(clique))
        half = table.shape[1] // 2
        message = table[:, :half] + table[:, half:]
        top = message.max(axis=1)
        log_evidence += np.log(top)
        message /= top[:, None]
        tables.append(table)
        messages.append(message)
    return tables, messages, log_evidence


def _product(parts: Sequence[tuple[Floats, Lay]], size: int) -> Floats:
    """(B, size) product of tables that lie over a clique."""
    table = np.empty((max(len(part) for part, _ in parts), size))
    for k, (part, lay) in enumerate(parts):
        view, given = table.reshape(len(table), *lay.over), part.reshape(len(part), *lay.part)
        np.copyto(view, given) if k == 0 else np.multiply(view, given, out=view)
    return table


def _downward(plan: Plan, tables: list[Floats], messages: list[Floats], shape: tuple[int, int]) -> Floats:
    """Probabilities. Every table is left multiplied with what came down, which alters no conditional in it."""
    probability = np.empty(shape)
    down: dict[int, Floats] = {}
    for k in range(len(plan.cliques) - 1, -1, -1):
        belief = _joined(tables[k], down.pop(k, None))
        own = belief.reshape(len(belief), 2, -1).sum(axis=2)
        probability[:, plan.cliques[k][0]] = own[:, 1] / own.sum(axis=1)
        for c in plan.children[k]:
            # where the message is zero the belief is zero too, so any divisor serves
            part = _onto(belief, plan.joins[c]) / np.maximum(messages[c], _TINY)
            down[c] = part / part.max(axis=1)[:, None]
        tables[k] = belief
    return probability


def _joined(table: Floats, down: Floats | None) -> Floats:
    """The table times what came down, in place where the batch allows."""
    if down is None:
        return table
    halves = table.reshape(len(table), 2, -1)
    out = halves if len(halves) >= len(down) else None
    return np.multiply(halves, down[:, None], out=out).reshape(-1, table.shape[1])


def _onto(belief: Floats, lay: Lay) -> Floats:
    """A table summed onto the variables of a smaller one; outermost axes first, so that the sums run along memory."""
    left = belief.reshape(len(belief), *lay.over)
    for done, axis in enumerate(lay.apart):
        left = left.sum(axis=axis - done)
    return left.reshape(len(belief), -1)


def sample(result: Calibrated, uniform: Floats, count: int) -> Floats:
    """Exact draws from the posterior of the first variant: (S, count) of 0 and 1 from (S, count) uniform numbers."""
    drawn = np.zeros((len(uniform), count))
    for clique, table in zip(reversed(result.plan.cliques), reversed(result.tables), strict=True):
        both = table[0].reshape(2, -1)
        chance = both[1] / np.maximum(both.sum(axis=0), _TINY)
        row = np.zeros(len(uniform), dtype=np.intp)
        for v in clique[1:]:
            row = 2 * row + drawn[:, v].astype(np.intp)
        drawn[:, clique[0]] = uniform[:, clique[0]] < chance[row]
    return drawn
