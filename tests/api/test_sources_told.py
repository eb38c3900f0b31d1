"""Every source that a result names stands in the answer's list with its citation and its trust."""

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.openapi import examples
from witnessmark.reference.library import Trust
from witnessmark.vocabulary import words

DOCUMENT = app.openapi()
PATHS = {
    methods["post"]["operationId"]: path
    for path, methods in DOCUMENT["paths"].items()
    if "post" in methods and {"cleanup", "restart"} & set(methods["post"]["tags"])
}
CASES = [(operation, name) for operation in PATHS for name in examples()[operation]]
NAMES = ("source", "limit_from", "limits_from")


def named(part: Any) -> Iterator[str]:
    """The ids of all sources that a part of a result names."""
    if isinstance(part, dict):
        yield from (value for key, value in part.items() if key in NAMES and isinstance(value, str))
        yield from (source for value in part.values() for source in named(value))
    elif isinstance(part, list):
        yield from (source for value in part for source in named(value))


def test_the_walk_finds_sources_at_any_depth() -> None:
    assert list(named({"source": "a", "b": [{"limit_from": "c"}, {"d": {"source": "e"}}], "f": 1})) == ["a", "c", "e"]
    assert len(PATHS) > 8


@pytest.mark.parametrize(("operation", "name"), CASES)
def test_no_source_without_citation_and_trust(client: TestClient, operation: str, name: str) -> None:
    answer = client.post(PATHS[operation], json=examples()[operation][name]["value"]).json()
    told = {source["id"]: source for source in answer["sources"]}
    assert set(named(answer["result"])) <= told.keys()
    assert all(source["citation"] and source["trust"] in words(Trust) for source in told.values())
