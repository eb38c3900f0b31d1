"""What the verdicts on a sample of oil or refrigerant share on the wire."""

from __future__ import annotations

from pydantic import AliasChoices, Field

from witnessmark.api.quantities import Real, Shown
from witnessmark.calculations.samples.sample_limits import LimitLevel, SampleStanding


class SampleLimitResult(Shown):
    """A limit of one source, in the unit of the quantity; the source's citation and trust stand in `sources`."""

    level: LimitLevel = Field(description="What to do above it.")
    limit: Real = Field(description="The figure.")
    itself_over: bool = Field(validation_alias=AliasChoices("itself_over", "exclusive"))
    """Whether a reading equal to the limit is already over."""
    note: str = Field(description="What the source says about it; may be empty.")
    source: str = Field(description="Id of the source.")


class SampleItemResult(Shown):
    """Verdict on one quantity, in its unit."""

    unit: str = Field(description="Unit of reading and limits.")
    reading: Real = Field(description="What was measured.")
    standing: SampleStanding = Field(description="Where it stands.")
    watch: SampleLimitResult | None = Field(description="The strictest limit above which to sample again.")
    act: SampleLimitResult | None = Field(description="The limit above which to act: the maker's, else the strictest.")
    limits: list[SampleLimitResult] = Field(description="All limits that sources give, the strictest first.")
    sources_disagree: bool = Field(description="Whether sources give different figures for a level.")
    maker_overrides: bool = Field(description="Whether the maker's limit stands in place of theirs.")
    remark: str = Field(description="What is to be said of a limit that the maker is said to set; mostly empty.")
    looser_than_published: bool = Field(description="Whether the maker allows more than the strictest published limit.")
