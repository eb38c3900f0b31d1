"""The golden document, and what must hold of it."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator
from starlette.testclient import TestClient
from tests.contract.changes import breaking

from witnessmark.api.app import app
from witnessmark.api.openapi import examples, examples_folder, short_names

GOLDEN = Path(__file__).parents[2] / "openapi" / "openapi.json"


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    return app.openapi()


@pytest.fixture(scope="module")
def golden() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(GOLDEN.read_text("utf-8"))
    return loaded


def operations(document: dict[str, Any]) -> dict[str, tuple[str, str, dict[str, Any]]]:
    return {
        operation["operationId"]: (method, path, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    }


def test_nothing_breaks_a_caller_of_the_golden_document(document: dict[str, Any], golden: dict[str, Any]) -> None:
    assert breaking(golden, document) == []


def test_the_golden_document_is_today_s(document: dict[str, Any], golden: dict[str, Any]) -> None:
    assert golden == json.loads(json.dumps(document)), "run `make golden` if the change is meant"


def test_it_is_openapi_3_1(document: dict[str, Any]) -> None:
    assert document["openapi"].startswith("3.1.")
    OpenAPIV31SpecValidator(json.loads(json.dumps(document))).validate()


def test_names_of_schemas_are_words(document: dict[str, Any]) -> None:
    """Generators of clients make classes of them."""
    assert [name for name in document["components"]["schemas"] if not re.fullmatch(r"[A-Z][A-Za-z]{1,39}", name)] == []


def test_two_schemas_of_one_title_are_refused() -> None:
    schemas = {"a__X": {"title": "X"}, "b__X": {"title": "X"}}
    with pytest.raises(ValueError, match="same title"):
        short_names({"components": {"schemas": schemas}})


def digits(value: Any) -> int:
    """The most significant digits of any number in the answer."""
    if isinstance(value, dict | list):
        return max(map(digits, value.values() if isinstance(value, dict) else value), default=0)
    if not isinstance(value, float):
        return 0
    return len(repr(value).partition("e")[0].replace(".", "").strip("-0"))


def test_every_operation_is_described(document: dict[str, Any]) -> None:
    for method, _, operation in operations(document).values():
        assert operation["summary"]
        assert operation["description"]
        assert "405" in operation["responses"]
        if "503" in operation["responses"]:
            assert operation["responses"]["503"]["headers"]["Retry-After"]["required"]
        if method == "post":
            assert {"400", "413", "415", "422"} <= operation["responses"].keys()


def test_every_calculation_has_an_example_and_every_example_a_calculation(document: dict[str, Any]) -> None:
    calculations = {name for name, (method, _, _) in operations(document).items() if method == "post"}
    assert set(examples()) == calculations


def test_examples_stand_where_the_repository_keeps_them() -> None:
    assert examples_folder().is_dir()


@pytest.mark.parametrize(
    ("operation", "name"), [(operation, name) for operation, named in examples().items() for name in named]
)
def test_every_example_is_answered(client: TestClient, operation: str, name: str) -> None:
    _, path, described = operations(app.openapi())[operation]
    example = examples()[operation][name]
    assert example["summary"]
    response = client.post(path, json=example["value"])
    assert response.status_code == 200, response.text
    assert described["responses"]["200"]["description"]
    again = client.post(path, json=example["value"])
    assert again.content == response.content, "the same request gives the same bytes"
    if response.headers["content-type"].startswith("image/"):
        return  # a picture carries its notes in its metadata
    answer = response.json()
    schema = described["responses"]["200"]["content"]["application/json"]["schema"]
    Draft202012Validator({**json.loads(json.dumps(app.openapi())), **schema}).validate(answer)
    assert answer["model_version"]["service"]
    assert digits(answer) <= 10, "no binary dust"
    assert answer["sources"], "an answer names where its figures come from"
