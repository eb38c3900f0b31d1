"""What stands in for readings of the cycle that were not taken: reviewed data, checked when loaded."""

from __future__ import annotations

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId


class StandIns(data.Row):
    """Usual values with wide uncertainty, K."""

    superheat: Measured
    subcooling: Measured
    source: SourceId


STAND_INS = data.table(__package__, "cycle.toml", StandIns)
