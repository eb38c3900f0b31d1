"""A case worked out before the first one comes: what is made on first use is made then, and no caller pays for it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import cache, partial
from typing import Any

from witnessmark.api.openapi import examples
from witnessmark.api.routes.case_parts import OPERATIONS, finished, model_of, operation_of
from witnessmark.api.routes.cases import work_case
from witnessmark.api.schemas.case import CaseRequest
from witnessmark.heavy import KeptOutError


def rehearse() -> None:
    """Every part of a case on an example of its own operation, then whole cases; each once a process.

    What needs a library that is kept out of this process is left, and done where it is let in.
    """
    for work in (step for step in _steps() if step not in _done):
        with suppress(KeptOutError):
            work()
            _done.add(work)


_done: set[Callable[[], object]] = set()


@cache
def _steps() -> tuple[Callable[[], object], ...]:
    parts = [partial(_part, part, operation) for part, operation in OPERATIONS.items()]
    return (*parts, *(partial(_case, case) for case in _of(work_case.__name__)))


def _part(part: str, operation: Any) -> None:
    finished(operation, model_of(part).model_validate(_of(operation_of(part))[0]))


def _case(case: dict[str, object]) -> None:
    work_case(CaseRequest.model_validate(case))


def _of(operation: str) -> list[dict[str, object]]:
    return [example["value"] for example in examples()[operation].values()]
