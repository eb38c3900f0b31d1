"""From a contaminated circuit to a clean one."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, Refrigerant, System, posts
from witnessmark_client._quantities import Quantity, Site

Oil = Literal["mineral", "alkylbenzene", "POE", "PVE", "PAG", "PAO"]


class Cleanup(Base[R_co]):
    """From a contaminated circuit to a clean one."""

    @posts("/v1/cleanup/plan")
    def plan_cleanup(
        self,
        *,
        refrigerant: Refrigerant,
        evaporating_temperature: Quantity,
        oil: Oil,
        start: str,
        time_zone: str,
        site: Site | None = None,
        report_in: System | None = None,
        suction_superheat: Quantity | None = None,
        liquid_temperature: Quantity | None = None,
        charge: Quantity | None = None,
        mass_flow: Quantity | None = None,
        capacity: Quantity | None = None,
        refrigerant_water: Quantity | None = None,
        plant: Literal["cooling-only", "heat-pump", "branch-controlled"] | None = None,
        can_lock: bool | None = None,
        compressor: Literal["scroll", "reciprocating", "rotary", "screw", "centrifugal"] | None = None,
        compressors: int | None = None,
        construction: Literal["hermetic", "semi-hermetic", "open-drive"] | None = None,
        oil_port: bool | None = None,
        parts: Sequence[str] | None = None,
        oil_charge: Json | None = None,
        signs: Json | None = None,
        filters: Sequence[Json] | None = None,
        installation: Literal["temporary", "permanent"] | None = None,
        maker_limits: Json | None = None,
        reference: str | None = None,
        site_name: str | None = None,
        accept: Literal["application/json", "text/calendar"] = "application/json",
    ) -> R_co:
        """Clean a circuit: grade, limits, filters, steps, dated checks."""

    @posts("/v1/debris-balance")
    def balance_debris(
        self,
        *,
        parts: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        fragments: Sequence[Json] | None = None,
        circuit: Json | None = None,
    ) -> R_co:
        """Fragments recovered against the parts that broke, and where the rest can lodge."""

    @posts("/v1/cleanup/filter-log")
    def judge_filter_log(
        self,
        *,
        refrigerant: Refrigerant,
        evaporating_temperature: Quantity,
        time_zone: str,
        readings: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        suction_superheat: Quantity | None = None,
        installation: Literal["temporary", "permanent"] | None = None,
        share_of: Literal["mass-flow", "speed"] | None = None,
        oil: Oil | None = None,
        oil_port: bool | None = None,
        maker_limits: Json | None = None,
    ) -> R_co:
        """Judge a log of filter readings: change, keep or clean."""

    @posts("/v1/oil-quality")
    def oil_quality(
        self,
        *,
        oil: Oil,
        site: Site | None = None,
        report_in: System | None = None,
        acid_number: Quantity | None = None,
        water: Quantity | None = None,
        colour: float | None = None,
        contamination: float | None = None,
        maker_limits: Json | None = None,
    ) -> R_co:
        """Acid number, water, colour and solids of an oil sample against limits."""

    @posts("/v1/refrigerant-quality")
    def refrigerant_quality(
        self,
        *,
        refrigerant: Refrigerant,
        use: Literal["to-be-charged", "in-service"],
        site: Site | None = None,
        report_in: System | None = None,
        water: Quantity | None = None,
        acidity: Quantity | None = None,
        non_condensables: Json | None = None,
        residue_volume: Json | None = None,
        residue_mass: Quantity | None = None,
        chloride: Literal["pass", "fail"] | None = None,
        particulates: Literal["pass", "fail"] | None = None,
        maker_limits: Json | None = None,
    ) -> R_co:
        """Water, acid, gas, residue and solids of a refrigerant sample against limits."""
