"""Winding resistance: balance between terminals, start and run windings, temperature by resistance.

Resistances in ohm, temperatures in K, fractions as fractions. A reading of None ran over the meter's range: open.
Balance is the greatest deviation from the mean over the mean, as for voltages. A handheld meter often cannot decide
at such low resistances; then the answer is "cannot tell", with the uncertainty that would be needed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings, StartRun, judged
from witnessmark.calculations.electrical.winding_rules import (
    NO_LEAD,
    RESISTANCES,
    TABLE,
    Conductor,
    Connection,
    Terminals,
    Three,
    WindingVerdict,
    less_leads,
    no_winding,
    opened,
    what_decides,
)
from witnessmark.calculations.metrology.limits import Ruling, Standing, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import deviation, difference, mean, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError

TEMPERATURES = (223.15, 523.15)
NORMAL = -273.15
ENDS = ((1, 2), (2, 3), (3, 1))
"""Between which terminals each of the three readings is taken."""


@dataclass(frozen=True, slots=True)
class Reference:
    """A resistance known from the maker or from an earlier reading, between the same terminals (ohm, K)."""

    resistance: Measured
    temperature: Measured


@dataclass(frozen=True, slots=True)
class ThreePhaseReadings:
    """Three terminal-to-terminal readings (1-2, 2-3, 3-1); `lead` is the resistance of the test leads.

    lead_left_in: nobody measured the leads, so that they may be in the readings still. digit: the last one that one
    meter with one pair of leads showed in all three, ohm; None where they were not so read. four_wire: whether the
    meter leaves leads and contacts out.
    """

    terminals: Terminals
    lead: Measured = NO_LEAD
    connection: Connection | None = None
    form_wound: bool = False
    maker_balance: float | None = None
    lead_left_in: bool = False
    maker_document: str = ""
    digit: float | None = None
    four_wire: bool = False


@dataclass(frozen=True, slots=True)
class WindingBalance:
    """Unbalance of the three readings less the test leads.

    furthest: which reading lies furthest from the mean, 1 to 3. windings: resistance of each, ohm, for the stated
    connection. needed_uncertainty: what each reading's standard uncertainty would have to be to decide, ohm; None where
    it is decided.
    """

    unbalance: Measured
    without_lead_correction: float
    mean: Measured
    furthest: int
    windings: Three | None
    needed_uncertainty: float | None


@dataclass(frozen=True, slots=True)
class ReferenceCheck:
    """Reading against what the reference would have at this temperature."""

    expected: Measured
    deviation: Measured
    limit: Ruling
    standing: Standing


@dataclass(frozen=True, slots=True)
class WindingsResult:
    """What the windings say; None where a part does not apply or an open reading leaves nothing to calculate.

    explanation: what the verdict rests on, where the numbers do not say so themselves. limit, balance: of a three-phase
    winding. start_run: of a single-phase motor. reference, winding_temperature (K):
    where they were asked for.
    """

    verdict: WindingVerdict
    explanation: str = ""
    limit: Ruling | None = None
    balance: WindingBalance | None = None
    start_run: StartRun | None = None
    reference: ReferenceCheck | None = None
    winding_temperature: Measured | None = None


def three_phase(readings: ThreePhaseReadings) -> WindingsResult:
    """Judge the balance of a three-phase winding; errors: OutOfRangeError (terminals.k), InputError (lead).

    An open or dead winding is named before any balance: one whole leg of a delta gone leaves 1.0, 1.0 and 2.0 ohm.

    Example: 1.00, 1.00 and 1.06 ohm, exact: mean 1.02, unbalance 0.04/1.02 = 0.0392, between the limits of 2 and 5 %
    that the sources give, so "sources disagree".
    """
    readings, limits = replace(readings, terminals=opened(readings.terminals)), TABLE().limits
    published = limits.balance_form_wound if readings.form_wound else limits.balance
    limit = published.rule(readings.maker_balance, readings.maker_document)
    if None in readings.terminals:
        return WindingsResult(*_open(readings), limit)
    net = less_leads(readings.terminals, readings.lead)
    fault = no_winding(net, ENDS)
    if fault and not any(r.value for r in net):
        return WindingsResult(*fault, limit)
    balance, standing = _balance(readings, net, limit)
    fault = fault or _contradiction(readings, net) or _joined(readings, net) or _open_leg(readings, net, standing)
    if fault is None and readings.connection and _shortfall(readings, net)[1].value > 0:
        balance = replace(balance, windings=phase_resistances(net, readings.connection))
    verdict, explanation = fault or (_WORDS[standing], _meter(readings, balance))
    return WindingsResult(verdict, explanation, limit, balance)


def single_phase(readings: SinglePhaseReadings) -> WindingsResult:
    """Judge the two windings of a single-phase motor; errors as for `three_phase`.

    Example: common-start 8, common-run 2, start-run 10 ohm, exact: surplus 0, start over run 4, "adds up".
    """
    verdict, explanation, start_run = judged(readings)
    return WindingsResult(verdict, explanation, start_run=start_run)


def with_reference(result: WindingsResult, check: ReferenceCheck) -> WindingsResult:
    """The result beside a reference: balanced windings that miss it are not called balanced.

    Example: three times 0.6 ohm, where the motor has 1.0: all three shorted alike, or another motor.
    """
    result = replace(result, reference=check)
    if check.standing != "outside" or result.verdict != "balanced":
        return result
    why = (
        f"the three agree, {check.deviation.value:+.0%} off the reference: turns shorted in all, or the reference is "
        "of another motor or another temperature"
    )
    return replace(result, verdict="readings contradict", explanation=why)


def with_feed(result: WindingsResult, why: str) -> WindingsResult:
    """The result beside what the motor takes; `why`: why these windings are none of such a motor, or empty.

    What is open or shorted stays so: that has been told already.
    """
    judged = ("balanced", "adds up", "unbalanced", "does not add up", "sources disagree", "cannot tell")
    if not why or result.verdict not in (*judged, "terminals not as labelled"):
        return result
    return replace(result, verdict="readings contradict", explanation=why)


def winding_temperature(hot: Measured, cold: Reference, conductor: Conductor = "copper") -> Measured:
    """Mean winding temperature, K, from its resistance hot and its resistance at a known temperature.

    Example: copper of 1.0 ohm at 20 degC that reads 1.3 ohm: 1.3 * (234.5 + 20) - 234.5 = 96.35 degC (369.5 K).
    Source: resistance-thermometry. Errors: OutOfRangeError (resistance, reference.resistance, reference.temperature),
    UnknownNameError (conductor).
    """
    constant = TABLE().conductors.of(conductor)
    within("resistance", hot, RESISTANCES, "resistance")
    _check_reference(cold)
    over = ratio(hot, cold.resistance)
    base = cold.temperature.value + constant
    spread = math.hypot(base * over.uncertainty, over.value * cold.temperature.uncertainty)
    return Measured(over.value * base - constant, spread)


def impossible_temperature(value: Measured) -> str:
    """Why two readings cannot both be right, by the temperature (K) that they give; empty where they can be.

    Example: 2583 K (2310 degC) melts copper: one of the readings is a slip.
    """
    bounds, reach = TABLE().temperature, COVERAGE * value.uncertainty
    if bounds.coldest - reach <= value.value <= bounds.hottest + reach:
        return ""
    return (
        f"hot over cold would make the winding {value.value + NORMAL:.0f} degC, which none can be: the two readings "
        "cannot both be right"
    )


def against_reference(
    reading: Measured,
    temperature: Measured,
    reference: Reference,
    conductor: Conductor = "copper",
    scale_uncertainty: float = 0.0,
) -> ReferenceCheck:
    """Hold a reading against a reference brought to the same temperature; errors as for `winding_temperature`.

    scale_uncertainty: relative standard uncertainty of the meter, which cancels between its own readings and not here.
    Example: copper of 1.0 ohm at 20 degC is expected to have 1.0 * 274.5/254.5 = 1.0786 ohm at 40 degC.
    """
    within("resistance", reading, RESISTANCES, "resistance")
    within("temperature", temperature, TEMPERATURES, "temperature")
    _check_reference(reference)
    constant = TABLE().conductors.of(conductor)
    factor = ratio(scaled(temperature, 1, constant), scaled(reference.temperature, 1, constant))
    expected = _product(reference.resistance, factor)
    scaled_reading = Measured(reading.value, math.hypot(reading.uncertainty, scale_uncertainty * reading.value))
    spread = ratio(scaled_reading, expected).uncertainty
    apart = Measured((reading.value - expected.value) / expected.value, spread)  # a ratio less 1 would leave dust
    limit = TABLE().limits.reference.rule()
    return ReferenceCheck(expected, apart, limit, judge(Measured(abs(apart.value), apart.uncertainty), limit))


def phase_resistances(terminals: Three, connection: Connection) -> Three:
    """Resistance of each winding from the terminal readings (1-2, 2-3, 3-1), ohm.

    Star: the winding at terminal 1, 2, 3. Delta: the winding between 1-2, 2-3, 3-1. Source: circuit theory
    (star-delta transformation). Readings that no such network can have raise InputError (terminals).
    Example: 2, 2, 2 ohm are a star of 1 ohm or a delta of 3 ohm each.
    """
    values = [t.value for t in terminals]
    if min(_star(*values)) <= 0:
        raise InputError("terminals", "no star or delta has these resistances", "each less than the sum of the others")
    function = _star if connection == "star" else _delta
    a, b, c = (Measured(r, _spread(function, values, terminals, k)) for k, r in enumerate(function(*values)))
    return a, b, c


def _star(one_two: float, two_three: float, three_one: float) -> tuple[float, float, float]:
    half = (one_two + two_three + three_one) / 2
    return half - two_three, half - three_one, half - one_two


def _delta(one_two: float, two_three: float, three_one: float) -> tuple[float, float, float]:
    a, b, c = _star(one_two, two_three, three_one)
    products = a * b + b * c + c * a
    return products / c, products / a, products / b


def _spread(
    function: Callable[..., tuple[float, float, float]], values: list[float], terminals: Three, which: int
) -> float:
    """Uncertainty of one winding by small central differences (a millionth of each reading)."""
    total = 0.0
    for k, terminal in enumerate(terminals):
        step = 1e-6 * terminal.value
        up, down = [*values], [*values]
        up[k] += step
        down[k] -= step
        slope = (function(*up)[which] - function(*down)[which]) / (2 * step)
        total = math.hypot(total, slope * terminal.uncertainty)
    return total


def _balance(readings: ThreePhaseReadings, net: Three, limit: Ruling) -> tuple[WindingBalance, Standing]:
    unbalance, furthest = _unbalance(net, readings.lead.uncertainty)
    standing, middle = judge(unbalance, limit), mean(net)
    if standing == "within" and readings.lead_left_in:  # leads hide unbalance: it must hold without them too
        left_in = TABLE().leads.at_most(net)
        a, b, c = (Measured(r.value - left_in, r.uncertainty) for r in net)
        standing = "within" if judge(_unbalance((a, b, c), 0.0)[0], limit) == "within" else "cannot tell"
    if standing == "cannot tell" and _alike(readings, net, limit):
        standing = "within"
    a, b, c = (Measured(r.value + readings.lead.value) for r in net)
    raw = _unbalance((a, b, c), 0.0)[0].value
    # The deviation of one reading carries sqrt(2/3) of a reading's uncertainty over the mean.
    gap = min(abs(figure - unbalance.value) for figure in (limit.value, limit.laxest))
    needed = gap * middle.value / (COVERAGE * math.sqrt(2 / 3)) if standing == "cannot tell" else None
    return WindingBalance(unbalance, raw, middle, furthest + 1, None, needed), standing


def _alike(readings: ThreePhaseReadings, net: Three, limit: Ruling) -> bool:
    """Whether readings of one meter and one pair of leads agree to its last digit: what they share cancels.

    What clips and leads add is the same in all, or would show; it must hold with the leads in and out.
    """
    if readings.digit is None:
        return False
    rounded = readings.digit / math.sqrt(12)
    for left_in in (0.0, TABLE().leads.at_most(net) if readings.lead_left_in else 0.0):
        a, b, c = (Measured(r.value - left_in, rounded) for r in net)
        if judge(_unbalance((a, b, c), 0.0)[0], limit) != "within":
            return False
    return True


def _unbalance(net: Three, lead_uncertainty: float) -> tuple[Measured, int]:
    """Greatest deviation from the mean over the mean, and whose it is."""
    apart = [deviation(net, k) for k in range(3)]
    furthest = max(range(3), key=lambda k: abs(apart[k].value))
    lead = 3 * apart[furthest].value * lead_uncertainty / math.fsum(r.value for r in net)
    return Measured(abs(apart[furthest].value), math.hypot(apart[furthest].uncertainty, lead)), furthest


def _open(readings: ThreePhaseReadings) -> tuple[WindingVerdict, str]:
    """By how many readings ran over the range of the meter."""
    closed = [k for k, r in enumerate(readings.terminals) if r is not None]
    if not closed:
        return "protector may be open", "nothing conducts: a protector at the star point opens all three legs"
    if len(closed) > 1:
        return "readings contradict", "two readings conduct, so the third must: measure it again"
    open_terminal = 6 - sum(ENDS[closed[0]])
    star, delta = "the leg of a star", "both delta windings"
    leg = {"star": star, "delta": delta}.get(readings.connection or "", f"{star}, or {delta},")
    return "open winding", f"nothing conducts to terminal {open_terminal}: {leg} at it, or its lead, is open"


def _shortfall(readings: ThreePhaseReadings, net: Three) -> tuple[int, Measured, float]:
    """Which reading is the greatest, what it lacks of the sum of the other two, ohm, and that sum."""
    greatest = max(range(3), key=lambda k: net[k].value)
    others = math.fsum(r.value for k, r in enumerate(net) if k != greatest)
    spread = math.hypot(readings.lead.uncertainty, *(r.uncertainty for r in net))
    return greatest, difference(Measured(others), Measured(net[greatest].value, spread)), others


def _meter(readings: ThreePhaseReadings, balance: WindingBalance) -> str:
    if balance.needed_uncertainty is None:
        return ""
    return what_decides(
        COVERAGE * balance.needed_uncertainty, four_wire=readings.four_wire, left_in=readings.lead_left_in
    )


def _contradiction(readings: ThreePhaseReadings, net: Three) -> tuple[WindingVerdict, str] | None:
    """No network of three terminals has one resistance above the sum of the other two (triangle of resistances).

    As much above as an open leg may lie below counts as the wobble of a contact.
    """
    greatest, shortfall, others = _shortfall(readings, net)
    if shortfall.value >= -COVERAGE * shortfall.uncertainty - (1 - TABLE().open_leg.share) * others:
        return None
    first, second = ENDS[greatest]
    why = f"{first}-{second} reads more than the other two together, which no three windings can: measure it again"
    return "readings contradict", why


def _joined(readings: ThreePhaseReadings, net: Three) -> tuple[WindingVerdict, str] | None:
    """Next to nothing between two terminals, whose readings to the third are then alike: no open leg leaves that.

    Example: 0.05, 1.2 and 1.2 ohm are a short between terminals 1 and 2; 1.0, 1.0 and 2.0 are none.
    """
    left_in = TABLE().leads.at_most(net) if readings.lead_left_in else 0.0
    values = [r.value - left_in for r in net]
    if min(values) >= TABLE().terminal_short.share * max(values):
        return None
    first, second = ENDS[values.index(min(values))]
    why = f"{first}-{second} reads next to nothing beside the other two: a short between terminals {first} and {second}"
    return "shorted winding", why


def _open_leg(readings: ThreePhaseReadings, net: Three, standing: Standing) -> tuple[WindingVerdict, str] | None:
    """The winding across the greatest reading carries nothing: the current goes through the other two in series.

    In a star the same readings mean that the winding at the third terminal is next to nothing. Neither motor is good.
    """
    greatest, shortfall, others = _shortfall(readings, net)
    left_in = TABLE().leads.at_most(net) if readings.lead_left_in else 0.0
    if standing != "outside" or shortfall.value - left_in > (1 - TABLE().open_leg.share) * others:
        return None
    first, second = ENDS[greatest]
    delta = f"the delta winding between {first} and {second} is open"
    star = f"the star winding at terminal {6 - first - second} is shorted"
    if readings.connection is None:
        return "open or shorted winding", f"{first}-{second} reads the other two in series: {delta}, or {star}"
    open_delta = readings.connection == "delta"
    return ("open winding" if open_delta else "shorted winding"), delta if open_delta else star


_WORDS: dict[Standing, WindingVerdict] = {
    "within": "balanced",
    "outside": "unbalanced",
    "sources disagree": "sources disagree",
    "cannot tell": "cannot tell",
}


def _product(one: Measured, other: Measured) -> Measured:
    spread = math.hypot(one.uncertainty * other.value, one.value * other.uncertainty)
    return Measured(one.value * other.value, spread)


def _check_reference(reference: Reference) -> None:
    within("reference.resistance", reference.resistance, RESISTANCES, "resistance")
    within("reference.temperature", reference.temperature, TEMPERATURES, "temperature")
