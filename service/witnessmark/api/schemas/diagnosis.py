"""A diagnosis on the wire: what is known of the case, and what follows from it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Wire
from witnessmark.api.schemas.designation import NamedDesignation
from witnessmark.api.schemas.diagnosis_result import DiagnosisResult
from witnessmark.api.schemas.field_readings import FieldReadings
from witnessmark.api.schemas.knowledge import MachineParts
from witnessmark.api.schemas.listed import LONGEST, Listed
from witnessmark.diagnosis.case import MOST_EXPLAINED, Channel, CompressorFate, Condition, ReportState, Urgency
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.vocabulary import Application, Condenser

MOST_REPORTS = 250


def _values(field: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(c.value for c in knowledge().contexts if c.field == field))


Equipment = Annotated[str, *Listed.field("kind of equipment", lambda: _values("equipment"))]
Age = Annotated[str, *Listed.field("age", lambda: _values("age"))]
Origin = Annotated[str, *Listed.field("origin", lambda: _values("origin"))]
Queue = Annotated[str, *Listed.field("queue", lambda: _values("queue"))]
History = Annotated[str, *Listed.field("piece of history", lambda: _values("history"))]


class MachineFacts(MachineParts):
    """The compressor. What is left out is not known; then only what holds for every possibility is relied on.

    Rules for the sump and the shell depend on the side that fills the shell: ask first.
    """

    application: Application | None = None
    """At which temperatures it works; the limits of the compression ratio depend on it."""
    condenser: Condenser | None = None
    """What cools the condenser: how far a sound one condenses above it depends on that. Left out, air."""
    liquid_drier_fitted: bool | None = Field(
        None, description="A liquid-line filter-drier is in; nobody is sent to one that is not."
    )


class Circumstances(Wire):
    """What is known before any finding; it moves the starting odds."""

    equipment: Equipment | None = Field(None, description="The kind of plant that the compressor is part of.")
    age: Age | None = Field(None, description="How long the compressor has been in service.")
    origin: Origin | None = Field(None, description="Whether it is the first compressor of the plant.")
    queue: Queue | None = None
    """Where the case comes from: a third of warranty returns show no defect."""
    history: list[History] = Field([], max_length=20, description="What has happened to the plant.")

    def pairs(self) -> tuple[tuple[str, str], ...]:
        """(field, value) of everything given."""
        single = [(f, getattr(self, f)) for f in ("equipment", "age", "origin", "queue")]
        return (*((f, v) for f, v in single if v is not None), *(("history", v) for v in self.history))


class ReportedFinding(Wire):
    """One finding as somebody reported it."""

    finding: Annotated[str, StringConstraints(max_length=LONGEST)] = Field(examples=["oil-burnt"])
    """Id of a finding or of a normal: `GET /v1/findings` lists them. An unknown one is refused, and those that look
    like it are named."""
    state: ReportState
    """`present` or `absent` of a yes-no finding, `low`, `normal` or `high` of a three-way one; `unknown`: nobody
    looked; it counts for nothing and is not the same as `absent`."""
    reliability: Annotated[Real, Field(gt=0.5, lt=1)] | None = None
    """P(this report is right); the knowledge has a usual figure for each finding."""


class Wanted(Wire):
    """Which of the slower parts to work out."""

    explanation: bool = Field(default=True, description="Why each hypothesis of the shortlist stands where it stands.")
    next_checks: bool = Field(default=True, description="What to look at next.")
    sensitivity: bool = False
    """Range of the ranking over perturbed knowledge; costs about 0.1 s."""
    shortlist: Annotated[
        int, Field(ge=1, le=MOST_EXPLAINED, description="How many modes, and how many causes, to explain.")
    ] = 1
    all_modes: bool = Field(default=False, description="Every failure mode that applies, not only the first ones.")
    all_causes: bool = Field(default=False, description="Every system cause that applies, not only the first ones.")
    all_weights: bool = Field(default=False, description="What every finding does to each hypothesis explained.")
    all_used: bool = Field(default=False, description="Every piece of evidence, not only the heaviest.")
    used_unmentioned: bool = Field(default=False, description="What nobody mentioned, too, where silence counts.")
    all_checks: bool = Field(default=False, description="Every next check, not only the first ones.")
    all_withheld: bool = Field(default=False, description="Every check that is held back, with the reason.")


class CaseFields(Wire):
    """What is known about one compressor. Every part may be left out."""

    machine: MachineFacts = Field(MachineFacts(), description="The compressor.")
    refrigerant: NamedDesignation | None = None
    """Refrigerant in the circuit. Without it nothing is worked out from a pressure beside a temperature; what is
    warned of hangs on it too."""
    circumstances: Circumstances = Field(Circumstances(), description="What is known before any finding.")
    findings: list[ReportedFinding] = Field([], max_length=MOST_REPORTS, description="What was reported.")
    readings: FieldReadings = Field(FieldReadings(), description="What was read at the machine.")
    baseline: FieldReadings | None = None
    """The same readings of the same machine when it was sound, or from commissioning. At like load what has changed
    since is the evidence, since one machine scatters far less than machines differ."""
    same_instruments: bool = False
    """The same instruments at the same places, such as the sensors of the plant, took readings and baseline: most of
    their errors cancel."""
    conditions: list[Condition] | None = Field(None, max_length=4)
    """What holds at the machine now; next checks are chosen to suit. Empty: nobody is there, a call by phone."""
    compressor_fate: CompressorFate | None = None
    """What is settled beforehand: `known-failed` rules out that the compressor has no fault; `replaced-anyway` is no
    evidence, but the dispatch says that the compressor is ordered."""
    first: Annotated[str, StringConstraints(max_length=LONGEST)] | None = None
    """Id of the finding that was there first, as told ("the bearing went first"): the mode that shows it began it."""
    urgency: Urgency | None = None
    """What the caller says depends on the machine; it decides how soon to send, never what is likely."""


class DiagnosisRequest(CaseFields, Request):
    """Everything known about one compressor. Every part may be left out."""

    reported_by: list[Channel] = Field([], max_length=3)
    """How the findings were reported. Naming a channel lets silence speak: a finding that would have been mentioned
    there, and is not, counts softly against itself."""
    want: Wanted = Field(Wanted(), description="The slower parts that are wanted.")


class DiagnosisAnswer(Answer):
    """Answer of POST /v1/diagnosis."""

    result: DiagnosisResult = Field(description="The diagnosis; read `safety`, `operation` and `verdict` first.")
