import copy
from collections.abc import Callable
from typing import Any

import pytest

from tests.contract.changes import breaking

Document = dict[str, Any]


def document() -> Document:
    thing = {
        "type": "object",
        "required": ["a"],
        "properties": {
            "a": {"type": "number", "minimum": 0, "maximum": 9, "x-unit": "K", "default": 1},
            "b": {"type": "string", "enum": ["x", "y"], "x-ucum": {"x": "kPa"}},
            "id": {"type": "string", "description": "Open.", "examples": ["oil-burnt"]},
            "c": {"anyOf": [{"$ref": "#/components/schemas/Part"}, {"type": "null"}]},
            "d": {"type": "array", "maxItems": 5, "items": {"$ref": "#/components/schemas/Part"}},
        },
    }
    part = {"type": "object", "required": ["n"], "properties": {"n": {"type": "integer"}}}
    body = {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/In"}}}}
    answer = {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/Out"}}}}
    parameter = {"in": "query", "name": "q", "schema": {"type": "string"}}
    operation = {
        "operationId": "do", "parameters": [parameter], "requestBody": body, "responses": {"200": answer, "422": {}},
    }  # fmt: skip
    schemas = {"In": thing, "Out": copy.deepcopy(thing), "Part": part}
    return {"paths": {"/v1/do": {"post": operation}}, "components": {"schemas": schemas}}


def schema(d: Document, name: str) -> Any:
    return d["components"]["schemas"][name]


def do(d: Document) -> Any:
    return d["paths"]["/v1/do"]["post"]


ADDITIVE: dict[str, Callable[[Document], Any]] = {
    "nothing": lambda d: d,
    "new path": lambda d: d["paths"].update({"/v1/more": {"get": do(document())}}),
    "new optional field": lambda d: schema(d, "In")["properties"].update(e={"type": "string"}),
    "wider request limit": lambda d: schema(d, "In")["properties"]["a"].update(maximum=99),
    "more choices in a request": lambda d: schema(d, "In")["properties"]["b"]["enum"].append("z"),
    "fewer choices in an answer": lambda d: schema(d, "Out")["properties"]["b"]["enum"].remove("y"),
    "another example of an open id": lambda d: schema(d, "Out")["properties"]["id"].update(examples=["oil-chalky"]),
    "open id closed in an answer": lambda d: schema(d, "Out")["properties"]["id"].update(enum=["oil-burnt"]),
    "new field in an answer": lambda d: schema(d, "Out")["properties"].update(e={"type": "string"}),
    "narrower answer": lambda d: schema(d, "Out")["properties"]["a"].update(minimum=1, maximum=8),
    "another default in an answer": lambda d: schema(d, "Out")["properties"]["a"].update(default=2),
    "a unit more": lambda d: schema(d, "In")["properties"]["b"]["x-ucum"].update(z="bar"),
    "field no longer required": lambda d: schema(d, "In").update(required=[]),
    "new optional parameter": lambda d: do(d)["parameters"].append({"in": "query", "name": "r", "schema": {}}),
}
BREAKING: dict[str, Callable[[Document], Any]] = {
    "path removed": lambda d: d["paths"].clear(),
    "operation id": lambda d: do(d).update(operationId="done"),
    "request field removed": lambda d: schema(d, "In")["properties"].pop("b"),
    "request field required": lambda d: schema(d, "In")["required"].append("b"),
    "answer field removed": lambda d: schema(d, "Out")["properties"].pop("b"),
    "answer field uncertain": lambda d: schema(d, "Out").update(required=[]),
    "request limit": lambda d: schema(d, "In")["properties"]["a"].update(maximum=8),
    "request items": lambda d: schema(d, "In")["properties"]["d"].update(maxItems=4),
    "request choice lost": lambda d: schema(d, "In")["properties"]["b"]["enum"].remove("y"),
    "answer choice gained": lambda d: schema(d, "Out")["properties"]["b"]["enum"].append("z"),
    "closed list opened in an answer": lambda d: schema(d, "Out")["properties"]["b"].pop("enum"),
    "open id closed in a request": lambda d: schema(d, "In")["properties"]["id"].update(enum=["oil-burnt"]),
    "request type": lambda d: schema(d, "In")["properties"]["a"].update(type="integer"),
    "answer type": lambda d: schema(d, "Out")["properties"]["a"].update(type="string"),
    "null no longer taken": lambda d: schema(d, "In")["properties"]["c"].update(anyOf=[{"$ref": "x"}]),
    "deep field required": lambda d: (
        schema(d, "Part")["properties"].update(m={"type": "integer"}),
        schema(d, "Part")["required"].append("m"),
    ),
    "pattern": lambda d: schema(d, "In")["properties"]["b"].update(pattern="x"),
    "answer status removed": lambda d: do(d)["responses"].pop("422"),
    "media type": lambda d: do(d)["responses"]["200"]["content"].clear(),
    "required parameter": lambda d: do(d)["parameters"].append(
        {"in": "query", "name": "r", "required": True, "schema": {}}
    ),
    "parameter removed": lambda d: do(d)["parameters"].clear(),
    "unit of a request": lambda d: schema(d, "In")["properties"]["a"].update({"x-unit": "degC"}),
    "unit of an answer": lambda d: schema(d, "Out")["properties"]["a"].update({"x-unit": "degC"}),
    "what a unit is": lambda d: schema(d, "In")["properties"]["b"].update({"x-ucum": {"x": "bar"}}),
    "default": lambda d: schema(d, "In")["properties"]["a"].update(default=2),
    "default gone": lambda d: schema(d, "In")["properties"]["a"].pop("default"),
    "new default": lambda d: schema(d, "In")["properties"]["c"].update(default={"n": 1}),
    "answer beyond its bound": lambda d: schema(d, "Out")["properties"]["a"].update(maximum=99),
    "answer without its bound": lambda d: schema(d, "Out")["properties"]["a"].pop("minimum"),
    "format": lambda d: schema(d, "In")["properties"]["id"].update(format="date"),
    "body required": lambda d: do(d)["requestBody"].update(required=True),
}


@pytest.mark.parametrize("change", ADDITIVE)
def test_additive_changes_pass(change: str) -> None:
    new = document()
    ADDITIVE[change](new)
    assert breaking(document(), new) == []


@pytest.mark.parametrize("change", BREAKING)
def test_breaking_changes_are_named(change: str) -> None:
    new = document()
    BREAKING[change](new)
    assert breaking(document(), new) != []
