"""What evacuation rests on where nobody tells it: limits, gauge, what nobody sees. Reviewed data (evacuation.toml)."""

from __future__ import annotations

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit
from witnessmark.reference import SourceId


class EvacuationLimits(data.Row):
    """The coldest spot in K, non-condensables as a fraction of the vapour."""

    coldest_spot: Limit
    noncondensables: Limit


class VacuumGauge(data.Row):
    """A gauge of which nothing was told: accuracy (a limit) and repeatability (standard) of the reading, step in Pa.

    deepest: Pa up to which no circuit stands at one figure for `still_for` (s): oil and metal give off more than that.
    highest: Pa from which on it is a compound or manifold gauge that reads, whatever the unit.
    """

    of_reading: float
    repeatability: float
    step: float
    deepest: float
    still_for: float
    highest: float
    source: SourceId


class UnseenTemperatures(data.Row):
    """Limits either way, K: drift of the gas within an hour, an hour more and in all; error of the coldest spot."""

    gas_drift: float
    an_hour_more: float
    at_most: float
    coldest_spot: float
    source: SourceId

    def drift(self, span: float) -> float:
        """How far the gas may warm or cool in a test of `span` s. Example: 5 K in an hour, 6 K in two."""
        return min(self.at_most, self.gas_drift + self.an_hour_more * max(0.0, span / 3600 - 1))


class Threshold(data.Row):
    """A fraction below which two climbs count as equal."""

    fraction: float
    source: SourceId


class LargestVolume(data.Row):
    """What a circuit may hold where nobody says it: m³ of any plant, and how many times its charge as liquid.

    nearly_flat: Pa an hour, up to which a climb counts as that of a good vacuum whatever the volume.
    """

    value: float
    times_liquid: float
    nearly_flat: float
    source: SourceId


class EvacuationTable(data.Row):
    """The data file."""

    limits: EvacuationLimits
    gauge: VacuumGauge
    unseen: UnseenTemperatures
    same_slope: Threshold
    largest_volume: LargestVolume


TABLE = data.table(__package__, "evacuation.toml", EvacuationTable)
