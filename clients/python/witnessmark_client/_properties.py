"""What a refrigerant is and how it behaves."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from typing import Literal

from witnessmark_client._base import Base, Json, R_co, Refrigerant, System, posts
from witnessmark_client._protocol import segment
from witnessmark_client._quantities import Quantity, Site


class Properties(Base[R_co]):
    """What a refrigerant is and how it behaves."""

    def list_refrigerants(self, *, report_in: System | None = None) -> R_co:
        """The refrigerants that the service knows."""
        return self._get("/v1/refrigerants", report_in=report_in)

    def get_refrigerant(self, designation: str, *, report_in: System | None = None) -> R_co:
        """One refrigerant."""
        return self._get(f"/v1/refrigerants/{segment(designation)}", report_in=report_in)

    @posts("/v1/saturation")
    def saturation(
        self,
        *,
        refrigerant: Refrigerant,
        site: Site | None = None,
        report_in: System | None = None,
        temperature: Quantity | None = None,
        pressure: Quantity | None = None,
    ) -> R_co:
        """Bubble and dew pressure or temperature."""

    @posts("/v1/superheat")
    def superheat(
        self,
        *,
        refrigerant: Refrigerant,
        pressure: Quantity,
        temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw", "centrifugal"] | None = None,
        application: Literal["air-conditioning", "medium-temperature", "low-temperature"] | None = None,
        metering: Literal["thermostatic-valve", "electronic-valve", "fixed-orifice", "capillary", "float"]
        | None = None,
        maker: Json | None = None,
        place: Literal["suction", "discharge", "sump"] | None = None,
    ) -> R_co:
        """Superheat of suction gas, discharge gas or sump oil."""

    @posts("/v1/subcooling")
    def subcooling(
        self,
        *,
        refrigerant: Refrigerant,
        pressure: Quantity,
        temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw", "centrifugal"] | None = None,
        application: Literal["air-conditioning", "medium-temperature", "low-temperature"] | None = None,
        metering: Literal["thermostatic-valve", "electronic-valve", "fixed-orifice", "capillary", "float"]
        | None = None,
        maker: Json | None = None,
    ) -> R_co:
        """Subcooling of the liquid line."""
