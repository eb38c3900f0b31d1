"""From findings to failure modes to causes."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, Refrigerant, System, posts
from witnessmark_client._quantities import Site

Compressor = Literal["scroll", "reciprocating", "rotary", "screw"]
Shell = Literal["low-side", "high-side"]
Drive = Literal["fixed-speed", "soft-starter", "inverter"]
Construction = Literal["hermetic", "semi-hermetic", "open-drive"]
Phases = Literal["single-phase", "three-phase"]
Condition = Literal["power-off", "compressor-runs", "circuit-open", "compressor-removed"]
Urgency = Literal["medical", "food-at-risk", "process-at-risk", "occupied", "comfort", "none"]


class Diagnosis(Base[R_co]):
    """From findings to failure modes to causes."""

    @posts("/v1/diagnosis")
    def diagnose(
        self,
        *,
        site: Site | None = None,
        report_in: System | None = None,
        machine: Json | None = None,
        refrigerant: Refrigerant | None = None,
        circumstances: Json | None = None,
        findings: Sequence[Json] | None = None,
        readings: Json | None = None,
        baseline: Json | None = None,
        same_instruments: bool | None = None,
        reported_by: Sequence[Literal["note", "form", "teardown"]] | None = None,
        conditions: Sequence[Condition] | None = None,
        compressor_fate: Literal["known-failed", "replaced-anyway"] | None = None,
        first: str | None = None,
        urgency: Urgency | None = None,
        want: Json | None = None,
    ) -> R_co:
        """Failure modes and system causes from findings and readings."""

    @posts("/v1/dispatch")
    def dispatch(
        self,
        *,
        site: Site | None = None,
        report_in: System | None = None,
        reference: str | None = None,
        note: str | None = None,
        machine: Json | None = None,
        refrigerant: Refrigerant | None = None,
        circumstances: Json | None = None,
        findings: Sequence[Json] | None = None,
        readings: Json | None = None,
        baseline: Json | None = None,
        same_instruments: bool | None = None,
        conditions: Sequence[Condition] | None = None,
        compressor_fate: Literal["known-failed", "replaced-anyway"] | None = None,
        first: str | None = None,
        urgency: Urgency | None = None,
        calls: Sequence[Json] | None = None,
        language: Literal["en", "es", "pt"] | None = None,
    ) -> R_co:
        """What to send for a call, or for each of up to 200 `calls`, and what to say and ask on the phone."""

    @posts("/v1/findings/match")
    def match_findings(
        self, *, text: str, machine: Json | None = None, site: Site | None = None, report_in: System | None = None
    ) -> R_co:
        """Findings from the plain words of a job note."""

    def list_findings(
        self,
        *,
        compressor: Compressor | None = None,
        shell: Shell | None = None,
        drive: Drive | None = None,
        construction: Construction | None = None,
        phases: Phases | None = None,
        stage: Literal["history", "field", "teardown", "laboratory"] | None = None,
    ) -> R_co:
        """The findings that a diagnosis understands."""
        return self._get(
            "/v1/findings",
            compressor=compressor,
            shell=shell,
            drive=drive,
            construction=construction,
            phases=phases,
            stage=stage,
        )

    def list_failure_modes(
        self,
        *,
        compressor: Compressor | None = None,
        shell: Shell | None = None,
        drive: Drive | None = None,
        construction: Construction | None = None,
        phases: Phases | None = None,
    ) -> R_co:
        """The failure modes that a diagnosis can name."""
        return self._get(
            "/v1/failure-modes",
            compressor=compressor,
            shell=shell,
            drive=drive,
            construction=construction,
            phases=phases,
        )

    def list_causes(
        self,
        *,
        compressor: Compressor | None = None,
        shell: Shell | None = None,
        drive: Drive | None = None,
        construction: Construction | None = None,
        phases: Phases | None = None,
    ) -> R_co:
        """The system-side causes that a diagnosis can name."""
        return self._get(
            "/v1/causes", compressor=compressor, shell=shell, drive=drive, construction=construction, phases=phases
        )

    @posts("/v1/outcomes/score")
    def score_outcomes(
        self,
        *,
        answers: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
    ) -> R_co:
        """How good past answers were, against confirmed outcomes."""
