"""Charge of a flammable refrigerant and its room on the wire."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Area, Density, Length, Mass, Shown
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.calculations.circuit.flammable_charge import Appliance, Mounting, RoomVerdict
from witnessmark.refrigerants.catalogue import SafetyClass


class FlammableChargeRequest(Request):
    """Request of POST /v1/flammable-charge."""

    refrigerant: Designation = Field(description="Of class A2L, A2 or A3; others are refused with the reason.")
    charge: Mass = Field(
        description="All that the circuit holds, as marked; a weighed one with the uncertainty of the scale."
    )
    appliance: Appliance = "room-unit"
    """What holds it: rules for rooms judge neither plug-in cabinets, which have a standard of their own, nor machines
    outdoors."""
    room_area: Area | None = Field(None, description="Floor of the closed room.")
    mounting: Mounting | None = Field(None, description="Where the indoor unit hangs; gives the release height.")
    release_height: Length | None = None
    """Height at which a leak comes out, instead of the mounting; below 0.6 m, or not said, it is 0.6 m."""

    @model_validator(mode="after")
    def _one_height(self) -> Self:
        if self.mounting is not None and self.release_height is not None:
            raise ValueError("give either mounting or release_height")
        return self


class ByStandardResult(Shown):
    """What one standard says."""

    standard: str = Field(description="Standard, edition and clause.")
    source: str = Field(description="Id of the source: how far the standard could be read.")
    m1: Mass = Field(description="Up to this charge any room will do.")
    m2: Mass = Field(description="Up to this one the room must be large enough.")
    m3: Mass = Field(description="Up to this one ventilation or other measures must make up for it.")
    most: Mass | None = Field(description="The most that this room may take, at least m1; null without a room.")
    least_area: Area | None
    """Floor that this charge needs; null up to m1 (any will do) and above m2 (none does alone)."""
    verdict: RoomVerdict = Field(description="What this standard says of the charge.")


class FlammableChargeResult(Shown):
    """The worst that a standard says, and all of them."""

    verdict: RoomVerdict = Field(description="The worst of the standards' verdicts.")
    decided_by: str = Field(description="Id of the source of the standard that gives it.")
    safety_class: SafetyClass = Field(description="Of the refrigerant.")
    lower_limit: LimitShown[Density] = Field(description="Lower flammability limit: the lowest that a source states.")
    height: Length = Field(description="Release height as it counted.")
    standards: list[ByStandardResult] = Field(description="What each standard says.")


class FlammableChargeAnswer(Answer):
    """Answer of POST /v1/flammable-charge."""

    result: FlammableChargeResult = Field(description="What the charge means for the room.")
