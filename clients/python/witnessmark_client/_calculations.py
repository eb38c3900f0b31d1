"""From readings to numbers."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, Refrigerant, System, posts
from witnessmark_client._quantities import Quantity, Site


class Calculations(Base[R_co]):
    """From readings to numbers."""

    @posts("/v1/accumulator")
    def accumulator(
        self,
        *,
        refrigerant: Refrigerant,
        vessel: Json,
        wet_return: Json,
        charge: Json,
        duration: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        ramp: Json | None = None,
        motor_power: Quantity | None = None,
    ) -> R_co:
        """How a suction accumulator fills, overflows and carries over."""

    @posts("/v1/compression")
    def compression(
        self,
        *,
        refrigerant: Refrigerant,
        suction_pressure: Quantity,
        discharge_pressure: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        suction_temperature: Quantity | None = None,
        discharge_temperature: Quantity | None = None,
        mass_flow: Quantity | None = None,
        power: Quantity | None = None,
        displacement: Quantity | None = None,
        speed: Quantity | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
        cooling: Literal["none", "oil", "liquid", "vapour"] | None = None,
        application: Literal["air-conditioning", "medium-temperature", "low-temperature"] | None = None,
        running: bool | None = None,
        maps: Sequence[Json] | None = None,
    ) -> R_co:
        """What the readings at a compressor say, and whether it pumps."""

    @posts("/v1/cycle")
    def cycle(
        self,
        *,
        refrigerant: Refrigerant,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
        cooling: Literal["none", "oil", "liquid", "vapour"] | None = None,
        suction_pressure: Quantity | None = None,
        discharge_pressure: Quantity | None = None,
        evaporating_temperature: Quantity | None = None,
        condensing_temperature: Quantity | None = None,
        suction_temperature: Quantity | None = None,
        discharge_temperature: Quantity | None = None,
        liquid_temperature: Quantity | None = None,
        mass_flow: Quantity | None = None,
        power: Quantity | None = None,
        cooling_capacity: Quantity | None = None,
        heating_capacity: Quantity | None = None,
        displacement: Quantity | None = None,
        speed: Quantity | None = None,
    ) -> R_co:
        """The whole cycle from whatever readings there are."""

    @posts("/v1/cycle/diagram")
    def cycle_diagram(
        self,
        *,
        refrigerant: Refrigerant,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
        cooling: Literal["none", "oil", "liquid", "vapour"] | None = None,
        suction_pressure: Quantity | None = None,
        discharge_pressure: Quantity | None = None,
        evaporating_temperature: Quantity | None = None,
        condensing_temperature: Quantity | None = None,
        suction_temperature: Quantity | None = None,
        discharge_temperature: Quantity | None = None,
        liquid_temperature: Quantity | None = None,
        mass_flow: Quantity | None = None,
        power: Quantity | None = None,
        cooling_capacity: Quantity | None = None,
        heating_capacity: Quantity | None = None,
        displacement: Quantity | None = None,
        speed: Quantity | None = None,
        accept: Literal["application/json", "image/svg+xml", "image/png"] = "application/json",
    ) -> R_co:
        """The cycle as a pressure-enthalpy picture."""

    @posts("/v1/flammable-charge")
    def flammable_charge(
        self,
        *,
        refrigerant: Refrigerant,
        charge: Quantity,
        appliance: Literal["room-unit", "plug-in-cabinet", "outdoors"] | None = None,
        room_area: Quantity | None = None,
        mounting: Literal["floor", "window", "wall", "ceiling"] | None = None,
        release_height: Quantity | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Charge limits and room size of a flammable refrigerant."""
        raise NotImplementedError

    @posts("/v1/leak-rate")
    def leak_rate(
        self,
        *,
        refrigerant: Refrigerant,
        full_charge: Quantity,
        category: Literal["industrial-process", "commercial-refrigeration", "comfort-cooling", "other"],
        additions: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        last_repair: str | None = None,
        substance: Literal["ozone-depleting", "hydrofluorocarbon", "mixed", "exempt"] | None = None,
        residential_light_commercial: bool | None = None,
        country: Literal["united-states", "european-union"] | None = None,
        hermetically_sealed: bool | None = None,
        leak_detection: bool | None = None,
        recovery_machine: Literal["old", "new"] | None = None,
    ) -> R_co:
        """Leak rate by 40 CFR 82 and 84, recovery level, leak checks of the European Union."""

    @posts("/v1/line-charge")
    def line_charge(
        self,
        *,
        refrigerant: Refrigerant,
        segments: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        mass_flow: Quantity | None = None,
        charge: Quantity | None = None,
    ) -> R_co:
        """Refrigerant that stands in runs of pipe."""

    @posts("/v1/liquid-ingestion")
    def liquid_ingestion(
        self,
        *,
        refrigerant: Refrigerant,
        displacement: Quantity,
        volume_ratio: Json,
        suction_pressure: Quantity,
        discharge_pressure: Quantity,
        quality: Json,
        speed: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        other_speeds: Sequence[Quantity] | None = None,
        ramp: Json | None = None,
        heat: Quantity | None = None,
        leakage_area: Quantity | None = None,
        closing_turns: Json | None = None,
    ) -> R_co:
        """How much liquid a compressor can swallow before it locks."""

    @posts("/v1/moisture-limit")
    def moisture_limit(
        self,
        *,
        refrigerant: Refrigerant,
        coldest: Quantity,
        water: Quantity | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Water that a liquid refrigerant can hold before free water separates."""
        raise NotImplementedError

    @posts("/v1/refrigerants/fractionation")
    def fractionation(
        self,
        *,
        refrigerant: Refrigerant,
        phase: str,
        temperature: Quantity,
        removed: float,
        site: Site | None = None,
        report_in: System | None = None,
        liquid_share: float | None = None,
    ) -> R_co:
        """What a leak, and topping up, do to a blend."""
        raise NotImplementedError

    @posts("/v1/noncondensables")
    def noncondensables(
        self,
        *,
        refrigerant: Refrigerant,
        pressure: Quantity,
        temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        gas_space: Quantity | None = None,
    ) -> R_co:
        """Air or nitrogen in the circuit, by the standing pressure."""

    @posts("/v1/oil-return")
    def oil_return(
        self,
        *,
        refrigerant: Refrigerant,
        suction_pressure: Quantity,
        suction_temperature: Quantity,
        height: Quantity,
        tube: Json | None = None,
        bore: Quantity | None = None,
        site: Site | None = None,
        report_in: System | None = None,
        liquid_temperature: Quantity | None = None,
        mass_flow: Quantity | None = None,
        capacity: Quantity | None = None,
        loads: Sequence[float] | None = None,
        oil_density: Quantity | None = None,
    ) -> R_co:
        """Whether a suction riser carries its oil, at every load."""

    @posts("/v1/wet-suction")
    def wet_suction(
        self,
        *,
        refrigerant: Refrigerant,
        suction_pressure: Quantity,
        discharge_pressure: Quantity,
        discharge_temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        suction_temperature: Quantity | None = None,
        cooling: Literal["none", "oil", "liquid", "vapour"] | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
        efficiency: Json | None = None,
    ) -> R_co:
        """How much liquid comes in with the suction gas."""
