"""What can be asked of a calculation over rows, and how much of anything is taken."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from pydantic import BaseModel

from witnessmark import settings
from witnessmark.api.bulk.calculations import Calculation, calculations
from witnessmark.api.bulk.inputs import core, inputs
from witnessmark.api.bulk.outputs import ERRORS, Told, outputs
from witnessmark.api.bulk.work import MOST_JSON_ROWS
from witnessmark.api.case_limits import case_limits
from witnessmark.api.schemas.bulk import BulkColumn, BulkDescription, ServiceLimits

LONG_LISTS = 100
"""Lists of requests that may have so many items or more are told of."""


def described(calculation: Calculation, forms: Sequence[str]) -> BulkDescription:
    """The columns of a calculation."""
    takes = [
        BulkColumn(
            name=one.path,
            kind=one.kind,
            units=list(one.quantity.table.units) if one.quantity else [],
            required=one.required,
            description=one.description,
        )
        for one in inputs(calculation.request).values()
    ]
    return BulkDescription(
        calculation=calculation.name,
        most_rows=calculation.most_rows,
        media_types=list(forms),
        takes=takes,
        gives=_gives(calculation),
        left_out=sorted(calculation.left_out),
    )


def _gives(calculation: Calculation) -> list[BulkColumn]:
    row = BulkColumn(
        name="row",
        kind="integer",
        units=[],
        required=True,
        description="Number of the row, from 0. Of text: of its line behind the header; blank lines count.",
    )
    own = [
        BulkColumn(
            name=one.name, kind=one.kind, units=[one.unit.name] if one.unit else [], required=False, description=""
        )
        for one in outputs(calculation.result, Told(), calculation.left_out)
    ]
    texts = ("Kind of the problem that the row has; empty where it has none.", "The problem in words.")
    errors = [
        BulkColumn(name=name, kind="text", units=[], required=False, description=text)
        for name, text in zip(ERRORS, texts, strict=True)
    ]
    return [row, *own, *errors]


def limits_in_force() -> ServiceLimits:
    """The limits of this process."""
    own = settings.current()
    return ServiceLimits(
        body_bytes=own.largest_body,
        head_bytes=own.largest_head,
        connections=own.most_connections,
        body_seconds=own.body_seconds,
        waiting_seconds=own.queue_seconds,
        piece_seconds=own.piece_seconds,
        rows_body_bytes=own.rows_body,
        rows_volume_bytes=own.rows_volume,
        rows_waiting=own.rows_waiting,
        rows_at_work=own.rows_processes,
        rows_seconds=own.rows_seconds,
        rows_as_json=MOST_JSON_ROWS,
        rows={name: one.most_rows for name, one in calculations().items()},
        lists=_long_lists(),
        case=case_limits(),
    )


@cache
def _long_lists() -> dict[str, int]:
    """By place of the list; found once, since every field of every request is looked at."""
    return {f"{name}.{path}": most for name, one in calculations().items() for path, most in _lists(one.request, "")}


def _lists(model: type[BaseModel], at: str) -> list[tuple[str, int]]:
    found = []
    for name, field in model.model_fields.items():
        kind, marks = core(field.annotation)
        most = max((getattr(mark, "max_length", None) or 0 for mark in (*field.metadata, *marks)), default=0)
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            found += _lists(kind, f"{at}{name}.")
        elif str(kind).startswith("list") and most >= LONG_LISTS:
            found.append((f"{at}{name}", most))
    return found
