"""What the service answers to the examples of the document: made for the document, and compared with it by a test."""

from __future__ import annotations

import json
import re
from typing import Any

from starlette.testclient import TestClient

from tests.in_process import alive
from witnessmark.api.app import app
from witnessmark.api.openapi import examples, examples_folder

FOLDER = examples_folder() / "answers"
LONGEST_LIST = 2
LONGEST_TEXT = 400
JSON = "application/json"
BINARY = {"image/png", "application/vnd.apache.arrow.stream"}
STAMP, AN_INSTANT = re.compile(r"(?<=DTSTAMP:)\d{8}T\d{6}Z"), "20260101T000000Z"
"""When a calendar was made: the same in every document."""


def operations(document: dict[str, Any]) -> dict[str, tuple[str, str, dict[str, Any]]]:
    """Method, path and description of each operation by its id."""
    return {
        operation["operationId"]: (method, path, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    }


def answers(client: TestClient, document: dict[str, Any], operation_id: str) -> dict[str, dict[str, Any]]:
    """What one operation answers to its first example request, by media type and name of that, shortened."""
    method, path, operation = operations(document)[operation_id]
    answered: dict[str, dict[str, Any]] = {}
    for media in operation["responses"]["200"]["content"]:
        if media not in BINARY:  # no bytes in a document of text
            answered[media] = _named(client, method, filled(path, operation), operation_id, media)
    return answered


def _named(client: TestClient, method: str, path: str, operation_id: str, media: str) -> dict[str, Any]:
    requests = examples().get(operation_id, {"plain": {"summary": "The plain request", "value": None}})
    name, request = next(iter(requests.items()))
    response = client.request(method, path, json=request["value"], headers={"accept": media})
    response.raise_for_status()
    value = shortened(response.json()) if media == JSON else f"{STAMP.sub(AN_INSTANT, response.text[:LONGEST_TEXT])}…"
    return {name: {"summary": f"{request['summary']}; long lists are cut", "value": value}}


def filled(path: str, operation: dict[str, Any]) -> str:
    """The path with the example of each parameter in its place."""
    for parameter in operation.get("parameters", ()):
        if parameter["in"] == "path":
            path = path.replace(f"{{{parameter['name']}}}", parameter["schema"]["examples"][0])
    return path


def shortened(answer: Any) -> Any:
    """The answer with lists cut after two entries, and zeros for the version of the data that answered it."""
    if isinstance(answer, list):
        return [shortened(part) for part in answer[:LONGEST_LIST]]
    if isinstance(answer, dict):
        return {name: "0" * 10 if name == "knowledge" else shortened(part) for name, part in answer.items()}
    return answer


def write() -> None:
    """Write the answers of every operation anew."""
    FOLDER.mkdir(exist_ok=True)
    document = app.openapi()
    for file in FOLDER.glob("*.json"):
        file.unlink()
    client = TestClient(app)
    with alive(app):
        for operation_id in operations(document):
            text = json.dumps(answers(client, document, operation_id), indent=1, ensure_ascii=False)
            (FOLDER / f"{operation_id}.json").write_text(text + "\n", "utf-8")
    app.openapi_schema = None
    examples.cache_clear()
