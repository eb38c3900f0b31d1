"""GET /v1/limits tells every bound of the case document and its report; each is the one at which a request falls."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.casework.report.photographs import LARGEST, MOST_PIXELS

SCHEMAS: dict[str, Any] = app.openapi()["components"]["schemas"]


def bounds(name: str, path: str, above: tuple[str, ...]) -> Iterator[tuple[str, str, int]]:
    """Walks the published document, which the service itself does not read for its limits."""
    yield from _within(SCHEMAS[name], path, (*above, name))


def _within(  # noqa: C901 - one branch a keyword of the schema
    part: Any, path: str, above: tuple[str, ...]
) -> Iterator[tuple[str, str, int]]:
    if isinstance(part, list):
        for inner in part:
            yield from _within(inner, path, above)
        return
    if not isinstance(part, dict):
        return
    for key, value in part.items():
        if key == "$ref" and (name := value.rsplit("/", 1)[-1]) not in above:
            yield from bounds(name, path, above)
        elif key in ("maxItems", "maxLength"):
            yield key, path, value
        elif key == "properties":
            for field, inner in value.items():
                yield from _within(inner, f"{path}.{field}".removeprefix("."), above)
        elif key in ("items", "additionalProperties"):
            yield from _within(value, f"{path}.*", above)
        elif key in ("anyOf", "allOf", "oneOf"):
            yield from _within(value, path, above)


@pytest.fixture(scope="module")
def told(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/v1/limits").json()["result"]["case"]
    return found


def test_every_bound_of_the_published_document_is_told(told: dict[str, Any]) -> None:
    published = [*bounds("ReportRequest", "", ())]
    assert len(published) > 80
    for kind, path, most in published:
        assert told[{"maxItems": "items", "maxLength": "characters"}[kind]][path] == most, path
    assert (told["photograph_bytes"], told["photograph_pixels"]) == (LARGEST, MOST_PIXELS)


LISTS: dict[str, Any] = {
    "readings": {"values": {"running": True}},
    "notes": {"text": "x"},
    "work_done": {"text": "x"},
    "oil_samples": {"sample": "old-compressor"},
    "refrigerant_samples": {"use": "in-service"},
}


@pytest.mark.parametrize("name", LISTS)
def test_a_list_at_its_bound_is_taken_and_one_more_is_not(client: TestClient, told: dict[str, Any], name: str) -> None:
    most = told["items"][f"case.{name}"]
    for count, status in ((most, 200), (most + 1, 422)):
        response = client.post("/v1/cases/questions", json={"case": {name: [LISTS[name]] * count}})
        assert response.status_code == status, response.text[:300]


def test_a_text_at_its_bound_is_taken_and_one_more_is_not(client: TestClient, told: dict[str, Any]) -> None:
    most = told["characters"]["case.complaint"]
    assert client.post("/v1/cases/questions", json={"case": {"complaint": "x" * most}}).status_code == 200
    assert client.post("/v1/cases/questions", json={"case": {"complaint": "x" * (most + 1)}}).status_code == 422


def test_the_limits_stay_readable(told: dict[str, Any]) -> None:
    assert len(json.dumps(told)) < 10_000
