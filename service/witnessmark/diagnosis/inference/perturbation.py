"""Perturbed copies of the figures of a network: every log-odds is shifted by an independent normal."""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.inference.noisy_or import Figures, Floats, Network
from witnessmark.diagnosis.inference.random_streams import Keys, joined, keys, normal


def perturbed(net: Network, sd: float, draws: int, *seed: object) -> Figures:
    """`draws` variants of the figures; what is 0 or 1 stays so.

    seed: whatever names this run. It and the ids that a figure belongs to decide its shifts, nothing else does.
    """
    figures, nodes, findings = net.figures, keys(net.nodes), keys(net.findings)

    def shifted(what: str, value: Floats, *ids: Keys) -> Floats:
        out = np.repeat(value, draws, axis=0)
        inner = (value[0] > 0) & (value[0] < 1)
        axes = zip(ids, np.nonzero(inner), strict=True)
        stream = joined(*keys((*seed, what)), *(axis[at] for axis, at in axes))
        odds = value[0, inner] / (1 - value[0, inner]) * np.exp(sd * normal(stream, draws))
        out[:, inner] = odds / (1 + odds)
        return out

    return Figures(
        leak=shifted("leak", figures.leak, nodes),
        trigger=shifted("trigger", figures.trigger, nodes, nodes),
        low=shifted("low", figures.low, findings, nodes),
        high=shifted("high", figures.high, findings, nodes),
        no_leak_low=shifted("quiet low", figures.no_leak_low, findings),
        no_leak_high=shifted("quiet high", figures.no_leak_high, findings),
    )
