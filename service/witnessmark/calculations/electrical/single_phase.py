"""Start and run winding of a single-phase motor from the three readings between its terminals, in whatever order.

Common-to-run is the least, common-to-start lies between, start-to-run is the sum of the two: the terminals can be told
by that. The sum decides; start over run has no fixed ratio, and speaks only where no source would call it good.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.electrical.winding_rules import (
    NO_LEAD,
    TABLE,
    Terminals,
    Three,
    WindingVerdict,
    less_leads,
    no_winding,
    opened,
)
from witnessmark.calculations.metrology.limits import Ruling, Standing, judge
from witnessmark.calculations.metrology.ratios import difference, ratio
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured

MotorTerminal = TypeAliasType("MotorTerminal", Literal["common", "start", "run"])
"""A terminal of a single-phase motor."""
ENDS: tuple[tuple[MotorTerminal, MotorTerminal], ...] = (("common", "start"), ("common", "run"), ("start", "run"))
"""Between which terminals each reading was taken, as labelled."""
FAR = (
    "times the run winding, more than procedures call good and some motors with a start capacitor have: hold both "
    "windings against the maker's resistances"
)
BLIND = 0.5
"""A sum that is known no better than this share of the run winding says nothing."""


@dataclass(frozen=True, slots=True)
class SinglePhaseReadings:
    """Readings common-to-start, common-to-run, start-to-run; `lead` is the resistance of the test leads.

    labelled: whether the terminals are known; if not, any order will do. lead_left_in: nobody measured the leads.
    """

    terminals: Terminals
    lead: Measured = NO_LEAD
    labelled: bool = True
    lead_left_in: bool = False


@dataclass(frozen=True, slots=True)
class StartRun:
    """Whether the greatest reading equals the sum of the other two, and start over run.

    surplus: greatest less the sum of the other two, ohm. least, greatest: limits of start over run.
    common, start, run: the terminal, as the request labels it, that the readings show to be it.
    """

    surplus: Measured
    sum_agrees: bool
    start_over_run: Measured
    least: Ruling
    greatest: Ruling
    start_over_run_standing: Standing
    common: MotorTerminal
    start: MotorTerminal
    run: MotorTerminal


def judged(readings: SinglePhaseReadings) -> tuple[WindingVerdict, str, StartRun | None]:
    """Verdict, what it rests on in words, and the numbers; errors as for `less_leads`.

    Example: 1.7, 4.2 and 2.5 ohm, exact, terminals not known: "adds up".
    """
    readings = replace(readings, terminals=opened(readings.terminals))
    if None in readings.terminals:
        return (*_open(readings), None)
    net = less_leads(readings.terminals, readings.lead)
    if fault := no_winding(net, ENDS) or _dead(net):
        return (*fault, None)
    least, middle, greatest = sorted(range(3), key=lambda k: net[k].value)
    start_run = _start_run(readings, net, (least, middle, greatest))
    verdict, explanation = _verdict(readings, net, start_run)
    return verdict, explanation, start_run


def _dead(net: Three) -> tuple[WindingVerdict, str] | None:
    """One winding of next to nothing: the ratio of the two means nothing then."""
    least = min(range(3), key=lambda k: net[k].value)
    if net[least].value >= TABLE().between_terminals.shorted:
        return None
    return (
        "shorted winding",
        f"next to nothing between {' and '.join(ENDS[least])}: that winding is shorted, or its leads are",
    )


def _start_run(readings: SinglePhaseReadings, net: Three, order: tuple[int, int, int]) -> StartRun:
    """order: the readings from least to greatest."""
    run, start, both = (net[k] for k in order)
    # Each reading holds the leads once, so in the sum they are left over once, with their uncertainty.
    surplus = difference(difference(difference(both, start), run), Measured(0.0, readings.lead.uncertainty))
    reach = COVERAGE * surplus.uncertainty
    left_in = TABLE().leads.at_most(net) if readings.lead_left_in else 0.0
    over, limits = ratio(start, run), TABLE().limits
    lowest, highest = limits.start_over_run_low.rule(), limits.start_over_run_high.rule()
    low, high = judge(over, lowest), judge(over, highest)
    common = next(name for name in ENDS[order[0]] if name in ENDS[order[1]])
    return StartRun(
        surplus,
        -left_in - reach <= surplus.value <= reach,
        over,
        lowest,
        highest,
        low if low != "within" else high,
        common,
        next(name for name in ENDS[order[1]] if name != common),
        next(name for name in ENDS[order[0]] if name != common),
    )


def _verdict(readings: SinglePhaseReadings, net: Three, start_run: StartRun) -> tuple[WindingVerdict, str]:
    run = min(r.value for r in net)
    if COVERAGE * start_run.surplus.uncertainty >= BLIND * run:
        return "cannot tell", "the sum is known no better than half the run winding: use a four-wire meter"
    if not start_run.sum_agrees:
        return "does not add up", "the greatest reading is not the sum of the other two: measure again, then condemn"
    if readings.labelled and _mislabelled(net):
        return "terminals not as labelled", (
            f"the windings add up, but the readings show the terminal labelled {start_run.common} to be common, "
            f"{start_run.start} to be start and {start_run.run} to be run: identify the terminals before power is given"
        )
    if start_run.start_over_run_standing == "outside" and judge(start_run.start_over_run, _far()) != "outside":
        return "cannot tell", f"{start_run.start_over_run.value:.2g} {FAR}"
    if start_run.start_over_run_standing == "outside":
        return "unbalanced", "the windings add up, but no source calls such a start winding over the run winding good"
    return "adds up", "the greatest reading is the sum of the other two"


def _far() -> Ruling:
    return TABLE().limits.start_over_run_far.rule()


def _mislabelled(net: Three) -> bool:
    """Whether start-to-run is clearly not the greatest, or common-to-start clearly less than common-to-run."""
    start, run, both = net
    return any(
        more.value - less.value > COVERAGE * math.hypot(more.uncertainty, less.uncertainty)
        for more, less in ((start, both), (run, both), (run, start))
    )


def _open(readings: SinglePhaseReadings) -> tuple[WindingVerdict, str]:
    """By which readings are open; the internal protector sits in the common lead."""
    if not readings.labelled and sum(r is None for r in readings.terminals) == len(ENDS) - 1:
        return "open circuit", "one winding, or the protector in the common lead, is open: identify the terminals"
    return _OPEN.get(
        tuple(r is None for r in readings.terminals),
        ("readings contradict", "two readings conduct, so the third must: measure it again"),
    )


_OPEN: dict[tuple[bool, ...], tuple[WindingVerdict, str]] = {
    (True, True, False): (
        "protector may be open",
        "start to run conducts, common to neither: the protector or common lead is open; let it cool for hours first",
    ),
    (True, False, True): ("open start winding", "common to run conducts, nothing to start: the start winding is open"),
    (False, True, True): ("open run winding", "common to start conducts, nothing to run: the run winding is open"),
    (True, True, True): ("open circuit", "nothing conducts: both windings, or the plug, are open"),
}
