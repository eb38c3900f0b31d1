"""The client against the service's own document: no operation without a method, no field without an argument."""

import inspect
import re
from typing import Any

import pytest

import witnessmark_client
from witnessmark.api.app import app
from witnessmark_client import AsyncClient, Client
from witnessmark_client._operations import Operations

DOCUMENT = app.openapi()
OPERATIONS = {
    operation["operationId"]: (method, path, operation)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
}


def request_schema(operation: dict[str, Any]) -> dict[str, Any] | None:
    content = operation.get("requestBody", {}).get("content", {}).get("application/json")
    if content is None:
        return None
    found: dict[str, Any] = DOCUMENT["components"]["schemas"][content["schema"]["$ref"].rsplit("/", 1)[1]]
    return found


def test_every_operation_has_a_method_and_every_method_an_operation() -> None:
    methods = {name for name in dir(Operations) if not name.startswith("_")}
    assert methods == set(OPERATIONS)


@pytest.mark.parametrize("name", OPERATIONS)
def test_arguments_are_the_fields_of_the_request(name: str) -> None:
    _, _, operation = OPERATIONS[name]
    arguments = {k: p for k, p in inspect.signature(getattr(Operations, name)).parameters.items() if k != "self"}
    arguments.pop("accept", None)
    schema = request_schema(operation)
    if schema is None:
        wanted = {p["name"]: p.get("required", False) for p in operation.get("parameters", [])}
    else:
        wanted = {field: field in schema.get("required", []) for field in schema["properties"]}
        wanted |= {p["name"]: p.get("required", False) for p in operation.get("parameters", [])}
    arguments.pop("same", None)  # what holds for every row: any parameter that is named like a column
    assert set(arguments) == set(wanted)
    required = {k for k, p in arguments.items() if p.default is inspect.Parameter.empty}
    assert required == {k for k, needed in wanted.items() if needed}
    assert all(p.annotation is not inspect.Parameter.empty for p in arguments.values())


@pytest.mark.parametrize("name", OPERATIONS)
def test_method_and_path_are_the_operation_s(name: str) -> None:
    method, path, operation = OPERATIONS[name]
    seen: list[Any] = []

    class Recorder(Operations[None]):
        def _perform(self, call: Any) -> None:
            seen.append(call)

    parameters = inspect.signature(getattr(Operations, name)).parameters
    required = [k for k, p in parameters.items() if k != "self" and p.default is inspect.Parameter.empty]
    positional = [k for k in required if parameters[k].kind is inspect.Parameter.POSITIONAL_OR_KEYWORD]
    named: dict[str, Any] = {k: {} if k == "columns" else "x" for k in required if k not in positional}
    getattr(Recorder(), name)(*["x"] * len(positional), **named)
    (call,) = seen
    assert call.method == method.upper()
    assert call.path == re.sub("{.*}", "x", path) or call.path == path
    assert (call.body is None) == (request_schema(operation) is None)


def test_what_a_method_does_not_name_is_refused_and_what_is_not_given_is_not_sent() -> None:
    seen: list[Any] = []

    class Recorder(Operations[None]):
        def _perform(self, call: Any) -> None:
            seen.append(call)

    with pytest.raises(TypeError, match="pressur"):
        Recorder().superheat(refrigerant="R-32", pressur=1)  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="temperature"):
        Recorder().superheat(refrigerant="R-32", pressure=witnessmark_client.barg(9))  # type: ignore[call-arg]
    Recorder().saturation(refrigerant="R-32", pressure=witnessmark_client.barg(9), site=None)
    assert [call.body for call in seen] == [{"refrigerant": "R-32", "pressure": {"value": 9, "unit": "barg"}}]


def test_both_clients_offer_the_same() -> None:
    assert issubclass(Client, Operations)
    assert issubclass(AsyncClient, Operations)
