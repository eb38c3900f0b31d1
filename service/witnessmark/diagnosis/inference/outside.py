"""What the knowledge does not hold: a hidden disturbance that may raise any finding, weighed against all that is known.

Without it the least unlikely of the known modes takes the whole of the evidence, however badly it fits, and is claimed
for certain where the true one is unknown. With it there is a rival that explains nothing well and everything a little:
its chance grows with each finding that nothing known explains, and shrinks where the knowledge foretold what was seen.
It is one more parent of every finding, so for each observation it is the same as another likelihood: what is normal to
the known ones may have been raised all the same. Nothing is added to the network; one more variant of the likelihoods
is asked about, and both answers are mixed by Bayes' rule.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.inference.posterior import Answer

_MOST = 50.0
"""Natural log of the odds beyond which nothing changes any more."""


def raised(likelihood: Floats, three_way: NDArray[np.bool_], chance: Floats) -> Floats:
    """(K, 3) likelihoods of (normal, low, high) where something unknown is at work.

    likelihood: (K, 3) as observed. chance: (K,) that it raises the finding; a three-way one either way alike.

    >>> raised(np.array([[0.1, 0.9, 0.0]]), np.array([False]), np.array([0.5])).round(2).tolist()
    [[0.5, 0.9, 0.0]]
    """
    abnormal = np.where(three_way, likelihood[:, 1:].mean(axis=1), likelihood[:, 1])
    changed = likelihood.copy()
    changed[:, 0] = (1 - chance) * likelihood[:, 0] + chance * abnormal
    return changed


def mixed(known: Answer, unknown: Answer, prior: float) -> tuple[Answer, float]:
    """The answer with both, and P(something unknown is at work). prior: the same before any finding, 0 < prior < 1.

    known, unknown: the first variant of each counts; both of one posterior, so that their evidence can be compared.
    Where something unknown is at work, "no failure mode" is no account of it.
    """
    apart = float(unknown.log_evidence[0] - known.log_evidence[0]) + math.log(prior / (1 - prior))
    chance = 1 / (1 + math.exp(-min(max(apart, -_MOST), _MOST)))
    probability = (1 - chance) * known.probability[:1] + chance * unknown.probability[:1]
    return replace(known, probability=probability, none=(1 - chance) * known.none[:1]), chance
