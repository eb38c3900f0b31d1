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

from witnessmark.diagnosis.elimination import Plan, Scope
from witnessmark.diagnosis.network import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """What the passes leave. probability: (B, count) P(variable = 1 | evidence). log_evidence: (B,).

    tables: the tables after the upward pass, for sampling backwards.
    """

    plan: Plan
    probability: Floats
    log_evidence: Floats
    tables: tuple[Floats, ...]


def calibrate(plan: Plan, factors: Sequence[Floats], count: int) -> Calibrated:
    """Marginals of all variables and the log of the evidence, for every variant of the batch."""
    rows = max(map(len, factors))
    tables, messages, log_evidence = _upward(plan, factors, rows)
    return Calibrated(plan, _downward(plan, tables, messages, (rows, count)), log_evidence, tuple(tables))


def _upward(plan: Plan, factors: Sequence[Floats], rows: int) -> tuple[list[Floats], list[Floats], Floats]:
    tables: list[Floats] = []
    messages: list[Floats] = []
    log_evidence = np.zeros(rows)
    for k, clique in enumerate(plan.cliques):
        table = np.ones((1,) + (1,) * (len(clique) - 1) + (2,))
        for f in plan.homes[k]:
            axes, shape = plan.views[f]
            table = table * factors[f].transpose(axes).reshape(-1, *shape)
        for c in plan.children[k]:
            table = table * _widened(messages[c], plan.cliques[c][:-1], clique)
        message = table.sum(axis=-1)
        top = message.reshape(len(message), -1).max(axis=1)
        log_evidence += np.log(top)
        tables.append(table)
        messages.append(message / top.reshape(-1, *(1,) * (message.ndim - 1)))
    return tables, messages, log_evidence


def _widened(message: Floats, scope: Scope, clique: Scope) -> Floats:
    """A message over some variables of the clique (in the clique's order), ready to be broadcast over it."""
    inside = set(scope)
    return message.reshape(len(message), *(2 if v in inside else 1 for v in clique))


def _downward(plan: Plan, tables: list[Floats], messages: list[Floats], shape: tuple[int, int]) -> Floats:
    probability = np.empty(shape)
    down: dict[int, Floats] = {}
    for k in range(len(plan.cliques) - 1, -1, -1):
        clique = plan.cliques[k]
        belief = tables[k] * down.pop(k)[..., None] if k in down else tables[k]
        own = belief.reshape(len(belief), -1, 2).sum(axis=1)
        probability[:, clique[-1]] = own[:, 1] / own.sum(axis=1)
        for c in plan.children[k]:
            scope = plan.cliques[c][:-1]
            apart = tuple(a + 1 for a, v in enumerate(clique) if v not in scope)
            # where the message is zero the belief is zero too, so any divisor serves
            divisor = np.where(messages[c] > 0, messages[c], 1.0)
            part = (belief / _widened(divisor, scope, clique)).sum(axis=apart)
            down[c] = part / part.reshape(len(part), -1).max(axis=1).reshape(-1, *(1,) * (part.ndim - 1))
    return probability


def sample(result: Calibrated, uniform: Floats, count: int) -> Floats:
    """Exact draws from the posterior of the first variant: (S, count) of 0 and 1 from (S, count) uniform numbers."""
    drawn = np.zeros((len(uniform), count))
    for clique, table in zip(reversed(result.plan.cliques), reversed(result.tables), strict=True):
        both = np.broadcast_to(table[0], (2,) * len(clique)).reshape(-1, 2)
        chance = both[:, 1] / np.maximum(both.sum(axis=1), np.finfo(float).tiny)
        row = np.zeros(len(uniform), dtype=np.intp)
        for v in clique[:-1]:
            row = 2 * row + drawn[:, v].astype(np.intp)
        drawn[:, clique[-1]] = uniform[:, clique[-1]] < chance[row]
    return drawn
