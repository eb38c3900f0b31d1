"""Limits of winding resistances, and what can be said of a winding: reviewed data (windings.toml)."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import words

Connection = TypeAliasType("Connection", Literal["star", "delta"])
"""How the three windings are joined."""
Conductor = TypeAliasType("Conductor", Literal["copper", "aluminium"])
"""Metal of the winding."""
WindingVerdict = TypeAliasType(
    "WindingVerdict",
    Literal[
        "balanced",
        "adds up",
        "unbalanced",
        "does not add up",
        "open winding",
        "shorted winding",
        "open or shorted winding",
        "open start winding",
        "open run winding",
        "open circuit",
        "protector may be open",
        "terminals not as labelled",
        "readings contradict",
        "sources disagree",
        "cannot tell",
    ],
)
"""What the resistances of a winding say."""
Three = tuple[Measured, Measured, Measured]
Terminals = tuple[Measured | None, Measured | None, Measured | None]
RESISTANCES = (1e-6, 1e6)
TERMINAL_RESISTANCES = (0.0, 1e12)
"""A dead short may well read zero, an open winding as much as the meter shows."""
ICE_POINT = 273.15
NO_LEAD = Measured(0.0)


class WindingLimits(data.Row):
    """Limits as fractions; start over run as a ratio, `far` the one beyond which no motor is known to be good."""

    balance: Limit
    balance_form_wound: Limit
    reference: Limit
    start_over_run_low: Limit
    start_over_run_high: Limit
    start_over_run_far: Limit


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


class OpenLeg(data.Row):
    """Share of the other two readings' sum from which the greatest reading means an open leg of a delta."""

    share: float
    source: SourceId


class TerminalShort(data.Row):
    """Share of the greatest reading below which another one is a short between its two terminals."""

    share: float
    source: SourceId


class LeadsLeftIn(data.Row):
    """What two test leads may have where nobody measured them, ohm; at most `share` of the least reading."""

    resistance: float
    share: float
    source: SourceId

    def at_most(self, readings: Three) -> float:
        """What may be left in these readings, ohm.

        Example: of 2.0, 2.0 and 2.1 ohm the 0.5 ohm of the file; of 0.6, 0.6 and 0.7 no more than half of 0.6.
        """
        return min(self.resistance, self.share * min(r.value for r in readings))


class WindingRange(data.Row):
    """Resistances, ohm, between which the terminals of a compressor motor lie: below shorted, above no such winding.

    open: from here on nothing conducts, whatever the meter shows.
    """

    shorted: float
    greatest: float
    open: float
    source: SourceId


class ByCurrent(data.Row):
    """Shares of the voltage that may drop in the resistance of a winding at the rated current.

    inverter: times `most` where a drive feeds the motor, whose own voltage and current are not those of the supply.
    """

    most: float
    least: float
    inverter: float
    source: SourceId


class TemperatureBounds(data.Row):
    """Temperatures, K, between which a winding can be."""

    coldest: float
    hottest: float
    source: SourceId


class FourWire(data.Row):
    """Share of a reading by which a four-wire meter differs from one reading to the next, beside its digits."""

    repeats: float
    source: SourceId


class WindingTable(data.Row):
    """The data file."""

    limits: WindingLimits
    conductors: ConductorConstants
    open_leg: OpenLeg
    terminal_short: TerminalShort
    leads: LeadsLeftIn
    between_terminals: WindingRange
    by_current: ByCurrent
    temperature: TemperatureBounds
    four_wire: FourWire


TABLE = data.table(__package__, "windings.toml", WindingTable)


def opened(terminals: Terminals) -> Terminals:
    """The readings with those that are open as None: what a meter shows of insulation is no winding."""
    a, b, c = (None if r is None or r.value >= TABLE().between_terminals.open else r for r in terminals)
    return a, b, c


def less_leads(terminals: Terminals, lead: Measured) -> Three:
    """The readings less the test leads; OutOfRangeError (terminals.k), InputError (lead). None must be open."""
    a, b, c = closed = tuple(r for r in terminals if r is not None)
    for k, reading in enumerate(closed):
        within(f"terminals.{k}", reading, TERMINAL_RESISTANCES, "resistance")
    if lead.value and not 0 < lead.value < min(r.value for r in closed):
        raise InputError("lead", "not between zero and the least reading", "the resistance with the test leads shorted")
    a, b, c = (Measured(r.value - lead.value, r.uncertainty) for r in (a, b, c))
    return a, b, c


def no_winding(net: Three, ends: tuple[tuple[object, object], ...]) -> tuple[WindingVerdict, str] | None:
    """What no compressor winding can have, told before any balance; None where the readings may be of one.

    Example: three times 0.58 milliohm are shorted, or read with the leads joined; three times 1.2 kilohm are none.
    """
    bounds = TABLE().between_terminals
    if min(r.value for r in net) > bounds.greatest:
        return "readings contradict", (
            f"every reading is above {bounds.greatest:g} ohm, which no compressor winding has: look at the range and "
            "the unit of the meter, and at its contacts"
        )
    if max(r.value for r in net) >= bounds.shorted:
        return None
    between = f"between {', '.join(f'{a}-{b}' for a, b in ends)}"
    return "shorted winding", (
        f"next to nothing {between}: the windings are shorted, or the terminals or the meter's leads are joined"
    )


def what_decides(ohm: float, *, four_wire: bool, left_in: bool) -> str:
    """What would decide on a balance, never what was done already; ohm: how well the meter has to show it.

    >>> what_decides(0.024, four_wire=False, left_in=False)
    'a four-wire meter is needed, within 0.024 ohm, or one that shows more digits'
    """
    if four_wire:
        return f"the meter has to show it within {ohm:.2g} ohm: more digits, or hold it against the maker's resistance"
    if left_in:
        return f"a four-wire meter is needed, within {ohm:.2g} ohm, or the leads shorted together and taken off"
    return f"a four-wire meter is needed, within {ohm:.2g} ohm, or one that shows more digits"
