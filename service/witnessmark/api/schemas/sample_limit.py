"""What the verdicts on a sample of oil or refrigerant share on the wire."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from witnessmark.api.quantities import Real, Wire

Standing = Literal["in limit", "watch", "over", "cannot tell", "no limit known"]


class SampleLimitResult(Wire):
    """A limit of one source, in the unit of the quantity; the source's citation and trust stand in `sources`."""

    level: Literal["watch", "act"]
    limit: Real
    itself_over: bool = Field(description="Whether a reading equal to the limit is already over.")
    note: str
    source: str


class SampleItemResult(Wire):
    """Verdict on one quantity, in its unit."""

    unit: str = Field(description="Unit of reading and limits.")
    reading: Real
    standing: Standing
    watch: SampleLimitResult | None = Field(description="The strictest limit above which to sample again.")
    act: SampleLimitResult | None = Field(description="The limit above which to act: the maker's, else the strictest.")
    limits: list[SampleLimitResult] = Field(description="All limits that sources give, the strictest first.")
    sources_disagree: bool
    maker_overrides: bool
    looser_than_published: bool = Field(description="Whether the maker allows more than the strictest published limit.")
