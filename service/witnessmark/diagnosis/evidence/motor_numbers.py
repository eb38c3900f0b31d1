"""Numbers of the motor from meter readings: windings of either kind, insulation, capacitors.

A good single-phase motor has three unequal resistances, two of which make the third: it is never judged by the balance
of three phases. Which kind it is comes from the drive, from the machine, from what else was read; failing that the
readings are not judged where they fit a single-phase motor as well.
"""

from __future__ import annotations

import math
from typing import Literal

from witnessmark.calculations.electrical import insulation, windings
from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings, judged
from witnessmark.calculations.electrical.winding_rules import TABLE, Terminals
from witnessmark.calculations.metrology.ratios import ratio
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, Outcome, SetAside, three
from witnessmark.diagnosis.evidence.reading_rules import RULES, Band
from witnessmark.errors import located

Kind = Literal["three windings", "start and run", "not told"]
WINDINGS = ("winding_resistances",)
CAPACITORS = ("run_capacitor", "start_capacitor")
INSULATION = ("insulation_resistance", "insulation_by_phase", "insulation_resistance_hot")
SHORT_TO_SHELL = 1.0
"""What a meter that shows zero to the shell is taken to read, ohm."""
OPEN = 1e6
"""What an open winding is taken to read, ohm, whatever the range of the meter."""
_ASK = (
    "two of the three make the third, as in a good single-phase motor, so they are not called unequal: say how many "
    "phases the motor has"
)
_MEASURE_AGAIN = "two pairs conduct, so the third must: measure it again, or say that each winding was measured alone"


def kind(facts: Facts, g: FieldReadings) -> Kind:
    """Which windings the motor has. A motor behind a drive has three, whatever feeds the drive."""
    if facts.drive == "inverter" or facts.phases == "three-phase":
        return "three windings"
    if facts.phases == "single-phase" or g.present() & {"start_capacitor", "run_capacitor"}:
        return "start and run"
    if g.line_voltages or g.line_currents:
        return "three windings"
    return "not told" if _looks_single_phase(g) else "three windings"


def spread(facts: Facts, g: FieldReadings) -> Outcome:
    """Greatest deviation of a winding from the mean of three; nothing where one is open, which is more than unequal."""
    terminals, of = _terminals(g), kind(facts, g)
    if any(r is not None and r.value <= 0 for r in terminals):
        return SetAside(WINDINGS, "a pair reads zero: shorted, or too little for this meter; use a four-wire meter")
    if of == "not told":
        return SetAside(WINDINGS, _ASK)
    if of == "start and run" or None in terminals:
        return None
    with located(terminals="winding_resistances"):
        result = windings.three_phase(windings.ThreePhaseReadings(terminals))
    if result.verdict == "readings contradict":
        return SetAside(WINDINGS, result.explanation)
    return result.balance.unbalance if result.balance else None


def continuity(facts: Facts, g: FieldReadings) -> Outcome:
    """The greatest resistance between terminals, ohm: open is beyond any winding. Not told where it cannot be said."""
    terminals = _terminals(g)
    closed = [r for r in terminals if r is not None]
    if len(closed) == len(terminals):
        return max(closed, key=lambda r: r.value)
    return _open_single(g) if kind(facts, g) == "start and run" else _open_three(closed)


def _open_three(closed: list[Measured]) -> Outcome:
    """With three windings: nothing conducts where a protector is open, so that is no open winding yet."""
    if not closed:
        return SetAside(
            WINDINGS,
            "nothing conducts: an internal protector may have opened; measure again once the shell has been cold for "
            "hours",
        )
    return Measured(OPEN)


def protector_open(facts: Facts, g: FieldReadings) -> bool:
    """Whether no pair conducts, or only start to run of a single-phase motor does: the protector sits in the common."""
    closed = [r is not None for r in _terminals(g)]
    if kind(facts, g) != "start and run":
        return not any(closed)
    return closed == [False, False, True] or (not any(closed)) or (sum(closed) == 1 and not g.windings_labelled)


def _open_single(g: FieldReadings) -> Outcome:
    verdict, why, _ = judged(_start_run(g))
    if verdict == "open run winding":
        return Measured(OPEN)
    return None if verdict == "open start winding" else SetAside(WINDINGS, why)


def out_of_proportion(facts: Facts, g: FieldReadings) -> Outcome:
    """Decades by which start over run winding lies outside of what is good; an open start winding lies far outside."""
    if kind(facts, g) != "start and run" or any(r is not None and r.value <= 0 for r in _terminals(g)):
        return None
    verdict, why, start_run = judged(_start_run(g))
    if verdict == "open start winding":
        return Measured(math.log10(OPEN))
    if start_run is None:
        return None
    if verdict == "does not add up":
        return SetAside(WINDINGS, why)
    over = start_run.start_over_run
    decades = over.uncertainty / over.value / math.log(10)
    return Measured(_decades_outside(over.value, RULES().start_over_run), decades)


def _decades_outside(value: float, band: Band) -> float:
    return max(0.0, math.log10(band.low / value), math.log10(value / band.high))


def least_insulation(_facts: Facts, g: FieldReadings) -> Outcome:
    """The worst of all readings to the shell, ohm, brought to 40 °C where the winding's temperature is known."""
    read = [*(g.insulation_by_phase or ())]
    for resistance, temperature in (
        (g.insulation_resistance, g.winding_temperature),
        (g.insulation_resistance_hot, g.winding_temperature_hot),
    ):
        if resistance is not None:
            read.append(_at_forty(resistance, temperature))
    worst = min(read, key=lambda r: r.value)
    return Measured(max(worst.value, SHORT_TO_SHELL), worst.uncertainty)


def _at_forty(resistance: Measured, temperature: Measured | None) -> Measured:
    """The lowest that a rule makes of it. What no rule calls good at any temperature is left as read: a short."""
    if temperature is None or resistance.value < insulation.LEAST_MINIMUM:
        return resistance
    with located(resistance="insulation_resistance", temperature="winding_temperature"):
        corrected = insulation.corrections(resistance, temperature)
    return min((c.resistance for c in corrected), key=lambda r: r.value)


def outside_tolerance(facts: Facts, g: FieldReadings) -> Outcome:
    """How far the worse of the capacitors lies outside of its tolerance, as a share of its marking."""
    rules, pairs = RULES(), []
    for read, marked, band in (
        (g.run_capacitor, g.run_capacitor_marked, rules.run_capacitor),
        (g.start_capacitor, g.start_capacitor_marked, rules.start_capacitor),
    ):
        if read is not None and marked is not None and marked.value > 0:
            share = ratio(read, marked)
            pairs.append(Measured(band.beyond(share.value), share.uncertainty))
    names = tuple(name for name in CAPACITORS if name in g.present())
    if facts.phases == "three-phase" or facts.drive == "inverter":
        return SetAside(names, "a motor with three windings has neither a run nor a start capacitor")
    if not pairs:
        return SetAside(names, "a capacitor is judged against its marking, and that was not given")
    return max(pairs, key=lambda p: p.value)


def _terminals(g: FieldReadings) -> Terminals:
    a, b, c = (None if r.value >= RULES().open_winding.ohm else r for r in three(g.winding_resistances))
    return a, b, c


def _start_run(g: FieldReadings) -> SinglePhaseReadings:
    return SinglePhaseReadings(_terminals(g), labelled=bool(g.windings_labelled), lead_left_in=True)


def _looks_single_phase(g: FieldReadings) -> bool:
    """Clearly unequal, and one is the sum of the other two: start and run in series, or three phases with a dead leg.

    Leads that were left in are allowed for only where start and run differ enough to be no pair of like phases.
    """
    terminals = _terminals(g) if g.winding_resistances else (None, None, None)
    if None in terminals or any(r is not None and r.value <= 0 for r in terminals):
        return False
    balance = windings.three_phase(windings.ThreePhaseReadings(terminals)).balance
    limit = TABLE().limits.balance.rule().laxest
    if balance is None or balance.unbalance.value - COVERAGE * balance.unbalance.uncertainty <= limit:
        return False
    adds_up, _, strict = judged(SinglePhaseReadings(terminals, labelled=False))
    with_leads, _, start_run = judged(SinglePhaseReadings(terminals, labelled=False, lead_left_in=True))
    apart = start_run is not None and start_run.start_over_run.value >= RULES().single_phase_look.ratio
    return (strict is not None and adds_up == "adds up") or (apart and with_leads == "adds up")
