"""From readings to numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, System, fields
from witnessmark_client._quantities import Quantity, Site


class Calculations(Base[R_co]):
    """From readings to numbers."""

    def accumulator(
        self,
        *,
        refrigerant: str,
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
        return self._post("/v1/accumulator", **fields(locals()))

    def compression(
        self,
        *,
        refrigerant: str,
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
        running: bool | None = None,
        maps: Sequence[Json] | None = None,
    ) -> R_co:
        """What the readings at a compressor say, and whether it pumps."""
        return self._post("/v1/compression", **fields(locals()))

    def cycle(
        self,
        *,
        refrigerant: str,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
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
        return self._post("/v1/cycle", **fields(locals()))

    def cycle_diagram(
        self,
        *,
        refrigerant: str,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
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
        return self._post("/v1/cycle/diagram", **fields(locals()))

    def leak_rate(
        self,
        *,
        refrigerant: str,
        full_charge: Quantity,
        category: Literal["industrial-process", "commercial-refrigeration", "comfort-cooling", "other"],
        additions: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        last_repair: str | None = None,
        substance: Literal["ozone-depleting", "hydrofluorocarbon", "exempt"] | None = None,
        residential_light_commercial: bool | None = None,
        recovery_machine: Literal["old", "new"] | None = None,
    ) -> R_co:
        """Leak rate by both methods of 40 CFR 82 and 84, and the recovery level."""
        return self._post("/v1/leak-rate", **fields(locals()))

    def line_charge(
        self,
        *,
        refrigerant: str,
        segments: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        mass_flow: Quantity | None = None,
        charge: Quantity | None = None,
    ) -> R_co:
        """Refrigerant that stands in runs of pipe."""
        return self._post("/v1/line-charge", **fields(locals()))

    def liquid_ingestion(
        self,
        *,
        refrigerant: str,
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
        return self._post("/v1/liquid-ingestion", **fields(locals()))

    def noncondensables(
        self,
        *,
        refrigerant: str,
        pressure: Quantity,
        temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        gas_space: Quantity | None = None,
    ) -> R_co:
        """Air or nitrogen in the circuit, by the standing pressure."""
        return self._post("/v1/noncondensables", **fields(locals()))

    def oil_return(
        self,
        *,
        refrigerant: str,
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
        return self._post("/v1/oil-return", **fields(locals()))

    def wet_suction(
        self,
        *,
        refrigerant: str,
        suction_pressure: Quantity,
        discharge_pressure: Quantity,
        discharge_temperature: Quantity,
        site: Site | None = None,
        report_in: System | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw"] | None = None,
        efficiency: Json | None = None,
    ) -> R_co:
        """How much liquid comes in with the suction gas."""
        return self._post("/v1/wet-suction", **fields(locals()))
