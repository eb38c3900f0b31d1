"""Every number of every example at the ends of what JSON can say: an answer or a problem, never a crash."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app

EXAMPLES = sorted((Path(__file__).parents[2] / "openapi" / "examples").glob("*.json"))
EXTREMES = (0.0, 5e-324, 1e-308, 1e-31, 1e-29, -5e-324, -1e-29, 1e-9, -1.0, 1e6, 1e15, 1e308)
Place = tuple[str | int, ...]


def numbers(value: Any, at: Place = ()) -> Iterator[Place]:
    """Where the numbers are."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        yield from numbers(part, (*at, key))
    if isinstance(value, int | float) and not isinstance(value, bool):
        yield at


def put(body: dict[str, Any], at: Place, value: float) -> dict[str, Any]:
    """The body with another number in that place."""
    changed = inner = copy.deepcopy(body)
    for key in at[:-1]:
        inner = inner[key]  # type: ignore[index]
    inner[at[-1]] = value  # type: ignore[index]
    return changed


def variants(body: dict[str, Any], chance: random.Random) -> Iterator[dict[str, Any]]:
    """Each number at one extreme, then some at several."""
    places = list(numbers(body))
    for at in places:
        yield put(body, at, chance.choice(EXTREMES))
    for _ in range(10):
        several = body
        for at in chance.sample(places, min(len(places), 4)):
            several = put(several, at, chance.choice(EXTREMES))
        yield several


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_extreme_numbers_never_crash(client: TestClient, path: Path) -> None:
    routes = {op["operationId"]: route for route, verbs in app.openapi()["paths"].items() for op in verbs.values()}
    chance = random.Random(path.stem)  # noqa: S311 - to vary a test, not to keep a secret
    for example in json.loads(path.read_text("utf-8")).values():
        for body in variants(example["value"], chance):
            route = routes[path.stem].replace("{calculation}", "superheat")
            answer = client.post(route, content=json.dumps(body), headers={"content-type": "application/json"})
            assert answer.status_code in (200, 400, 422), (answer.status_code, body)
