"""The golden document, and what must hold of it."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator
from starlette.testclient import TestClient
from tests.contract import answers
from tests.contract.answers import operations
from tests.contract.changes import breaking

from witnessmark.api import labels
from witnessmark.api.app import app
from witnessmark.api.labels import each_word_has_a_label, extensions
from witnessmark.api.openapi import examples, examples_folder, name_choices, short_names
from witnessmark.data import DataError

GOLDEN = Path(__file__).parents[2] / "openapi" / "openapi.json"


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    return app.openapi()


@pytest.fixture(scope="module")
def golden() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(GOLDEN.read_text("utf-8"))
    return loaded


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


def fields(document: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every property and parameter, by where it stands."""
    for name, schema in document["components"]["schemas"].items():
        for field, part in schema.get("properties", {}).items():
            yield f"{name}.{field}", part
    for name, (_, _, operation) in operations(document).items():
        for parameter in operation.get("parameters", ()):
            yield f"{name}: {parameter['name']}", parameter


def test_every_field_is_described(document: dict[str, Any]) -> None:
    assert [where for where, part in fields(document) if not part.get("description")] == []


def choices(part: Any) -> Iterator[list[Any]]:
    """Every closed list of more than one word below this part of the document."""
    if isinstance(part, dict):
        if "enum" in part:
            yield part["enum"]
        yield from (found for key, inner in part.items() if key != "examples" for found in choices(inner))
    elif isinstance(part, list):
        yield from (found for inner in part for found in choices(inner))


def test_every_closed_list_is_a_schema_of_its_own_and_written_once(document: dict[str, Any]) -> None:
    named = {name: schema["enum"] for name, schema in document["components"]["schemas"].items() if "enum" in schema}
    assert len(list(choices(document["components"]["schemas"]))) == len(named)
    assert list(choices(document["paths"])) == []
    unlike_units = {name: frozenset(words) for name, words in named.items() if not name.endswith("Unit")}
    again = {name for name, words in unlike_units.items() if list(unlike_units.values()).count(words) > 1}
    assert again == set()


def test_every_closed_list_says_what_its_ids_are_called(document: dict[str, Any]) -> None:
    for name, schema in document["components"]["schemas"].items():
        if "enum" in schema:
            read = schema["x-labels"]
            assert list(read) == [str(word) for word in schema["enum"]], name
            assert len(set(read.values())) == len(read), name
            assert all(label.strip() == label and label and "_" not in label for label in read.values()), name


def test_labels_of_the_vocabulary_are_those_of_its_file(document: dict[str, Any]) -> None:
    assert document["components"]["schemas"]["PressureUnit"]["x-labels"]["psig"] == "psi, gauge"
    assert extensions("Oil", ["POE"])["x-labels"] == {"POE": "polyolester (POE)"}
    assert extensions("Other", ["over-current", "R-410A", 3])["x-labels"] == {
        "over-current": "over current",
        "R-410A": "R-410A",
        "3": "3",
    }


def test_labels_that_miss_a_word_stop_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    each_word_has_a_label()
    monkeypatch.setattr(labels, "LABELS", lambda: {"Line": {"suction": "suction line"}})
    with pytest.raises(DataError, match=r"^vocabulary\.toml: Line: "):
        each_word_has_a_label()


def test_two_closed_lists_of_one_name_are_refused() -> None:
    schemas: dict[str, Any] = {"A": {"properties": {"b": {"enum": ["x", "y"]}}}, "AB": {"properties": {}}}
    with pytest.raises(ValueError, match="would have the name AB"):
        name_choices({"components": {"schemas": schemas}, "paths": {}})


def same(one: Any, other: Any) -> bool:
    """Equal, numbers to six digits: another processor may round the last ones otherwise."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return bool(one == pytest.approx(other, rel=1e-6, abs=1e-12))
    return bool(one == other)


@pytest.mark.parametrize("operation", operations(app.openapi()))
def test_every_answer_has_an_example_and_that_is_what_the_service_answers(client: TestClient, operation: str) -> None:
    document = app.openapi()
    content = operations(document)[operation][2]["responses"]["200"]["content"]
    answered = answers.answers(client, document, operation)
    assert answered.keys() | answers.BINARY >= content.keys()
    for media, named in answered.items():
        assert same(content[media]["examples"], named), "run `make golden` if the change is meant"
        assert content[media]["examples"].keys() == named.keys()


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
    path = answers.filled(path, described)
    example = examples()[operation][name]
    assert example["summary"]
    response = client.post(path, json=example["value"])
    assert response.status_code == 200, response.text
    assert described["responses"]["200"]["description"]
    again = client.post(path, json=example["value"])
    assert again.content == response.content, "the same request gives the same bytes"
    if response.headers["content-type"].startswith(("image/", "text/html")):
        return  # a picture carries its notes in its metadata, a report in its text
    answer = response.json()
    schema = described["responses"]["200"]["content"]["application/json"]["schema"]
    Draft202012Validator({**json.loads(json.dumps(app.openapi())), **schema}).validate(answer)
    assert answer["model_version"]["service"]
    assert digits(answer) <= 10, "no binary dust"
    assert answer["sources"], "an answer names where its figures come from"
