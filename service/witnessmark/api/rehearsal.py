"""A case worked out before the first one comes: what is made on first use is made then, and no caller pays for it."""

from __future__ import annotations

from functools import cache

from witnessmark.api.openapi import examples
from witnessmark.api.routes.case_parts import OPERATIONS, finished, model_of, operation_of
from witnessmark.api.routes.cases import work_case
from witnessmark.api.schemas.case import CaseRequest


@cache
def rehearse() -> None:
    """Every part of a case on an example of its own operation, then whole cases; once a process."""
    for part, operation in OPERATIONS.items():
        finished(operation, model_of(part).model_validate(_of(operation_of(part))[0]))
    for case in _of(work_case.__name__):
        work_case(CaseRequest.model_validate(case))


def _of(operation: str) -> list[dict[str, object]]:
    return [example["value"] for example in examples()[operation].values()]
