"""A discharge colder than dry gas leaves a sound machine: what that takes away from the other verdicts.

Liquid in the suction gas is what most often makes it so, and `wet_suction` judges that. A machine whose discharge shows
it is not `within limits` on the strength of the same thermometer.
"""

from __future__ import annotations

from dataclasses import replace

from witnessmark.calculations.compressor import wet_suction
from witnessmark.calculations.compressor.compressor_types import heads_may_be_cooled
from witnessmark.calculations.compressor.operating_limits import Operation, left_open, passed_as_dry
from witnessmark.calculations.compressor.pumping import PumpingJudgement, PumpingReason
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError
from witnessmark.vocabulary import Compressor, Cooling

COLD = frozenset({"colder-than-ideal", "colder-than-expected", "colder-than-cooled-heads"})
"""Reasons that say so."""
BY_PISTONS: Compressor = "reciprocating"


def colder_than_cooled_heads(
    designation: str,
    readings: wet_suction.WetSuctionReadings,
    compressor: Compressor | None,
    cooling: Cooling | None = None,
) -> bool:
    """Whether the heads may be cooled, and not even they leave dry gas as cold as the discharge reads.

    Of an unknown type: of a machine with pistons; what oil cools may be as cold. False where the readings do not fit.

    >>> from witnessmark.calculations.metrology.uncertainty import Measured
    >>> cold = Measured(325.15, 1.2)
    >>> readings = wet_suction.WetSuctionReadings(Measured(2.9e5, 1e4), Measured(13.5e5, 1.7e4), cold)
    >>> colder_than_cooled_heads("R-717", readings, None)
    True
    """
    if not heads_may_be_cooled(designation, compressor, cooling):
        return False
    try:
        found = wet_suction.infer(designation, readings, wet_suction.WetSuctionMachine(None, BY_PISTONS))
    except InputError:
        return False
    return found.verdict == "wet"


def with_cold_heads(judgement: PumpingJudgement) -> PumpingJudgement:
    """The judgement on the pump with that reason before the others.

    >>> judgement = with_cold_heads(PumpingJudgement("pumping", (PumpingReason("lift", "pumping"),)))
    >>> judgement.verdict, [reason.id for reason in judgement.reasons]
    ('pumping', ['colder-than-cooled-heads', 'lift'])
    """
    reason = PumpingReason("colder-than-cooled-heads", "cannot tell")
    return replace(judgement, reasons=(reason, *judgement.reasons))


def left_open_where_cold(judgement: PumpingJudgement, operation: Operation) -> Operation:
    """Where the discharge is too cold for dry gas its distance from saturation shows nothing good.

    Above the critical pressure, where there is no such distance, the verdict alone is left open.

    >>> cold = PumpingJudgement("pumping", (PumpingReason("colder-than-ideal", "cannot tell"),))
    >>> left_open_where_cold(cold, Operation("not judged", ())).verdict
    'not judged'
    """
    if not any(reason.id in COLD for reason in judgement.reasons):
        return operation
    found = left_open(operation, "discharge_superheat")
    return replace(found, verdict="cannot tell") if found.verdict == "within limits" else found


def passed_where_dry(
    judgement: PumpingJudgement,
    operation: Operation,
    suction_superheat: Measured | None,
    discharge_superheat: Measured | None,
    above_ideal: Measured | None,
) -> Operation:
    """A discharge near its dew temperature shows no liquid where dry gas leaves it so: by nature, or at little lift.

    The suction line must surely be superheated, the discharge surely above dew, and no colder than an ideal compression
    of that gas leaves it; where the first or the last is in doubt nobody can tell. above_ideal: K above that.

    >>> from witnessmark.calculations.compressor.operating_limits import OperatingMachine, operation
    >>> close = operation(OperatingMachine("R-1234yf"), {"discharge_superheat": Measured(7.0, 1.0)})
    >>> dry = PumpingJudgement("pumping", ())
    >>> passed_where_dry(dry, close, Measured(5.0, 1.0), Measured(7.0, 1.0), Measured(3.0, 1.0)).verdict
    'within limits'
    """
    cold = any(reason.id in COLD for reason in judgement.reasons)
    if cold or above_ideal is None or suction_superheat is None or discharge_superheat is None:
        return operation
    if not _surely_above(discharge_superheat):
        return operation
    return passed_as_dry(operation, surely=_surely_above(suction_superheat) and above_ideal.value >= 0)


def _surely_above(value: Measured) -> bool:
    return value.value - COVERAGE * value.uncertainty > 0
