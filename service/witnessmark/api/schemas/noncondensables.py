"""The standing-pressure test on the wire."""

from __future__ import annotations

from pydantic import AliasChoices, Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Shown
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.circuit.noncondensables import GasVerdict


class NoncondensablesRequest(Request):
    """A stopped circuit that has come to one temperature, with liquid where the pressure is read."""

    refrigerant: Designation
    pressure: q.Pressure = Field(description="Of the stopped circuit.")
    temperature: q.Temperature
    """Of the part with the liquid: the air round it, long enough at rest."""
    gas_space: q.Volume | None = None
    """Volume above the liquid, for the mass of gas in it."""


class NoncondensablesResult(Shown):
    """The pressure against that of clean refrigerant."""

    refrigerant: str = Field(description="Its designation.")
    verdict: GasVerdict = Field(description="Whether gas that does not condense is there, at k = 2 (about 95 %).")
    meaning: str = Field(description="The verdict in words.")
    bubble_pressure: q.Pressure = Field(description="Of clean refrigerant at this temperature, absolute.")
    bubble_gauge_pressure: q.GaugePressure = Field(
        validation_alias=AliasChoices("bubble_gauge_pressure", "bubble_pressure")
    )
    """The same as a gauge at the site would show it."""
    excess: q.PressureDifference = Field(description="Partial pressure of what does not condense (Dalton).")
    share: Ratio = Field(description="Mole fraction of the gas phase that does not condense.")
    head_rise: q.TemperatureDifference = Field(description="By how much the condensing temperature seems too high.")
    air: q.Mass | None = Field(description="Mass in the gas space, if it is air.")
    least_excess: q.PressureDifference = Field(description="The smallest excess that these readings can show.")
    limit: q.PressureDifference = Field(description="The excess that matters.")
    fitting: list[str]
    """Other usual refrigerants whose pressure, when clean, would be the one read: the label may be wrong."""
    limit_from: str = Field(description="Source id of the limit.")


class NoncondensablesAnswer(Answer):
    """Answer of POST /v1/noncondensables."""

    result: NoncondensablesResult = Field(description="What the standing pressure says.")
