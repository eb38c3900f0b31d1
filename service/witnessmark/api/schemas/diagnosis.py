"""A diagnosis on the wire: what is known of the case, and what follows from it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.diagnosis_result import DiagnosisResult
from witnessmark.api.schemas.field_readings import FieldReadings
from witnessmark.api.schemas.knowledge import CompressorType, Drive, ShellSide
from witnessmark.api.schemas.listed import Listed
from witnessmark.diagnosis.catalogue.knowledge import knowledge

MOST_REPORTS = 250


def _reportable() -> tuple[str, ...]:
    return (*knowledge().findings, *knowledge().normals)


def _values(field: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(c.value for c in knowledge().contexts if c.field == field))


FindingId = Annotated[str, *Listed.field("finding", _reportable, "GET /v1/findings lists them")]
Equipment = Annotated[str, *Listed.field("kind of equipment", lambda: _values("equipment"))]
Age = Annotated[str, *Listed.field("age", lambda: _values("age"))]
Origin = Annotated[str, *Listed.field("origin", lambda: _values("origin"))]
Queue = Annotated[str, *Listed.field("queue", lambda: _values("queue"))]
History = Annotated[str, *Listed.field("piece of history", lambda: _values("history"))]


class MachineFacts(Wire):
    """The compressor. What is left out is not known; then only what holds for every possibility is relied on."""

    compressor: CompressorType | None = None
    shell: ShellSide | None = Field(
        None, description="Which pressure fills the shell. Rules for the sump and the shell depend on it: ask first."
    )
    drive: Drive | None = None


class Circumstances(Wire):
    """What is known before any finding; it moves the starting odds."""

    equipment: Equipment | None = None
    age: Age | None = None
    origin: Origin | None = None
    queue: Queue | None = Field(
        None, description="Where the case comes from: a third of warranty returns show no defect."
    )
    history: list[History] = Field([], max_length=20)

    def pairs(self) -> tuple[tuple[str, str], ...]:
        """(field, value) of everything given."""
        single = [(f, getattr(self, f)) for f in ("equipment", "age", "origin", "queue")]
        return (*((f, v) for f, v in single if v is not None), *(("history", v) for v in self.history))


class ReportedFinding(Wire):
    """One finding as somebody reported it."""

    finding: FindingId = Field(description="Id of a finding or of a normal.")
    state: Literal["present", "absent", "low", "normal", "high", "unknown"] = Field(
        description="`unknown`: nobody looked; it counts for nothing and is not the same as `absent`."
    )
    reliability: Annotated[Real, Field(gt=0.5, lt=1)] | None = Field(
        None, description="P(this report is right); the knowledge has a usual figure for each finding."
    )


class Wanted(Wire):
    """Which of the slower parts to work out."""

    explanation: bool = True
    next_checks: bool = True
    sensitivity: bool = Field(
        default=False, description="Range of the ranking over perturbed knowledge; costs about 0.1 s."
    )
    shortlist: Annotated[int, Field(ge=1, le=10, description="How many hypotheses to explain.")] = 5


class DiagnosisRequest(Request):
    """Everything known about one compressor. Every part may be left out."""

    machine: MachineFacts = MachineFacts()
    refrigerant: Designation | None = None
    circumstances: Circumstances = Circumstances()
    findings: list[ReportedFinding] = Field([], max_length=MOST_REPORTS)
    readings: FieldReadings = FieldReadings()
    reported_by: list[Literal["note", "form", "teardown"]] = Field(
        [],
        max_length=3,
        description="How the findings were reported. Naming a channel lets silence speak: a finding that would have "
        "been mentioned there, and is not, counts softly against itself.",
    )
    conditions: list[Literal["power-off", "compressor-runs", "circuit-open", "compressor-removed"]] | None = Field(
        None, max_length=4, description="What holds at the machine now; next checks are chosen to suit."
    )
    want: Wanted = Wanted()

    @model_validator(mode="after")
    def _readings_have_a_refrigerant(self) -> Self:
        if self.refrigerant is None and self.readings.needs_refrigerant():
            raise ValueError("readings of pressure together with temperature need the refrigerant")
        return self


class DiagnosisAnswer(Answer):
    """Answer of POST /v1/diagnosis."""

    result: DiagnosisResult
