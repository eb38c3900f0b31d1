"""Superheat and subcooling at any place of the circuit, with uncertainty, held against limits kept as data.

Superheat is the gas temperature above the DEW temperature at the pressure beside it; subcooling is the liquid
temperature below the BUBBLE temperature. On blends the two curves differ by the glide. Discharge superheat and sump
superheat are the same calculation at another place. Temperatures in K, pressures in Pa absolute.
Source: usage of the trade and of ASHRAE terminology; the property basis is named by the refrigerant catalogue.

>>> from witnessmark.calculations.metrology.uncertainty import Measured
>>> suction = superheat("R-134a", Measured(350e3, 5e3), Measured(288.15, 0.5), "suction", MarginMachine("scroll"))
>>> round(suction.margin.value, 2), round(suction.margin.uncertainty, 2), suction.verdict
(9.97, 0.65, 'within')
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit.margin_rules import FACTS, Band, Fact, MeteringDevice, SuperheatPlace, bands
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, StatedLimit, judge
from witnessmark.calculations.metrology.makers import MakerWord, weigh
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import UnknownNameError, located
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.vocabulary import Application, Compressor, words

__all__ = ["Band", "MeteringDevice", "SuperheatPlace", "bands"]

MarginVerdict = TypeAliasType(
    "MarginVerdict", Literal["below", "within", "above", "cannot tell", "no limit known", "cannot both be right"]
)
"""Where a value lies against its limits; "cannot both be right": pressure and temperature contradict each other."""
FlowPhase = TypeAliasType(
    "FlowPhase", Literal["single phase", "saturated or wet", "cannot tell", "cannot both be right"]
)
"""What flows at a place of the circuit, as far as the two readings can be true together."""


@dataclass(frozen=True, slots=True)
class MarginMachine:
    """What decides which limits hold; None is not known. maker: low and high (None if none) of the maker, K.

    maker_document: where the maker states them.
    """

    compressor: Compressor | None = None
    application: Application | None = None
    metering: MeteringDevice | None = None
    maker: tuple[float, float | None] | None = None
    maker_document: str = ""
    refrigerant: str | None = None

    @property
    def told(self) -> bool:
        """Whether all was said of the machine that a caller may say."""
        return self.knows(FACTS)

    def knows(self, facts: tuple[Fact, ...]) -> bool:
        """Whether all these are known."""
        return all(getattr(self, fact) is not None for fact in facts)

    def allowed_by(self, limits: Band) -> bool:
        """Whether these limits may be meant for this machine: nothing that is known speaks against them."""
        return self.knows(limits.needs) and all(_may_be(*fact) for fact in self._beside(limits))

    def certain(self, limits: Band) -> bool:
        """Whether all that these limits name is known of this machine."""
        return all(not named or known is not None for named, known in self._beside(limits))

    def alone(self, limits: Band) -> bool:
        """Whether these limits hold for this machine and no others do."""
        return bool(limits.alone) and self.knows(limits.alone) and self.allowed_by(limits)

    def _beside(self, limits: Band) -> tuple[tuple[tuple[str, ...], str | None], ...]:
        machine = ((limits.compressors, self.compressor), (limits.applications, self.application))
        return (*machine, (limits.metering, self.metering), (limits.refrigerants, self.refrigerant))


def _may_be(named: tuple[str, ...], known: str | None) -> bool:
    return not named or known is None or known in named


HOT = {"discharge": "hot", "sump": "hot-sump"}
"""What is said of a reading too hot, by its place."""
ANY_MACHINE = MarginMachine()
"""Nothing is known of the machine."""
_IMPOSSIBLE: Literal["cannot both be right"] = "cannot both be right"


@dataclass(frozen=True, slots=True)
class Margin:
    """Distance of a temperature from saturation: superheat above dew, subcooling below bubble. All in K.

    bands: the limits that may hold for the machine, the maker's alone where given; verdict: where all of them agree.
    lower_limit, upper_limit: the narrowest that these bands leave, K; None where none is known.
    likely_reasons: where the readings cannot both be right, or the discharge is too hot, what may be wrong.
    """

    refrigerant: str
    saturation_temperature: Measured
    margin: Measured
    phase: FlowPhase
    bands: tuple[Band, ...]
    verdict: MarginVerdict
    lower_limit: float | None
    upper_limit: float | None
    likely_reasons: tuple[str, ...] = ()


_reasons = cache(lambda: bands().reasons)  # kept, since every reading that lies across a limit asks for them


@cache
def _named() -> frozenset[str]:
    """Refrigerants that have limits of their own."""
    return frozenset(
        name for place in (*words(SuperheatPlace), "liquid") for row in _rows(place) for name in row.refrigerants
    )


def of_refrigerant(machine: MarginMachine, designation: str) -> MarginMachine:
    """The machine with its refrigerant, where that has limits of its own.

    >>> of_refrigerant(ANY_MACHINE, "R-717").refrigerant, of_refrigerant(ANY_MACHINE, "R-22").refrigerant
    ('R-717', None)
    """
    return replace(machine, refrigerant=designation) if designation in _named() else machine


def _rows(place: str) -> tuple[Band, ...]:
    rows: tuple[Band, ...] = getattr(bands(), place)
    return rows


@lru_cache(4096)
def limits_for(place: str, machine: MarginMachine = ANY_MACHINE) -> tuple[Band, ...]:
    """The limits at `place` (or "liquid") that may hold for this machine; none where none is stated for such a one.

    Errors: UnknownNameError (field "place").

    >>> [band.low for band in limits_for("suction", MarginMachine("scroll", "air-conditioning", "electronic-valve"))]
    [5.0]
    """
    if place not in (*words(SuperheatPlace), "liquid"):
        raise UnknownNameError("place", "place", words(SuperheatPlace))
    published = _published(place, machine)
    if machine.maker is None or not all(word.counts for word in maker_words(place, machine)):
        return published
    highs = [row.high for row in published if row.high is not None]
    high = machine.maker[1] if machine.maker[1] is not None else max(highs, default=None)
    return (Band(low=machine.maker[0], high=high, source="maker-limit"),)


def _published(place: str, machine: MarginMachine) -> tuple[Band, ...]:
    rows = _rows(place)
    alone = tuple(row for row in rows if machine.alone(row))
    held = alone or tuple(row for row in rows if machine.allowed_by(row))
    most = max((row.high for row in rows if row.high is not None), default=None)
    if all(row.high is None for row in held):  # naming a valve takes the limit of other devices away, not every limit
        held = tuple(row.model_copy(update={"high": most}) for row in held)
    return tuple(
        row if row.high is None else row.model_copy(update={"surely": row.high if machine.certain(row) else most})
        for row in held
    )


def maker_words(place: str, machine: MarginMachine) -> tuple[MakerWord, ...]:
    """What the maker's two limits are worth beside the published ones; none where none were stated.

    A maker who states no upper limit says nothing of too much: the loosest published one stands then.
    """
    if machine.maker is None:
        return ()
    (low, high), rows = machine.maker, _published(place, machine)
    words_ = [weigh(low, machine.maker_document, (row.low for row in rows), "higher")]
    if high is not None:
        highs = (row.high for row in rows if row.high is not None)
        words_.append(weigh(high, machine.maker_document, highs, "lower"))
    return tuple(words_)


def hottest(designation: str, machine: MarginMachine = ANY_MACHINE, place: str = "discharge") -> Limit:
    """Temperature, K, above which a discharge line (or the oil in a sump) is not good, whatever its superheat.

    Oil and valves stand it for no long; the maker's upper superheat does not lift it above `far_hottest`.

    >>> round(hottest("R-410A").rule().value, 2), hottest("R-717", MarginMachine("reciprocating")).rule().value
    (380.37, 423.15)
    """
    every = bands().hottest_sump if place == "sump" else bands().hottest
    rows = [row for row in every if not row.refrigerants or designation in row.refrigerants]
    known = [row for row in rows if row.special and machine.compressor in (row.compressors or (machine.compressor,))]
    held = known or [row for row in rows if _may_be(row.compressors, machine.compressor)]
    stated = tuple(StatedLimit(row.temperature, row.source) for row in held)
    return Limit("lower", stated, far=bands().far_hottest)


def hot_ruling(designation: str, saturated: float, machine: MarginMachine, place: str = "discharge") -> Ruling:
    """The same as it counts beside the maker's upper superheat. saturated: dew temperature, K."""
    high = None if machine.maker is None else machine.maker[1]
    return hottest(designation, machine, place).rule(None if high is None else saturated + high, machine.maker_document)


def why_differ(place: str, machine: MarginMachine) -> tuple[str, str]:
    """Keys of what is said where the limits disagree: each of them clearly, or one of them being in question itself.

    >>> why_differ("suction", MarginMachine("scroll")), why_differ("discharge", ANY_MACHINE)
    (('limits-differ', 'perhaps-differ'), ('discharge-differs', 'discharge-differs'))
    """
    if place == "discharge":
        return "discharge-differs", "discharge-differs"
    return ("rules-differ", "at-a-limit") if machine.told else ("limits-differ", "perhaps-differ")


def superheat(
    designation: str,
    pressure: Measured,
    temperature: Measured,
    place: str = "suction",
    machine: MarginMachine = ANY_MACHINE,
    beyond: float | None = None,
) -> Margin:
    """Superheat of a gas (or of the sump oil) over the dew temperature at `pressure`.

    place: "suction", "discharge" or "sump"; it chooses the limits, with what is known of the machine. A line below
    even the bubble temperature holds no gas: unless it is the sump, whose oil may be colder than the gas above it, the
    readings cannot both be right. beyond: K below the bubble temperature that may still be, None: as in the data file.
    Errors: UnknownNameError (refrigerant, place), OutOfRangeError (pressure).
    """
    machine = of_refrigerant(machine, designation)
    limits = limits_for(place, machine)
    saturated = _saturated(designation, pressure, "dew")
    ours, theirs = temperature.uncertainty, saturated.uncertainty
    margin = Measured(temperature.value - saturated.value, math.sqrt(ours * ours + theirs * theirs))
    possible = place == "sump" or _on_this_side_of(designation, pressure, (margin, beyond), "bubble", saturated)
    reasons = () if possible else _reasons()["discharge" if place == "discharge" else "suction"]
    judged = _doubted(_judged(designation, saturated, margin, limits, reasons), pressure)
    if place == "suction" or not limits:  # oil that stands at discharge pressure is as hot as the gas
        return _told(judged, why_differ(place, machine))
    hot = judge(temperature, hot_ruling(designation, saturated.value, machine, place))
    return _told(_with_hot(judged, hot, place), why_differ(place, machine))


def _told(margin: Margin, differ: tuple[str, str]) -> Margin:
    """With what would tell it, where nobody can: it lies across a limit, or limits of different machines disagree."""
    if margin.verdict != "cannot tell" or margin.likely_reasons:
        return margin
    standings = {standing(margin.margin, band) for band in margin.bands}
    key = "at-a-limit" if len(standings) == 1 else differ["cannot tell" in standings]
    return replace(margin, likely_reasons=_reasons()[key])


def _with_hot(margin: Margin, standing: Standing, place: str) -> Margin:
    """A line too hot is above every limit, however much superheat that is; one that may be too hot is not within."""
    if margin.verdict in ("below", _IMPOSSIBLE) or standing == "within":
        return margin
    if standing == "outside":
        return replace(margin, verdict="above", likely_reasons=_reasons()[HOT[place]])
    return replace(margin, verdict="cannot tell") if margin.verdict == "within" else margin


def subcooling(
    designation: str, pressure: Measured, temperature: Measured, machine: MarginMachine = ANY_MACHINE
) -> Margin:
    """Subcooling of a liquid under the bubble temperature at `pressure`; errors as for `superheat`.

    A line above even the dew temperature holds no liquid: the readings cannot both be right.
    """
    saturated = _saturated(designation, pressure, "bubble")
    ours, theirs = temperature.uncertainty, saturated.uncertainty
    margin = Measured(saturated.value - temperature.value, math.sqrt(ours * ours + theirs * theirs))
    possible = _on_this_side_of(designation, pressure, (margin, None), "dew", saturated)
    reasons = () if possible else _reasons()["liquid"]
    judged = _judged(designation, saturated, margin, limits_for("liquid", machine), reasons)
    return _told(_doubted(judged, pressure), why_differ("liquid", machine))


def reaches_vacuum(pressure: Measured) -> bool:
    """Whether a pressure is so uncertain that it may be none at all: its saturation temperature may then be any colder.

    >>> reaches_vacuum(Measured(10.1e3, 10.1e3)), reaches_vacuum(Measured(10.1e3, 0.6e3))
    (True, False)
    """
    return pressure.value <= COVERAGE * pressure.uncertainty


def _doubted(margin: Margin, pressure: Measured) -> Margin:
    """The margin; with nothing told from it where the pressure may be none: no first order holds there."""
    if not reaches_vacuum(pressure):
        return margin
    verdict: MarginVerdict = "cannot tell" if margin.bands else "no limit known"
    return replace(margin, phase="cannot tell", verdict=verdict, likely_reasons=_reasons()["to-vacuum"])


def _on_this_side_of(
    designation: str, pressure: Measured, apart: tuple[Measured, float | None], far: saturation.Side, near: Measured
) -> bool:
    """Whether a temperature may lie on this side of the far end of evaporation; allowed where that is not known.

    apart: the margin, and the K beyond that end that may still be; None: as in the data file for gas and for liquid.
    """
    margin, told = apart
    if margin.value >= 0:
        return True
    low, high = saturation.pressure_range(designation, far)
    if not low <= pressure.value <= high:
        return True
    slack = (bands().beyond.gas if far == "bubble" else bands().beyond.far_end) if told is None else told
    short = margin.value + COVERAGE * margin.uncertainty + slack
    return short >= -abs(_saturated(designation, pressure, far).value - near.value)


def saturation_temperature(
    designation: str, pressure: Measured, curve: saturation.Side, field: str = "pressure"
) -> Measured:
    """Dew or bubble temperature, K, with the uncertainty of the reading and of the refrigerant's property basis.

    First order (JCGM 100:2008, 5.1.2, equation 11a). OutOfRangeError names `field`.
    """
    with located(pressure=field):
        return _saturated(designation, pressure, curve)


def _saturated(designation: str, pressure: Measured, curve: saturation.Side) -> Measured:
    basis = basis_uncertainty(designation)
    value, slope = saturation.curve(designation, curve).temperature_and_slope(pressure.value)
    spread = slope * pressure.uncertainty
    return Measured(value, math.sqrt(spread * spread + basis * basis))  # to the last bit as columns have it


def basis_uncertainty(designation: str) -> float:
    """Standard uncertainty of saturation temperatures from the property basis, K: the catalogue states about two."""
    return catalogue.get(designation).accuracy_K / 2


def standing(value: Measured, limits: Band) -> Literal["below", "within", "above", "cannot tell"]:
    """Where a value lies against limits, or "cannot tell" if about 95 % of it is not on one side."""
    reach = COVERAGE * value.uncertainty
    if value.value + reach < limits.low:
        return "below"
    high = math.inf if limits.high is None else limits.high
    if value.value - reach > high:
        return "above"
    return "within" if limits.low <= value.value - reach and value.value + reach <= high else "cannot tell"


def _judged(
    designation: str, saturated: Measured, margin: Measured, limits: tuple[Band, ...], reasons: tuple[str, ...]
) -> Margin:
    low = max((band.low for band in limits), default=None)
    high = min((band.high for band in limits if band.high is not None), default=None)
    phase, verdict = (_IMPOSSIBLE, _IMPOSSIBLE) if reasons else (_phase(margin), _agreed(margin, limits))
    return Margin(designation, saturated, margin, phase, limits, verdict, low, high, reasons)


def _agreed(margin: Measured, limits: tuple[Band, ...]) -> MarginVerdict:
    """What all limits that may hold agree on; where they do not, nobody can tell without more facts of the machine.

    A source without an upper limit says nothing of too much: it does not silence those that state one.
    """
    verdicts = {standing(margin, band) for band in limits}
    if not verdicts:
        return "no limit known"
    lowest = margin.value - COVERAGE * margin.uncertainty
    bounded = {lowest > band.surely for band in limits if band.surely is not None}
    if bounded == {True} and verdicts <= {"above", "within"}:
        return "above"
    return verdicts.pop() if len(verdicts) == 1 else "cannot tell"


def _phase(margin: Measured) -> FlowPhase:
    reach = COVERAGE * margin.uncertainty
    if margin.value - reach > 0:
        return "single phase"
    return "saturated or wet" if margin.value + reach <= 0 else "cannot tell"
