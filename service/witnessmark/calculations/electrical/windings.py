"""Winding resistance: balance between terminals, start and run windings, temperature by resistance.

Resistances in ohm, temperatures in K, fractions as fractions. A reading of None ran over the meter's range: open.
Balance is the greatest deviation from the mean over the mean, as for voltages. A handheld meter often cannot decide
at such low resistances; then the answer is "cannot tell", with the uncertainty that would be needed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import COVERAGE, Ruling, Standing, judge, limit_from, read_data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import deviation, difference, mean, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import source

Connection = Literal["star", "delta", "unknown"]
Conductor = Literal["copper", "aluminium"]
Verdict = Literal["balanced", "unbalanced", "sources disagree", "cannot tell", "open circuit", "protector may be open"]
Agreement = Literal["agrees", "disagrees"]
Three = tuple[Measured, Measured, Measured]
RESISTANCES = (1e-6, 1e6)
TEMPERATURES = (223.15, 523.15)
ICE_POINT = 273.15
NO_LEAD = Measured(0.0)


@dataclass(frozen=True, slots=True)
class Reference:
    """A resistance known from the maker or from an earlier reading, between the same terminals."""

    resistance: Measured
    temperature: Measured


@dataclass(frozen=True, slots=True)
class ThreePhaseReadings:
    """Three terminal-to-terminal readings (1-2, 2-3, 3-1); `lead` is the resistance of the test leads."""

    terminals: tuple[Measured | None, Measured | None, Measured | None]
    lead: Measured = NO_LEAD
    connection: Connection = "unknown"
    form_wound: bool = False
    maker_balance: float | None = None


@dataclass(frozen=True, slots=True)
class SinglePhaseReadings:
    """Readings common-to-start, common-to-run, start-to-run; `lead` is the resistance of the test leads."""

    terminals: tuple[Measured | None, Measured | None, Measured | None]
    lead: Measured = NO_LEAD


@dataclass(frozen=True, slots=True)
class ThreePhaseVerdict:
    """Balance of a three-phase winding. None stands where an open reading leaves nothing to calculate.

    phases: resistance of each winding, for the stated connection. needed_uncertainty: what each reading's standard
    uncertainty would have to be to decide, ohm.
    """

    verdict: Verdict
    balance: Measured | None
    without_lead_correction: float | None
    mean: Measured | None
    furthest: int | None
    phases: Three | None
    limit: Ruling
    needed_uncertainty: float | None


@dataclass(frozen=True, slots=True)
class SinglePhaseVerdict:
    """Whether start-to-run equals the sum of the other two, and start over run."""

    verdict: Verdict
    surplus: Measured | None
    sum_agrees: Agreement | None
    start_over_run: Measured | None
    start_over_run_standing: Standing | None


@dataclass(frozen=True, slots=True)
class ReferenceCheck:
    """Reading against what the reference would have at this temperature."""

    expected: Measured
    deviation: Measured
    limit: Ruling
    standing: Standing


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked."""
    tables = read_data(__package__, "windings.toml")
    source(tables["conductors"]["source"])
    return tables


def three_phase(readings: ThreePhaseReadings) -> ThreePhaseVerdict:
    """Judge the balance of a three-phase winding; errors: OutOfRangeError (terminals.k, lead), InputError (lead)."""
    ruling = _limit("balance_form_wound" if readings.form_wound else "balance").rule(readings.maker_balance)
    if None in readings.terminals:
        every = all(r is None for r in readings.terminals)
        verdict: Verdict = "protector may be open" if every else "open circuit"
        return ThreePhaseVerdict(verdict, None, None, None, None, None, ruling, None)
    return _balance(readings, _net(readings.terminals, readings.lead), ruling)


def single_phase(readings: SinglePhaseReadings) -> SinglePhaseVerdict:
    """Judge the two windings of a single-phase motor; errors as for `three_phase`."""
    if None in readings.terminals:
        return SinglePhaseVerdict(_open_single(readings), None, None, None, None)
    start, run, both = _net(readings.terminals, readings.lead)
    # Each reading holds the leads once, so in the sum they are left over once, with their uncertainty.
    surplus = difference(difference(difference(both, start), run), Measured(0.0, readings.lead.uncertainty))
    agrees = _agreement(surplus)
    over = ratio(start, run)
    standing = _start_run(over)
    good = agrees == "agrees" and standing == "within"
    return SinglePhaseVerdict("balanced" if good else _doubt(agrees, standing), surplus, agrees, over, standing)


def winding_temperature(hot: Measured, cold: Reference, conductor: Conductor = "copper") -> Measured:
    """Mean winding temperature, K, from its resistance hot and its resistance at a known temperature.

    Source: resistance-thermometry. Errors: OutOfRangeError (resistance, reference.resistance, reference.temperature),
    UnknownNameError (conductor).
    """
    constant = _constant(conductor) - ICE_POINT
    within("resistance", hot, RESISTANCES, "resistance")
    _check_reference(cold)
    over = ratio(hot, cold.resistance)
    base = cold.temperature.value + constant
    spread = math.hypot(base * over.uncertainty, over.value * cold.temperature.uncertainty)
    return Measured(over.value * base - constant, spread)


def against_reference(
    reading: Measured, temperature: Measured, reference: Reference, conductor: Conductor = "copper"
) -> ReferenceCheck:
    """Hold a reading against a reference brought to the same temperature; errors as for `winding_temperature`."""
    within("resistance", reading, RESISTANCES, "resistance")
    within("temperature", temperature, TEMPERATURES, "temperature")
    _check_reference(reference)
    constant = _constant(conductor) - ICE_POINT
    factor = ratio(scaled(temperature, 1, constant), scaled(reference.temperature, 1, constant))
    expected = _product(reference.resistance, factor)
    off = scaled(ratio(reading, expected), 1, -1)
    ruling = _limit("reference").rule()
    return ReferenceCheck(expected, off, ruling, judge(Measured(abs(off.value), off.uncertainty), ruling))


def phase_resistances(terminals: Three, connection: Connection) -> Three | None:
    """Resistance of each winding from the terminal readings (1-2, 2-3, 3-1); None if the connection is not known.

    Star: the winding at terminal 1, 2, 3. Delta: the winding between 1-2, 2-3, 3-1. Source: circuit theory
    (star-delta transformation). Readings that no such network can have raise InputError (terminals).
    """
    if connection == "unknown":
        return None
    values = [t.value for t in terminals]
    if min(_star(*values)) <= 0:
        raise InputError("terminals", "no star or delta has these resistances", "each less than the sum of the others")
    function = _star if connection == "star" else _delta
    spreads = [_spreads(function, values, terminals, k) for k in range(3)]
    found = function(*values)
    return (Measured(found[0], spreads[0]), Measured(found[1], spreads[1]), Measured(found[2], spreads[2]))


def _star(one_two: float, two_three: float, three_one: float) -> tuple[float, float, float]:
    half = (one_two + two_three + three_one) / 2
    return half - two_three, half - three_one, half - one_two


def _delta(one_two: float, two_three: float, three_one: float) -> tuple[float, float, float]:
    a, b, c = _star(one_two, two_three, three_one)
    products = a * b + b * c + c * a
    return products / c, products / a, products / b


def _spreads(function: Any, values: list[float], terminals: Three, which: int) -> float:
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


def _balance(readings: ThreePhaseReadings, net: Three, ruling: Ruling) -> ThreePhaseVerdict:
    off = [deviation(net, k) for k in range(3)]
    furthest = max(range(3), key=lambda k: abs(off[k].value))
    lead = 3 * off[furthest].value * readings.lead.uncertainty / math.fsum(r.value for r in net)
    balance = Measured(abs(off[furthest].value), math.hypot(off[furthest].uncertainty, lead))
    phases = phase_resistances(net, readings.connection)
    verdict = _WORDS[judge(balance, ruling)]
    middle = mean(net)
    raw = max(abs(deviation(_given(readings.terminals), k).value) for k in range(3))
    # The deviation of one reading carries sqrt(2/3) of a reading's uncertainty over the mean.
    gap = min(abs(limit - balance.value) for limit in (ruling.value, ruling.laxest))
    needed = gap * middle.value / (COVERAGE * math.sqrt(2 / 3)) if verdict == "cannot tell" else None
    return ThreePhaseVerdict(verdict, balance, raw, middle, furthest, phases, ruling, needed)


_WORDS: dict[Standing, Verdict] = {
    "within": "balanced",
    "outside": "unbalanced",
    "sources disagree": "sources disagree",
    "cannot tell": "cannot tell",
}


def _given(terminals: tuple[Measured | None, Measured | None, Measured | None]) -> Three:
    one, two, three = terminals
    assert one is not None  # noqa: S101 - open readings were sorted out before
    assert two is not None  # noqa: S101
    assert three is not None  # noqa: S101
    return one, two, three


def _net(terminals: tuple[Measured | None, Measured | None, Measured | None], lead: Measured) -> Three:
    """The readings less the test leads."""
    given = _given(terminals)
    for k, reading in enumerate(given):
        within(f"terminals.{k}", reading, RESISTANCES, "resistance")
    if not 0 <= lead.value < min(r.value for r in given):
        raise InputError("lead", "not between zero and the least reading", "the resistance with the test leads shorted")
    one, two, three = (Measured(r.value - lead.value, r.uncertainty) for r in given)
    return one, two, three


def _open_single(readings: SinglePhaseReadings) -> Verdict:
    """Common open to both while start-to-run reads: the internal protector, which sits in the common lead."""
    start, run, both = readings.terminals
    return "protector may be open" if start is None and run is None and both is not None else "open circuit"


def _agreement(surplus: Measured) -> Agreement:
    return "agrees" if abs(surplus.value) <= COVERAGE * surplus.uncertainty else "disagrees"


def start_over_run_limits() -> tuple[Ruling, Ruling]:
    """The least and the greatest resistance of the start winding over that of the run winding."""
    low, high = (_limit(f"start_over_run_{end}").rule() for end in ("low", "high"))
    return low, high


def _start_run(over: Measured) -> Standing:
    low, high = (judge(over, ruling) for ruling in start_over_run_limits())
    return low if low != "within" else high


def _doubt(agrees: Agreement, standing: Standing) -> Verdict:
    if agrees == "disagrees" or standing == "outside":
        return "unbalanced"
    return _WORDS[standing]


def _product(one: Measured, other: Measured) -> Measured:
    spread = math.hypot(one.uncertainty * other.value, one.value * other.uncertainty)
    return Measured(one.value * other.value, spread)


def _constant(conductor: str) -> float:
    table = data()["conductors"]
    if conductor not in ("copper", "aluminium"):
        raise UnknownNameError("conductor", "conductor", ("copper", "aluminium"))
    return float(table[conductor])


def _limit(key: str) -> Any:
    return limit_from(data()["limits"][key])


def _check_reference(reference: Reference) -> None:
    within("reference.resistance", reference.resistance, RESISTANCES, "resistance")
    within("reference.temperature", reference.temperature, TEMPERATURES, "temperature")
