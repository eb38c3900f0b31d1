"""An error that scatters and one that stays within a limit, together: the interval that holds both.

Two standard uncertainties of their sum overstate it where the limit prevails: nothing lies beyond a limit.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq
from scipy.special import erf, erfc

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured

_MISSED = float(erfc(COVERAGE / math.sqrt(2)))
"""Share of a normal distribution beyond the coverage factor, both sides."""
_NEGLIGIBLE = 1e-4
"""Ratio of the two below which the smaller one counts as none."""


def half_interval(scatter: float, limit: float) -> float:
    """Half of the interval about a value that holds as much as `COVERAGE` does of a normal distribution.

    scatter: standard uncertainty of a normal error. limit: of an error that is anywhere within ± limit, equally likely;
    both in the unit of the value, neither negative. The two are convolved in closed form.
    Source: JCGM 101:2008, 5.2 and 6.4.2.1; the limit's distribution JCGM 100:2008, 4.3.7.

    >>> round(half_interval(1.0, 0.0), 2), round(half_interval(0.0, 1.0), 4)
    (2.0, 0.9545)
    >>> round(half_interval(1.0, 5.0), 2)  # two standard uncertainties would be 6.11
    5.41
    """
    if limit <= _NEGLIGIBLE * scatter:
        return COVERAGE * scatter
    if scatter <= _NEGLIGIBLE * limit:
        return (1 - _MISSED) * limit
    return float(brentq(lambda w: _beyond(w, scatter, limit) - _MISSED, 0.0, COVERAGE * scatter + limit))


def _beyond(width: float, scatter: float, limit: float) -> float:
    """Share of the sum of both errors beyond ± width."""
    return 1 - (_area((width + limit) / scatter) - _area((width - limit) / scatter)) * scatter / limit


def _area(z: float) -> float:
    """Integral of the normal distribution function less a half, from 0 to z."""
    return z * float(erf(z / math.sqrt(2))) / 2 + math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def for_judging(value: Measured, limit: float) -> Measured:
    """The value with the uncertainty whose `COVERAGE`-fold is the interval of its own and of an error within ± limit.

    >>> judged = for_judging(Measured(60.0, 0.3), 6.0)
    >>> round(judged.value + COVERAGE * judged.uncertainty, 2)
    65.76
    """
    return Measured(value.value, half_interval(value.uncertainty, limit) / COVERAGE)
