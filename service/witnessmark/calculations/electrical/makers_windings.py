"""Start and run winding of a single-phase motor against the maker's own resistances, which settle what no ratio can.

Resistances in ohm, temperatures in K.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from witnessmark.calculations.electrical.winding_rules import TABLE, Conductor, Three
from witnessmark.calculations.electrical.windings import (
    Reference,
    ReferenceCheck,
    WindingsResult,
    against_reference,
)
from witnessmark.calculations.metrology.uncertainty import Measured


@dataclass(frozen=True, slots=True)
class MakersWindings:
    """What the maker states of both windings, and the temperature of the windings when they were read.

    scale: relative standard uncertainty of the meter. lead_left_in: nobody measured the test leads.
    """

    start: Reference
    run: Reference
    now: Measured
    conductor: Conductor = "copper"
    scale: float = 0.0
    lead_left_in: bool = False


def against_makers(net: Three, makers: MakersWindings) -> ReferenceCheck:
    """The winding that lies further from the maker's figure, in parts of its limit; errors as `against_reference`.

    net: the three readings less the test leads, in any order; the least is of the run winding, the next of the start
    winding. Example: 1.3, 1.1 and 2.4 ohm, where the maker states 1.3 and 1.1: both within 10 %.
    """
    run, start, _ = sorted(net, key=lambda reading: reading.value)
    left_in = TABLE().leads.at_most(net) / 2 if makers.lead_left_in else 0.0
    checks = [
        against_reference(
            Measured(read.value, math.hypot(read.uncertainty, left_in)),
            makers.now,
            reference,
            makers.conductor,
            makers.scale,
        )
        for read, reference in ((start, makers.start), (run, makers.run))
    ]
    return max(checks, key=lambda check: (check.standing == "outside", check.standing != "within", _off(check)))


def with_makers(result: WindingsResult, check: ReferenceCheck) -> WindingsResult:
    """The result beside the maker's figures: they settle a ratio that procedures do not know, or contradict it.

    Only windings that add up are held against them: what is open, shorted or swapped has been told.
    """
    result = replace(result, reference=check)
    if result.start_run is None or not result.start_run.sum_agrees or result.verdict == "terminals not as labelled":
        return result
    if check.standing == "within":
        return replace(result, verdict="adds up", explanation=AS_THE_MAKER)
    if check.standing != "outside":
        return result
    why = (
        f"the windings add up, {check.deviation.value:+.0%} off the maker's resistance: turns shorted, or the figures "
        "are of another motor or another temperature"
    )
    return replace(result, verdict="readings contradict", explanation=why)


AS_THE_MAKER = "the greatest reading is the sum of the other two, and both windings have the maker's resistance"


def _off(check: ReferenceCheck) -> float:
    return abs(check.deviation.value)
