"""A discharge colder than dry gas leaves a sound machine: what that takes away from the other verdicts.

Liquid in the suction gas is what most often makes it so, and `wet_suction` judges that. A machine whose discharge shows
it is not `within limits` on the strength of the same thermometer.
"""

from __future__ import annotations

from dataclasses import replace

from witnessmark.calculations.compressor import wet_suction
from witnessmark.calculations.compressor.compressor_types import heads_may_be_cooled
from witnessmark.calculations.compressor.operating_limits import Operation, left_open
from witnessmark.calculations.compressor.pumping import PumpingJudgement, PumpingReason
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
