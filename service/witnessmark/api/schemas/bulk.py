"""Many rows on the wire, and the limits of the service."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, JsonValue

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Wire

Cells = list[JsonValue]
ColumnKind = Literal["quantity", "ratio", "number", "integer", "flag", "word", "text", "json"]


class BulkRequest(Wire):
    """Rows as columns of equal length, at most 10 000 cells each; larger ones come in the other forms."""

    columns: Annotated[dict[str, Cells], Field(min_length=1, max_length=200)]
    """By the name of the field, the unit in brackets: `suction_pressure[psig]`. A cell that is empty is null."""


class BulkResult(Wire):
    """The same rows in the same order."""

    rows: int = Field(ge=0, description="How many.")
    failed: int = Field(ge=0, description="How many have an error_code.")
    errors: dict[str, int] = Field(description="How many by error_code, which is the kind of the problem.")
    columns: dict[str, Cells]
    """The result of the single operation, one column for each part; `error_code` and `error_message` where a row has
    none. Null where there is nothing."""


class BulkAnswer(Answer):
    """Answer of POST /v1/bulk/{calculation} as JSON; what stands beside the result holds for all rows."""

    result: BulkResult = Field(description="The rows.")


class BulkColumn(Wire):
    """A column that is taken or answered."""

    name: str = Field(description="Its name; where it is taken, without the unit.")
    kind: ColumnKind = Field(
        description="What its cells are; `json`: JSON as a text, in NDJSON and JSON also as it is."
    )
    units: list[str] = Field(description="The units that may, or do, stand in brackets behind the name; may be empty.")
    required: bool = Field(description="Whether every row must have it, of its own or for all.")
    description: str = Field(description="What it is; may be empty.")


class BulkDescription(Wire):
    """What a calculation over rows takes and answers."""

    calculation: str = Field(description="Its name.")
    most_rows: int = Field(ge=1, description="Rows of one request.")
    media_types: list[str] = Field(description="The forms in which rows come and go here.")
    takes: list[BulkColumn] = Field(description="Columns of a request.")
    gives: list[BulkColumn] = Field(description="Columns of an answer in SI units, in their order.")
    left_out: list[str] = Field(description="Parts of the single result that are no columns.")


class BulkDescriptionAnswer(Answer):
    """Answer of GET /v1/bulk/{calculation}."""

    result: BulkDescription = Field(description="Its columns.")


class CaseLimits(Wire):
    """How long a case and its report may be: by dotted path from the request, `*` for each item of a list."""

    items: dict[str, int] = Field(description="Items of each list that is bounded.")
    characters: dict[str, int] = Field(description="Characters of each text that is bounded.")
    characters_read: int = Field(ge=1, description="Of complaint and notes together, read for findings; more is told.")
    characters_shown: int = Field(ge=1, description="Of one text in a report; a longer one ends with an ellipsis.")
    photograph_bytes: int = Field(ge=1, description="A photograph before base64.")
    photograph_pixels: int = Field(ge=1, description="Pixels of a photograph.")


class ServiceLimits(Wire):
    """What one process takes; counts are of things, times in seconds, sizes in bytes."""

    body_bytes: int = Field(ge=1, description="A body.")
    head_bytes: int = Field(ge=1, description="The head of a request.")
    connections: int = Field(ge=1, description="Connections at once.")
    body_seconds: Annotated[float, Field(ge=0, json_schema_extra={"x-unit": "s"})]
    """For a body to arrive."""
    waiting_seconds: Annotated[float, Field(ge=0, json_schema_extra={"x-unit": "s"})]
    """Slow work that may wait; more is answered 503 with Retry-After."""
    piece_seconds: Annotated[float, Field(ge=0, json_schema_extra={"x-unit": "s"})]
    """Processor time of one piece of slow work."""
    rows_body_bytes: int = Field(ge=1, description="A body of many rows.")
    rows_volume_bytes: int = Field(ge=1, description="All bodies and answers of many rows together.")
    rows_waiting: int = Field(ge=1, description="Requests with many rows at once.")
    rows_at_work: int = Field(ge=1, description="Of these, how many are worked on at a time.")
    rows_seconds: Annotated[float, Field(ge=0, json_schema_extra={"x-unit": "s"})]
    """For a body of many rows to arrive, and again for the work on it."""
    rows_as_json: int = Field(ge=1, description="Rows of one request as columns of JSON.")
    rows: dict[str, int] = Field(description="Rows of one request by calculation.")
    lists: dict[str, int] = Field(description="Items of the longest lists of requests, by operation and field.")
    case: CaseLimits = Field(description="A case document and its report.")


class LimitsAnswer(Answer):
    """Answer of GET /v1/limits."""

    result: ServiceLimits = Field(description="The limits in force here.")
