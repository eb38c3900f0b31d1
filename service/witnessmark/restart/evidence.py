"""What the calculations' verdicts are worth to the gate: passed, failed, conflicting, undecided or missing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.electrical.insulation import InsulationOutcome, InsulationVerdict, TestCondition
from witnessmark.calculations.electrical.supply_unbalance import TABLE as SUPPLY_TABLE
from witnessmark.calculations.electrical.supply_unbalance import SupplyOutcome, SupplyVerdict
from witnessmark.calculations.electrical.winding_rules import WindingVerdict
from witnessmark.calculations.electrical.windings import WindingsResult
from witnessmark.calculations.metrology.limits import Limit, Standing, judge
from witnessmark.calculations.metrology.ratios import difference, scaled
from witnessmark.calculations.metrology.uncertainty import Measured, figure, told_apart
from witnessmark.calculations.samples.oil_quality import UNITS, OilItem, OilQuality
from witnessmark.calculations.tightness.pressure_test import PressureTestResult, PressureTestVerdict
from witnessmark.reference import SourceId
from witnessmark.vocabulary import AcidTest, BurnoutGrade, Oil

EvidenceOutcome = TypeAliasType("EvidenceOutcome", Literal["passed", "failed", "conflicting", "undecided", "missing"])
"""Missing: a test was reported, but it is not proved to be a valid one, so it counts as not done."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence for a check; `origin` says where it comes from, `detail` what it said.

    condition: what must be kept to although the check is passed; empty where nothing must.
    """

    origin: str
    outcome: EvidenceOutcome
    detail: str
    condition: str = ""


DAY = 86400.0
WORST: BurnoutGrade = 3
"""A burn that came back or left sludge: no figure between two sources is good enough for the next motor."""
OilSampleOf = TypeAliasType("OilSampleOf", Literal["new-charge", "circuit", "old-compressor"])
"""Which oil a sample is of: the one that is filled in, what is left in the circuit, that of the failed compressor."""
Side = TypeAliasType("Side", Literal["high", "low"])
"""A side of the circuit, each with its own design pressure."""


class DesignTemperatures(data.Row):
    """Saturation temperatures, K, by side."""

    high: Limit
    low: Limit


class LeastDesign(data.Row):
    """Saturation temperatures, K, below whose pressure nobody designs a side."""

    high: float
    low: float
    source: SourceId


class NameplateOnly(data.Row):
    """Critical temperature, K, below which a refrigerant has no design temperatures."""

    critical_temperature: float
    source: SourceId


class KeptCold(data.Row):
    """Saturation temperatures, K, below whose pressure no side is built that something keeps cold."""

    high: float
    low: float
    source: SourceId


class AcidRow(data.Row):
    """Acid number, mg KOH/g, of one kind of sample and some oils."""

    sample: OilSampleOf
    oils: frozenset[Oil]
    limit: Limit


class Levelling(data.Row):
    """The fewest readings, and the shortest time, s, that show where a vacuum levels off; see `evidence.toml`."""

    readings: int
    hold: float
    slower: float
    source: SourceId


class Acceptance(data.Row):
    """The data file."""

    unbalance: Limit
    hold: Limit
    levelling: Levelling
    tightness_factor: Limit
    design_temperature: DesignTemperatures
    least_design: LeastDesign
    nameplate_only: NameplateOnly
    kept_cold: KeptCold
    cutout_deviation: Limit
    cutout_above: Limit
    acid: tuple[AcidRow, ...]

    def acid_limit(self, sample: OilSampleOf, oil: Oil) -> Limit:
        """The limit of such a sample, mg KOH/g."""
        return next(row.limit for row in self.acid if row.sample == sample and oil in row.oils)


TABLE = data.table(__package__, "evidence.toml", Acceptance)


INSULATION: Mapping[InsulationOutcome, EvidenceOutcome] = {
    "meets every stated minimum": "passed",
    "meets the maker's minimum": "passed",
    "minimum met, test not proven valid": "missing",
    "grounded": "failed",
    "below every stated minimum": "failed",
    "below the maker's minimum": "failed",
    "sources disagree": "conflicting",
    "not a valid test": "undecided",
    "warm up and repeat": "undecided",
    "cannot tell": "undecided",
}
WINDINGS: Mapping[WindingVerdict, EvidenceOutcome] = {
    "balanced": "passed",
    "adds up": "passed",
    "unbalanced": "failed",
    "does not add up": "failed",
    "open winding": "failed",
    "shorted winding": "failed",
    "open or shorted winding": "failed",
    "open start winding": "failed",
    "open run winding": "failed",
    "open circuit": "failed",
    "terminals not as labelled": "failed",
    "readings contradict": "conflicting",
    "sources disagree": "conflicting",
    "protector may be open": "undecided",
    "cannot tell": "undecided",
}
PRESSURE: Mapping[PressureTestVerdict, EvidenceOutcome] = {
    "no loss seen": "passed",
    "leak": "failed",
    "hold disputed": "undecided",
    "readings contradict": "conflicting",
    "not a valid test": "undecided",
    "hold too short": "undecided",
    "cannot tell": "undecided",
}
PHASES: Mapping[SupplyOutcome, EvidenceOutcome] = {
    "lost phase": "failed",
    "readings contradict": "conflicting",
    "measure line to line": "undecided",
}
"""What decides before any unbalance does."""
STANDING: Mapping[Standing, EvidenceOutcome] = {
    "within": "passed",
    "outside": "failed",
    "sources disagree": "conflicting",
    "cannot tell": "undecided",
}


NOT_STATED: Mapping[TestCondition, str] = {
    "under_vacuum": "whether the shell was under vacuum",
    "through_drive": "whether a drive was connected",
    "power_locked_out": "whether the supply was locked out",
}


def from_insulation(result: InsulationVerdict) -> Evidence:
    """Evidence of an insulation test; a good reading proves nothing where it is not said that the test was valid."""
    outcome = INSULATION[result.verdict]
    if outcome == "passed" and result.polarisation is not None and result.polarisation.verdict == "low":
        return Evidence("insulation test", "failed", f"{result.verdict}, but the polarisation index is low")
    unstated = [NOT_STATED[name] for name in result.not_proven]
    detail = f"{result.verdict}; not stated: {', '.join(unstated)}" if unstated else result.verdict
    if outcome == "missing" and not unstated:
        detail = f"{result.verdict}: its test voltage is none to prove such a motor by"
    return Evidence("insulation test", outcome, detail)


def from_windings(result: WindingsResult) -> Evidence:
    """Evidence of winding resistances; a reference that they miss fails what is balanced, by shorted turns alike."""
    origin, outcome = "winding resistances", WINDINGS[result.verdict]
    detail = f"{result.verdict}: {result.explanation}" if result.explanation else result.verdict
    known = result.reference
    if outcome != "passed" or known is None or known.standing == "within":
        return Evidence(origin, outcome, detail)
    off = f"{result.verdict}, but {known.deviation.value:+.0%} off the reference"
    if known.standing == "outside":
        return Evidence(origin, "failed", f"{off}: shorted turns, or the reference is of another motor")
    return Evidence(origin, outcome, detail, f"{off}, as far as the readings tell: read again with a better meter")


@dataclass(frozen=True, slots=True)
class TestedSide:
    """Pressures of the last stage of a tightness test, Pa gauge: what it stood at, the design pressure it was for.

    least_design: what the refrigerant itself reaches, below which no design pressure lies; None where not known.
    kept_cold: a cascade may be designed for less, if something keeps it below that at standstill; coldest: but for no
    less than this, unless documented; None where not known. own: the least and
    greatest of what published design temperatures make of the refrigerant; None where not known. documented: a
    document of the maker is quoted for the design pressure.
    """

    __test__ = False
    side: Side
    reached: float
    design: float | None
    least_design: float | None
    duration: float
    kept_cold: bool = False
    own: tuple[float, float] | None = None
    documented: bool = False
    coldest: float | None = None


def from_pressure_test(result: PressureTestResult, tested: TestedSide) -> Evidence:
    """Evidence of a standing test of one side, which must have stood at that side's design pressure, long enough.

    Source: ashrae-15-design-temperatures, en-378-2-tightness, iso-5149-2-tightness.
    """
    origin, outcome = f"standing pressure test, {tested.side} side", PRESSURE[result.verdict]
    if result.verdict == "hold disputed" and tested.duration >= TABLE().hold.rule().value:
        outcome = "passed"
    if outcome == "passed" and tested.duration < TABLE().hold.rule().value:
        return Evidence(origin, "missing", "it stood for less than an hour, whatever the maker asks")
    if outcome != "passed":
        return Evidence(origin, outcome, result.verdict)
    if tested.design is None:
        return Evidence(origin, "missing", "the design pressure of the side is not known: give the nameplate's")
    if clash := _design_clash(tested, tested.design):
        return Evidence(origin, "conflicting", clash)
    needed = tested.design * TABLE().tightness_factor.rule().value
    if tested.reached < needed:
        stood, asked = told_apart(tested.reached / 1e6, needed / 1e6)
        detail = f"stood at {stood} MPa gauge, its design pressure is {asked} MPa"
        return Evidence(origin, "missing", detail)
    day = [] if tested.duration >= DAY else [f"{tested.side} side: {SHORT_HOLD}"]
    owed = [*day, *_design_owed(tested, tested.design)]
    return Evidence(origin, "passed", f"no loss seen at {tested.reached / 1e6:.3g} MPa gauge", "; ".join(owed))


def _design_clash(tested: TestedSide, design: float) -> str:
    """Why a design pressure that was given cannot be taken: too low, and nothing is quoted for it; else empty."""
    given = f"the design pressure given, {design / 1e6:.3g} MPa gauge, is below"
    if tested.least_design is not None and design < tested.least_design and not tested.kept_cold:
        return f"{given} what the refrigerant itself reaches, {tested.least_design / 1e6:.3g} MPa gauge"
    if tested.coldest is not None and design < tested.coldest and not tested.documented:
        return f"{given} the {tested.coldest / 1e6:.3g} MPa gauge of plants that keep this refrigerant cold: {QUOTE}"
    if tested.own is None or design >= tested.own[0] or tested.documented:
        return ""
    return f"{given} the {tested.own[0] / 1e6:.3g} MPa gauge of this refrigerant at its design temperature: {QUOTE}"


def _design_owed(tested: TestedSide, design: float) -> Iterator[str]:
    """What a design pressure that is taken owes to the figures above it."""
    if tested.least_design is not None and design < tested.least_design:
        yield f"{tested.side} side: {STANDSTILL}"
    if tested.own is not None and design < tested.own[1]:
        yield (
            f"{tested.side} side: tested for a design pressure of {design / 1e6:.3g} MPa gauge, the refrigerant's "
            f"design temperature makes {tested.own[1] / 1e6:.3g} MPa gauge: read the nameplate again"
        )


SHORT_HOLD = "held for less than 24 h: every joint has to be looked at as well"
QUOTE = "quote the nameplate as its document"


STANDSTILL = "designed for less than the refrigerant reaches at standstill: the maker's word on what keeps it colder"


def from_oil(
    sample: OilSampleOf, quality: OilQuality, grade: BurnoutGrade | None = None, asked: Oil | None = None
) -> Iterator[Evidence]:
    """Evidence of a sample for the check of the oil that it is of; `asked`: the oil that the machine asks for.

    A limit of the maker decides where there is one. New oil keeps every limit that is stated for its kind, what the
    cleaning left those at which to act. After the worst burn the strictest source on acid decides, which is the
    one that speaks of burnt motors; elsewhere acid between it and `evidence.toml` passes on a condition.
    Old oil fails nothing: it left; acid, black, wet or dirty, it contradicts a failure graded 0.
    """
    origin = f"oil sample: {sample}"
    if sample == "new-charge" and asked not in (None, quality.oil):
        yield Evidence(origin, "failed", f"{quality.oil} was filled in, the machine asks for {asked}")
    for item in quality.items:
        limit, reading = _oil_limit(sample, quality.oil, item, worst=grade == WORST), item.reading.value
        over, text = limit is not None and reading > limit, f"{item.quantity.replace('_', ' ')} {_read(item, reading)}"
        if sample == "old-compressor":
            acid = item.quantity == "acid_number"
            if grade == 0 and (over or (item.standing == "over" and not acid)):
                found = "was acid" if acid else f"was over its limit of {item.quantity}"
                yield Evidence(origin, "conflicting", f"the old oil {found}, though the failure is graded 0")
        elif over:
            yield Evidence(origin, "failed", f"{text}, above {_read(item, limit or 0.0)}")
        elif item.quantity == "acid_number" and limit is not None and item.reading.uncertainty >= limit:
            poorly = f"{text}, which is known too poorly to say anything of {_read(item, limit)}"
            yield Evidence(origin, "missing", poorly)
        elif item.quantity == "acid_number":
            again = f"{text} is where the strictest source changes oil and driers: do so, and sample again"
            strict = sample == "circuit" and item.standing == "over" and not item.maker_overrides
            yield Evidence(origin, "passed", text, again if strict else "")


def _read(item: OilItem, value: float) -> str:
    """A figure of an oil sample as laboratories print it, with its unit."""
    unit, factor = UNITS[item.quantity]
    return f"{figure(value / factor, DIGITS_OF_OIL)} {unit}"


DIGITS_OF_OIL = 3


def from_acid_test(sample: OilSampleOf, test: AcidTest, grade: BurnoutGrade | None = None) -> Iterator[Evidence]:
    """Evidence of a field kit for acid in oil; old oil speaks only against a failure graded 0, as in `from_oil`."""
    origin = f"oil sample: {sample}"
    if sample != "old-compressor":
        yield Evidence(origin, "failed" if test == "positive" else "passed", f"field test for acid {test}")
    elif test == "positive" and grade == 0:
        yield Evidence(origin, "conflicting", "the old oil was acid, though the failure is graded 0")


def _oil_limit(sample: OilSampleOf, oil: Oil, item: OilItem, *, worst: bool) -> float | None:
    """What a reading may be at most, SI; None where nothing is stated."""
    if item.act is not None and item.maker_overrides:
        return item.act.value
    if item.act is not None and worst and (sample, item.quantity) == ("circuit", "acid_number"):
        return item.act.edge
    if item.quantity == "acid_number":
        return TABLE().acid_limit(sample, oil).rule().value
    strict = (item.watch, item.act) if sample == "new-charge" else (item.act,)
    return min((limit.value for limit in strict if limit is not None), default=None)


OilLevel = TypeAliasType("OilLevel", Literal["below-glass", "in-glass", "above-glass"])
"""Where the oil stands in the sight glass; above it where refrigerant has lifted it."""


def from_oil_level(level: OilLevel) -> Evidence:
    """Evidence of the oil level at rest."""
    return Evidence("oil level", "passed" if level == "in-glass" else "failed", level.replace("-", " the "))


def from_charge(refrigerant: str, asked: str, *, separates: bool) -> Iterator[Evidence]:
    """Evidence of what was filled in; separates: a zeotropic blend was taken from the cylinder as vapour."""
    if refrigerant != asked:
        yield Evidence("refrigerant filled in", "failed", f"{refrigerant} was filled in, the machine asks for {asked}")
    if separates:
        yield Evidence("refrigerant filled in", "failed", "a blend taken as vapour has another composition")


def from_supply(result: SupplyVerdict) -> Evidence:
    """Evidence of supply readings: the worst of unbalance, voltage band and currents, a lost phase before all.

    Without the rated voltage the band was not judged: balanced readings of the wrong voltage prove nothing. Unbalance
    short of the limit of evidence.toml is no stop: the load that the motor may carry then is a condition. A current
    unbalance that it explains adds nothing.
    """
    origin, unbalance, current = "supply readings", result.voltage.fraction, result.current
    if result.verdict in PHASES:
        return Evidence(origin, PHASES[result.verdict], result.explanation or result.verdict)
    by_maker = result.limit.basis == "maker"
    standings = [result.standing if by_maker else judge(unbalance, TABLE().unbalance.rule())]
    standings += [result.band.standing] if result.band else []
    standings += [current.standing] if current and current.origin != "supply explains it" else []
    worst = _worst(standings)
    if result.band is None and worst == "within":
        return Evidence(origin, "missing", "the rated voltage was not given: the band is not judged")
    load = result.derating.factor if result.derating and worst == "within" else 1.0
    owed = f"voltage unbalance {unbalance.value:.1%}: load the motor to {load:.0%} at most"
    condition = owed if round(load, 2) < 1 else ""
    return Evidence(origin, STANDING[worst], f"{worst}, voltage unbalance {unbalance.value:.1%}", condition)


def from_line(voltage: Measured, rated: float) -> Evidence:
    """Evidence of the voltage of a single-phase supply against the nameplate's, V; 240 V for 230 V passes."""
    off = scaled(difference(voltage, Measured(rated)), 1 / rated)
    standing = judge(Measured(abs(off.value), off.uncertainty), SUPPLY_TABLE().limits.voltage_deviation.rule())
    return Evidence("supply readings", STANDING[standing], f"{standing}, {off.value:+.1%} of the rated voltage")


def _worst(standings: list[Standing]) -> Standing:
    order: tuple[Standing, ...] = ("outside", "sources disagree", "cannot tell", "within")
    return next(s for s in order if s in standings)
