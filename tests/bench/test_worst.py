"""The bodies that are measured are what they are said to be."""

import asyncio
import json
import random
from typing import Any

import pytest

from tests.bench import worst
from tests.bench.worst import Cost, Operation, Row, dearest, hostile_bodies, lengthened, report

VALUE = {"refrigerant": "R-32", "temperature": {"value": 5.0, "unit": "degC"}}
SCHEMAS = {
    "Part": {"type": "object", "properties": {"rows": {"type": "array", "maxItems": 5, "items": {"$ref": "x/Row"}}}},
    "Row": {"type": "object", "properties": {"k": {"anyOf": [{"type": "array", "maxItems": 3}, {"type": "null"}]}}},
}  # fmt: skip


def test_lists_are_as_long_as_they_may_be() -> None:
    value: dict[str, Any] = {"rows": [{"k": [1]}, {"k": None}]}
    lengthened(value, {"$ref": "x/Part"}, SCHEMAS)
    assert [row["k"] for row in value["rows"]] == [[1, 1, 1], None, [1, 1, 1], None, [1, 1, 1]]


def test_hostile_bodies_fit_the_limit_and_are_the_same_in_every_run() -> None:
    sizes = [len(body) for body in hostile_bodies(VALUE)]
    assert max(sizes) <= 1_000_000
    assert sum(size > 900_000 for size in sizes) > 5
    assert sizes == [len(body) for body in hostile_bodies(VALUE)]


def test_changes_are_the_same_for_the_same_seed() -> None:
    one, two = (worst.changed(VALUE, random.Random(3)) for _ in range(2))  # noqa: S311 - no secret
    assert one == two
    assert VALUE == {"refrigerant": "R-32", "temperature": {"value": 5.0, "unit": "degC"}}


@pytest.mark.parametrize(("body", "status"), [(VALUE, 200), ({}, 422)], ids=["good", "bad"])
def test_a_request_is_answered_by_the_whole_application(body: object, status: int) -> None:
    cost = asyncio.run(worst.asked(Operation("saturation", "post", "/v1/saturation"), json.dumps(body).encode()))
    assert cost.status == status
    assert cost.loop > 0
    assert cost.whole > 0


def test_the_dearest_are_told_and_those_over_the_limit_counted() -> None:
    both = dearest([Cost(6.0, 7.0, 200, 10), Cost(1.0, 90.0, 422, 20)])
    assert both == Cost(6.0, 90.0, 422, 20)
    said = report(
        [
            Row(Operation("one", "post", "/"), Cost(1.0, 1.0), both),
            Row(Operation("two", "get", "/"), Cost(1, 1), Cost(1, 1)),
        ]
    )
    assert "1 of 2\noperations" in said
    assert "| one | 1.0 | 1.0 | 0 | 6.0 | 90.0 | 20 |" in said
