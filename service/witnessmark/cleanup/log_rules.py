"""How a log of filter readings is judged. Data: `log.toml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.cleanup.rows import Positive, Share, Sourced, complete

FaultId = TypeAliasType(
    "FaultId", Literal["swapped-taps", "gauge-offset", "constant-offset", "high-start", "torn-core", "no-drop"]
)
"""What a log says about gauge, taps and core."""
Fraction = Annotated[float, Field(gt=0, lt=1)]


class FlowRule(Sourced):
    """Under this share of full flow a drop is not judged."""

    least_share: Fraction


class FallRule(Sourced):
    """Within `like_share` of full flow two readings are alike; a fall by more than `least_share` is a fault."""

    like_share: Fraction
    least_share: Fraction


class FlatRule(Sourced):
    """Largest rise a day, as a share of the limit, that can be called flat; readings and hours it takes to say so."""

    share_per_day: Fraction
    readings: Annotated[int, Field(ge=2)]
    hours: Positive


class SampleRule(Sourced):
    """Hours of running: from the new core to a sample that counts, between two, from the last one to the last look."""

    after_core_hours: Positive
    apart_hours: Positive
    recent_hours: Positive


class NextRule(Sourced):
    """The next look: after this share of the time left, hours at most."""

    share_of_time_left: Share
    longest_hours: Positive


class OffsetRule(Sourced):
    """When a constant part of the drop is claimed: readings, spread of flow, standard uncertainties, exponents."""

    readings: Annotated[int, Field(ge=4)]
    share_spread: Fraction
    significance: Positive
    exponents: tuple[float, ...]


class LogRules(data.Row):
    """The file."""

    flow: FlowRule
    fall: FallRule
    flat: FlatRule
    samples: SampleRule
    next: NextRule
    offset: OffsetRule
    faults: Annotated[dict[FaultId, str], complete(FaultId)]


LOG_RULES = data.table(__package__, "log.toml", LogRules)
