"""Winding resistance: balance between terminals, start and run windings, temperature by resistance.

Resistances in ohm, temperatures in K, fractions as fractions. A reading of None ran over the meter's range: open.
Balance is the greatest deviation from the mean over the mean, as for voltages. A handheld meter often cannot decide
at such low resistances; then the answer is "cannot tell", with the uncertainty that would be needed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import deviation, difference, mean, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import words

Connection = TypeAliasType("Connection", Literal["star", "delta"])
"""How the three windings are joined."""
Conductor = TypeAliasType("Conductor", Literal["copper", "aluminium"])
"""Metal of the winding."""
WindingVerdict = TypeAliasType(
    "WindingVerdict",
    Literal["balanced", "unbalanced", "sources disagree", "cannot tell", "open circuit", "protector may be open"],
)
"""What the resistances of a winding say."""
Three = tuple[Measured, Measured, Measured]
Terminals = tuple[Measured | None, Measured | None, Measured | None]
RESISTANCES = (1e-6, 1e6)
TEMPERATURES = (223.15, 523.15)
ICE_POINT = 273.15
NO_LEAD = Measured(0.0)


class WindingLimits(data.Row):
    """Limits as fractions; start over run as a ratio."""

    balance: Limit
    balance_form_wound: Limit
    reference: Limit
    start_over_run_low: Limit
    start_over_run_high: Limit


class ConductorConstants(data.Row):
    """The constant k of T2 = (R2/R1)(k + T1) - k, degC."""

    copper: float
    aluminium: float
    source: SourceId

    def of(self, conductor: Conductor) -> float:
        """The constant for temperatures in K; UnknownNameError (conductor) for another metal."""
        constants = {"copper": self.copper, "aluminium": self.aluminium}
        if conductor not in constants:
            raise UnknownNameError("conductor", "conductor", words(Conductor))
        return constants[conductor] - ICE_POINT


class WindingTable(data.Row):
    """The data file."""

    limits: WindingLimits
    conductors: ConductorConstants


TABLE = data.table(__package__, "windings.toml", WindingTable)


@dataclass(frozen=True, slots=True)
class Reference:
    """A resistance known from the maker or from an earlier reading, between the same terminals (ohm, K)."""

    resistance: Measured
    temperature: Measured


@dataclass(frozen=True, slots=True)
class ThreePhaseReadings:
    """Three terminal-to-terminal readings (1-2, 2-3, 3-1); `lead` is the resistance of the test leads."""

    terminals: Terminals
    lead: Measured = NO_LEAD
    connection: Connection | None = None
    form_wound: bool = False
    maker_balance: float | None = None


@dataclass(frozen=True, slots=True)
class SinglePhaseReadings:
    """Readings common-to-start, common-to-run, start-to-run; `lead` is the resistance of the test leads."""

    terminals: Terminals
    lead: Measured = NO_LEAD


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
class StartRun:
    """Whether start-to-run equals the sum of the other two, and start over run.

    surplus: start-to-run less the sum of the other two, ohm. least, greatest: limits of start over run.
    """

    surplus: Measured
    sum_agrees: bool
    start_over_run: Measured
    least: Ruling
    greatest: Ruling
    start_over_run_standing: Standing


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

    limit, balance: of a three-phase winding. start_run: of a single-phase motor. reference, winding_temperature (K):
    where they were asked for.
    """

    verdict: WindingVerdict
    limit: Ruling | None = None
    balance: WindingBalance | None = None
    start_run: StartRun | None = None
    reference: ReferenceCheck | None = None
    winding_temperature: Measured | None = None


def three_phase(readings: ThreePhaseReadings) -> WindingsResult:
    """Judge the balance of a three-phase winding; errors: OutOfRangeError (terminals.k, lead), InputError (lead).

    Example: 1.00, 1.00 and 1.06 ohm, exact: mean 1.02, unbalance 0.04/1.02 = 0.0392, between the limits of 2 and 5 %
    that the sources give, so "sources disagree".
    """
    limits = TABLE().limits
    limit = (limits.balance_form_wound if readings.form_wound else limits.balance).rule(readings.maker_balance)
    if None in readings.terminals:
        every = all(r is None for r in readings.terminals)
        return WindingsResult("protector may be open" if every else "open circuit", limit)
    return _judged_balance(readings, _net(readings.terminals, readings.lead), limit)


def single_phase(readings: SinglePhaseReadings) -> WindingsResult:
    """Judge the two windings of a single-phase motor; errors as for `three_phase`.

    Example: common-start 8, common-run 2, start-run 10 ohm, exact: surplus 0, start over run 4, "balanced".
    """
    if None in readings.terminals:
        return WindingsResult(_open_single(readings))
    start, run, both = _net(readings.terminals, readings.lead)
    # Each reading holds the leads once, so in the sum they are left over once, with their uncertainty.
    surplus = difference(difference(difference(both, start), run), Measured(0.0, readings.lead.uncertainty))
    agrees = abs(surplus.value) <= COVERAGE * surplus.uncertainty
    over, limits = ratio(start, run), TABLE().limits
    least, greatest = limits.start_over_run_low.rule(), limits.start_over_run_high.rule()
    low, high = judge(over, least), judge(over, greatest)
    standing = low if low != "within" else high
    start_run = StartRun(surplus, agrees, over, least, greatest, standing)
    return WindingsResult(_WORDS[standing] if agrees else "unbalanced", start_run=start_run)


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


def _judged_balance(readings: ThreePhaseReadings, net: Three, limit: Ruling) -> WindingsResult:
    apart = [deviation(net, k) for k in range(3)]
    furthest = max(range(3), key=lambda k: abs(apart[k].value))
    lead = 3 * apart[furthest].value * readings.lead.uncertainty / math.fsum(r.value for r in net)
    unbalance = Measured(abs(apart[furthest].value), math.hypot(apart[furthest].uncertainty, lead))
    windings = phase_resistances(net, readings.connection) if readings.connection else None
    verdict, middle = _WORDS[judge(unbalance, limit)], mean(net)
    raw = max(abs(deviation(_closed(readings.terminals), k).value) for k in range(3))
    # The deviation of one reading carries sqrt(2/3) of a reading's uncertainty over the mean.
    gap = min(abs(figure - unbalance.value) for figure in (limit.value, limit.laxest))
    needed = gap * middle.value / (COVERAGE * math.sqrt(2 / 3)) if verdict == "cannot tell" else None
    return WindingsResult(verdict, limit, WindingBalance(unbalance, raw, middle, furthest + 1, windings, needed))


_WORDS: dict[Standing, WindingVerdict] = {
    "within": "balanced",
    "outside": "unbalanced",
    "sources disagree": "sources disagree",
    "cannot tell": "cannot tell",
}


def _closed(terminals: Terminals) -> Three:
    a, b, c = terminals
    assert a is not None  # noqa: S101 - open readings were sorted out before
    assert b is not None  # noqa: S101
    assert c is not None  # noqa: S101
    return a, b, c


def _net(terminals: Terminals, lead: Measured) -> Three:
    """The readings less the test leads."""
    closed = _closed(terminals)
    for k, reading in enumerate(closed):
        within(f"terminals.{k}", reading, RESISTANCES, "resistance")
    if not 0 <= lead.value < min(r.value for r in closed):
        raise InputError("lead", "not between zero and the least reading", "the resistance with the test leads shorted")
    a, b, c = (Measured(r.value - lead.value, r.uncertainty) for r in closed)
    return a, b, c


def _open_single(readings: SinglePhaseReadings) -> WindingVerdict:
    """Common open to both while start-to-run reads: the internal protector, which sits in the common lead."""
    start, run, both = readings.terminals
    return "protector may be open" if start is None and run is None and both is not None else "open circuit"


def _product(one: Measured, other: Measured) -> Measured:
    spread = math.hypot(one.uncertainty * other.value, one.value * other.uncertainty)
    return Measured(one.value * other.value, spread)


def _check_reference(reference: Reference) -> None:
    within("reference.resistance", reference.resistance, RESISTANCES, "resistance")
    within("reference.temperature", reference.temperature, TEMPERATURES, "temperature")
