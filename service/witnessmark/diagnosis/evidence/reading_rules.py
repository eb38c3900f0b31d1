"""Figures by which readings are told apart before they become numbers: reviewed data (reading_rules.toml)."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark import data
from witnessmark.reference import SourceId

Positive = Annotated[float, Field(gt=0)]


class OpenWinding(data.Row):
    """Resistance from which a winding is open, ohm."""

    ohm: Positive
    source: SourceId


class ThreeWindings(data.Row):
    """Ohm between two pins that no motor with three windings has; V that no usual one is fed with more than.

    single_phase_volts: the same of a motor with start and run winding.
    """

    ohm: Positive
    volts: Positive
    single_phase_volts: Positive
    source: SourceId


class Protector(data.Row):
    """Winding temperature up to which no internal protector stands open for heat, K."""

    cold: Positive
    source: SourceId


class SinglePhaseLook(data.Row):
    """Start over run winding from which readings that add up look like a single-phase motor."""

    ratio: Annotated[float, Field(gt=1)]
    source: SourceId


class Band(data.Row):
    """Lowest and highest ratio that is still good."""

    low: Positive
    high: Positive
    source: SourceId

    def beyond(self, ratio: float) -> float:
        """How far a ratio lies outside; 0 inside."""
        return max(0.0, self.low - ratio, ratio - self.high)


class WorthAsking(data.Row):
    """Current unbalance from which its origin is asked for."""

    share: Positive
    source: SourceId


class Nothing(data.Row):
    """Current or voltage that is none: share of what it should be, else A or V."""

    share: Positive
    alone: Positive
    source: SourceId


class BelowWhatCools(data.Row):
    """K below what cools the condenser from which it cannot be: condensing, by whether it was told what cools it.

    liquid: the same of the liquid line, which a subcooler may cool.
    """

    told: Positive
    not_told: Positive
    liquid: Positive
    source: SourceId


class WarmPlace(data.Row):
    """K. room: the warmest place that a suction line usually runs through; beyond: how much warmer it may read."""

    room: Positive
    beyond: Positive
    source: SourceId


class UnitSlip(data.Row):
    """How far from a power of a thousand a reading over its marking may lie and still be a slip of the unit."""

    off: Positive
    source: SourceId


class Lifted(data.Row):
    """Ratio from which gas is clearly lifted, Pa that tell nothing then, K by which it condenses in- or outside.

    small: ratio below which a low lift has a row of its own. stages: refrigerants of low stages. unmoved, no_heat:
    ratio, and K over what cools the condenser, below which next to no heat is rejected.
    """

    ratio: Annotated[float, Field(gt=1)]
    small: Annotated[float, Field(gt=1)]
    few: Positive
    inside: Positive
    outside: Positive
    unmoved: Annotated[float, Field(gt=1)]
    no_heat: Positive
    stages: tuple[str, ...]
    source: SourceId


class Season(data.Row):
    """K. heating, room: outdoor air below which a heat pump may heat, condensing above which it then does.

    cold, head: air at the condenser and condensing below which the head has fallen in the cold; held, held_on_water:
    condensing up to which a control holds it up there. cold_water, throttled: water that enters, and K that a valve
    lets it warm, from which it holds the head. room_from, in_a_room, above: air of a room, K that a heat pump condenses
    over it, and K from which any of this is asked.
    """

    heating: Positive
    room: Positive
    cold: Positive
    head: Positive
    held: Positive
    held_on_water: Positive
    cold_water: Positive
    throttled: Positive
    room_from: Positive
    in_a_room: Positive
    above: Positive
    source: SourceId


class Duty(data.Row):
    """K: the coldest that comfort cooling, goods above freezing and frozen goods are usually evaporated at.

    comfort_top, cool_top, frozen_top: the warmest, of a room or a store that is near what it is held at.
    room: air at a condenser that no room has, so that the machine cools. dense: dew pressure at `frozen`, Pa, from
    which a refrigerant is one of a low stage.
    """

    comfort: Positive
    cool: Positive
    frozen: Positive
    comfort_top: Positive
    cool_top: Positive
    frozen_top: Positive
    room: Positive
    dense: Positive
    source: SourceId


class DeadWithTrip(data.Row):
    """Resistance to the shell below which a winding is grounded where the breaker opens at once, ohm."""

    ohm: Positive
    source: SourceId


class BaselineRules(data.Row):
    """When a deviation from the sound machine counts, and how its scatter goes with conditions and instruments."""

    load: Positive
    per_kelvin: Positive
    current_per_kelvin: Positive
    unsound: Positive
    insulation_left: Positive
    repeat: Annotated[float, Field(gt=0, le=1)]
    like_ratio: Annotated[float, Field(gt=1)]
    source: SourceId


class ReadingRules(data.Row):
    """The data file."""

    open_winding: OpenWinding
    three_windings: ThreeWindings
    protector: Protector
    single_phase_look: SinglePhaseLook
    start_over_run: Band
    run_capacitor: Band
    start_capacitor: Band
    unbalance_worth_asking: WorthAsking
    baseline: BaselineRules
    nothing: Nothing
    below_what_cools: BelowWhatCools
    warm_place: WarmPlace
    unit_slip: UnitSlip
    lifted: Lifted
    dead_with_trip: DeadWithTrip
    season: Season
    duty: Duty


RULES = data.table(__package__, "reading_rules.toml", ReadingRules)
