"""Which causes are at work: present, and the reason of a mode or of something that was seen, not merely there as well.

A cause that is present is idle when it brought about no mode and raised no finding that was looked at. In a noisy-OR
its triggers fail independently, so the joint probability of an idle cause is that of its absence times
leak / (1 - leak) and the chances that each trigger failed: no pass is needed.
"""

from __future__ import annotations

import numpy as np

from witnessmark.diagnosis.inference.approximation import silence_weight
from witnessmark.diagnosis.inference.noisy_or import Evidence, Floats, Network


def at_work(net: Network, evidence: Evidence, probability: Floats) -> Floats:
    """(causes,) P(present and the reason of a mode or of an observed finding). probability: (n,) P(present)."""
    causes, figures = slice(net.causes), net.figures
    failed = (1 - figures.trigger[0, net.causes :, causes]).prod(axis=0)
    failed *= (1 - figures.low[0, evidence.findings, causes]).prod(axis=0)
    failed *= (1 - figures.high[0, evidence.findings, causes]).prod(axis=0)
    leak = figures.leak[0, causes]
    idle = leak / (1 - leak) * failed * np.exp(silence_weight(net, evidence)[causes]) * (1 - probability[causes])
    return np.asarray(np.clip(probability[causes] - idle, 0.0, 1.0))
