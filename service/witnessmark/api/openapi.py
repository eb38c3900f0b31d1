"""The OpenAPI 3.1 document: what FastAPI writes, made complete (problems, examples, links, 405)."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import FastAPI

from witnessmark.api.labels import extensions
from witnessmark.api.problems import MEDIA_TYPE, Problem, documented
from witnessmark.api.schemas.bulk import BulkRequest

_RETRY_AFTER = {
    "Retry-After": {
        "required": True,
        "schema": {"type": "integer", "minimum": 1, "x-unit": "s"},
        "description": "Seconds after which to ask again.",
    }
}
_COMPONENT = "#/components/schemas/"
DESCRIPTION = """Why did this compressor die, and will the next one live?

Refrigeration physics, failure diagnosis and circuit cleanup for service technicians. Every quantity carries its unit;
gauge and absolute pressure are kept apart; every answer lists what it assumed, what to be careful about and where its
figures come from.
Advice for licensed technicians: local codes, the maker's data and licensed practice come first.

Texts hold no control characters but tabs and ends of lines, and none that turn the direction of writing.
Nothing is stored. Calculations are idempotent, so a POST may be sent again.
"""


@cache
def examples_folder() -> Path:
    """The folder of example requests: beside this package when installed, at the top of the repository otherwise."""
    installed = Path(str(files("witnessmark.api"))) / "examples"
    return installed if installed.is_dir() else Path(__file__).parents[3] / "openapi" / "examples"


@cache
def examples(folder: str = "") -> dict[str, dict[str, Any]]:
    """Example requests by operation: file `<operation>.json` holds {name: {summary, value}}.

    Folder `answers`: what the service answers to them, by media type; `python -m tests.contract golden` writes it.
    """
    files = sorted(examples_folder().joinpath(folder).glob("*.json"))
    return {file.stem: json.loads(file.read_text("utf-8")) for file in files}


def install(app: FastAPI, *, keys: bool = False) -> None:
    """Make `app.openapi` answer the complete document. keys: whether this installation asks for them."""
    write = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is None:
            document = write()
            complete(document)
            if keys:
                ask_for_keys(document)
            app.openapi_schema = name_choices(short_names(document))
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]


def complete(document: dict[str, Any]) -> None:
    """Fill in, in place, what FastAPI leaves out."""
    schemas = document["components"]["schemas"]
    problem = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas.update(problem.pop("$defs"))
    schemas["Problem"] = problem
    rows = BulkRequest.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas.update(rows.pop("$defs", {}))
    schemas["BulkRequest"] = rows
    meant = schemas["Designation"]["anyOf"]  # a name, or a mixture: named too, so that generators make one class of it
    schemas["Mixture"], meant[1] = meant[1], {"$ref": f"{_COMPONENT}Mixture"}
    for unused in ("HTTPValidationError", "ValidationError"):
        schemas.pop(unused, None)
    for field in (field for schema in schemas.values() for field in schema.get("properties", {}).values()):
        if "$ref" in field:  # a description that says what that of the part says was left out
            part = schemas[field["$ref"].removeprefix(_COMPONENT)]
            field.setdefault("description", part.get("description", ""))
    for operations in document["paths"].values():
        for operation in operations.values():
            _complete_operation(operation)
    _link_catalogue(document["paths"])


def ask_for_keys(document: dict[str, Any]) -> None:
    """Say, in place, that calculations take a key, and what is answered without a good one."""
    document["components"]["securitySchemes"] = {
        "bearer": {"type": "http", "scheme": "bearer"},
        "header": {"type": "apiKey", "in": "header", "name": "X-API-Key"},
    }
    refusals = {str(status): told for status, told in documented("no-key", "key-not-enough", "budget-spent").items()}
    refusals["401"]["headers"] = {"WWW-Authenticate": {"required": True, "schema": {"type": "string"}}}
    refusals["429"]["headers"] = _RETRY_AFTER
    for path in (path for path in document["paths"] if path.startswith("/v1/")):
        for operation in document["paths"][path].values():
            operation["security"] = [{"bearer": []}, {"header": []}]
            operation["responses"].update(refusals)


def short_names(document: dict[str, Any]) -> dict[str, Any]:
    """The document with every schema under its title, where FastAPI makes a name of modules and type arguments."""
    titles = {name: schema.get("title", name) for name, schema in document["components"]["schemas"].items()}
    if len(set(titles.values())) < len(titles):
        raise ValueError("two schemas have the same title")
    renamed: dict[str, Any] = _renamed(document, titles)
    components = renamed["components"]
    components["schemas"] = {titles[name]: schema for name, schema in components["schemas"].items()}
    return renamed


def name_choices(document: dict[str, Any]) -> dict[str, Any]:
    """The document with every closed list a schema with a name, of its type or of where it stands, and its labels.

    Generators of clients make one class of each; of lists without a name they make numbered ones.
    """
    schemas = document["components"]["schemas"]
    for name in [name for name, schema in schemas.items() if "enum" not in schema]:
        fields = schemas[name].get("properties", {})
        for field in fields:
            fields[field].pop("title", None)  # the name once more, in capitals
            _lift(fields, field, name + _camel(field), schemas)
    for operation in (operation for operations in document["paths"].values() for operation in operations.values()):
        for parameter in operation.get("parameters", ()):
            _lift(parameter, "schema", _camel(operation["operationId"]) + _camel(parameter["name"]), schemas)
    for name, schema in schemas.items():
        if "const" in schema:
            schema["enum"] = [schema.pop("const")]
        if "enum" in schema:
            schema.pop("maxLength", None)  # the words have theirs
            schema.update(extensions(name, schema["enum"]))
    return document


def _lift(whole: Any, key: str | int, name: str, schemas: dict[str, Any]) -> None:
    """Move the closed list at `key`, or those inside of what stands there, into `schemas`; references stay."""
    part = whole[key]
    if isinstance(part, dict) and "enum" in part:
        if name in schemas:
            raise ValueError(f"two closed lists would have the name {name}")
        schemas[name] = {"type": part["type"], "enum": part["enum"]}
        beside = {kept: part[kept] for kept in ("description", "default") if kept in part}
        whole[key] = {"$ref": _COMPONENT + name} | beside
    elif isinstance(part, dict):
        for inner in part.keys() & {"anyOf", "items", "additionalProperties"}:
            _lift(part, inner, name, schemas)
    elif isinstance(part, list):
        for position in range(len(part)):
            _lift(part, position, name, schemas)


def _camel(name: str) -> str:
    return "".join(word.capitalize() for word in name.split("_"))


def _renamed(part: Any, titles: dict[str, str]) -> Any:
    if isinstance(part, list):
        return [_renamed(inner, titles) for inner in part]
    if not isinstance(part, dict):
        return part
    renamed = {key: _renamed(inner, titles) for key, inner in part.items()}
    if isinstance(reference := renamed.get("$ref"), str):
        renamed["$ref"] = _COMPONENT + titles[reference.removeprefix(_COMPONENT)]
    return renamed


def _complete_operation(operation: dict[str, Any]) -> None:
    responses = operation["responses"]
    responses["405"] = documented("method-not-allowed")[405] | {
        "headers": {"Allow": {"required": True, "schema": {"type": "string"}, "description": "Methods that it takes."}}
    }
    for status, response in responses.items():
        if status == "503":
            response["headers"] = _RETRY_AFTER
        if status == "422":
            response["content"] = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    name = operation["operationId"]
    content = operation.get("requestBody", {}).get("content", {}).get("application/json")
    if content is not None and name in examples():
        content["examples"] = examples()[name]
    for media, answers in examples("answers").get(name, {}).items():
        responses["200"]["content"][media]["examples"] = answers


def _link_catalogue(paths: dict[str, Any]) -> None:
    """The list of refrigerants leads to one of them: a link that software (and the tests) can follow."""
    if "/v1/refrigerants" in paths:
        paths["/v1/refrigerants"]["get"]["responses"]["200"]["links"] = {
            "one": {
                "operationId": "get_refrigerant",
                "parameters": {"designation": "$response.body#/result/refrigerants/0/designation"},
            }
        }
