"""From when to when something counts, as data: each figure with its source (rules.toml)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.trend.channels import LogChannel

EpisodeKind = TypeAliasType(
    "EpisodeKind",
    Literal[
        "liquid-returning",
        "flooded-start",
        "low-load-then-ramp",
        "short-cycling",
        "high-head-pressure",
        "high-ratio",
        "high-discharge-temperature",
        "vacuum-running",
        "no-pressure-difference",
        "charge-loss",
        "condenser-fouling",
        "sensor-stuck",
        "sensors-swapped",
        "sensor-drift",
        "sensor-drop-out",
    ],
)
"""What a log can show. The order is that of danger: what lets liquid in, what overloads, what wears, what misleads."""
Dimension = Literal["temperature", "temperature_difference", "pressure", "time", "number"]
FindingState = Literal["present", "low", "high"]


class Rule(data.Row):
    """One figure: an episode begins beyond `enter` and ends beyond `leave` (hysteresis), SI.

    shortest: s for which it must last, or of which it must be the larger part; join: s between two such stretches up
    to which they are one episode.
    """

    what: Text
    dimension: Dimension
    enter: float
    leave: float
    shortest: Annotated[float, Field(ge=0)]
    join: Annotated[float, Field(ge=0)] = 0.0
    source: SourceId
    note: str = ""


class Finding(data.Row):
    """What an episode is told to the diagnosis as, and how much of that certainty is kept."""

    finding: Text
    state: FindingState
    most: Annotated[float, Field(gt=0.5, lt=1)]


class EpisodeRow(data.Row):
    """One kind of episode: what it is called, what it means, the rules that it goes by, findings, channels it needs.

    needs: sets of channels, each of which is enough. days: of a log in which it can be seen at all.
    """

    title: Text
    text: Text
    needs: tuple[tuple[LogChannel, ...], ...]
    findings: tuple[Finding, ...] = ()
    days: Annotated[float, Field(ge=0)] = 0.0
    rules: dict[str, Rule]


RULES = data.table(__package__, "rules.toml", dict[EpisodeKind, EpisodeRow])


def rule(kind: EpisodeKind, name: str) -> Rule:
    """One figure of a kind of episode."""
    return RULES()[kind].rules[name]
