"""Tests before power is given, and the gate."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, Refrigerant, System, posts
from witnessmark_client._quantities import Quantity, Site


class Restart(Base[R_co]):
    """Tests before power is given, and the gate."""

    @posts("/v1/evacuation")
    def evacuation(
        self,
        *,
        site: Site | None = None,
        report_in: System | None = None,
        refrigerant: Refrigerant | None = None,
        decay: Json | None = None,
        dilution: Json | None = None,
    ) -> R_co:
        """Vacuum decay: tight, moisture or leak; dilution by repeated evacuation."""

    @posts("/v1/insulation")
    def insulation(
        self,
        *,
        resistance: Quantity,
        temperature: Quantity,
        motor: str,
        ten_minutes: Quantity | None = None,
        same_tester: bool | None = None,
        rated_voltage: Quantity | None = None,
        test_voltage: Quantity | None = None,
        insulation_class: Literal["A", "B", "F", "H"] | None = None,
        maker_minimum: Quantity | None = None,
        maker_document: str | None = None,
        conditions: Json | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Insulation of a winding to ground."""

    @posts("/v1/pressure-test")
    def pressure_test(
        self,
        *,
        stages: Sequence[Json],
        gas: Literal["dry-nitrogen", "other-inert-gas", "refrigerant", "air", "oxygen", "flammable-gas"] | None = None,
        model: Literal["ideal-gas", "real-nitrogen"] | None = None,
        same_gauge: bool | None = None,
        same_thermometer: bool | None = None,
        maximum_pressure: Quantity | None = None,
        wanted_sensitivity: float | None = None,
        maker_hold: Quantity | None = None,
        maker_document: str | None = None,
        allowable_pressure: Quantity | None = None,
        country: Literal["united-states", "european-union"] | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Standing pressure with nitrogen, corrected for temperature."""

    @posts("/v1/restart")
    def restart(
        self,
        *,
        machine: Json,
        site: Site | None = None,
        report_in: System | None = None,
        stated: Sequence[Json] | None = None,
        tests: Json | None = None,
        measured: Json | None = None,
        maker_limits: Json | None = None,
        watch_limits: Json | None = None,
        after_run: Json | None = None,
    ) -> R_co:
        """The gate before power, the watch of the first hour, the looks after it."""

    @posts("/v1/supply-unbalance")
    def supply_unbalance(
        self,
        *,
        voltages: Sequence[Quantity],
        measured_between: Literal["line-to-line", "line-to-neutral", "line-to-ground"] | None = None,
        currents: Sequence[Quantity] | None = None,
        when_rolled: Literal["follows-supply", "follows-motor"] | None = None,
        rated_voltage: Quantity | None = None,
        rated_voltage_to: Quantity | None = None,
        one_meter: bool | None = None,
        maker_limits: Json | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Unbalance, derating, voltage band and currents of a three-phase supply."""

    @posts("/v1/windings")
    def windings(
        self,
        *,
        phases: Literal["single-phase", "three-phase"],
        terminals: Sequence[Quantity | None],
        terminals_known: bool | None = None,
        lead: Quantity | None = None,
        meter: Literal["four-wire", "two-leads"] | None = None,
        connection: Literal["star", "delta"] | None = None,
        form_wound: bool | None = None,
        maker_balance: float | None = None,
        maker_document: str | None = None,
        reference: Json | None = None,
        start_run_reference: Json | None = None,
        temperature_by_resistance: Json | None = None,
        rated_current: Quantity | None = None,
        rated_voltage: Quantity | None = None,
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """Winding resistances: balance, start and run winding, temperature by resistance."""
