"""What the pages of the guide say is what the service does."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import structlog
from starlette.testclient import TestClient
from tests.in_process import alive

from witnessmark.api.app import app, asgi
from witnessmark.demo import cases
from witnessmark.diagnosis.answer.dispatch import _WHEN
from witnessmark.diagnosis.answer.priority import KINDS
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.notes.matches import THRESHOLD
from witnessmark.language.catalogue import Language
from witnessmark.vocabulary import words

PAGES = Path(__file__).parents[2] / "docs" / "guide" / "pages"
BLOCK = re.compile(r"^```(json|text)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    """The service behind its transport layer, warmed up."""
    with alive(app):
        yield TestClient(asgi, raise_server_exceptions=False)


def text_of(name: str) -> str:
    return (PAGES / f"{name}.md").read_text("utf-8")


def headline(client: TestClient, case: dict[str, Any]) -> list[str]:
    answer = client.post("/v1/cases", json={"case": case})
    assert answer.status_code == 200, answer.text
    lines: list[str] = answer.json()["result"]["headline"]
    return lines


def test_the_tutorial_is_answered_as_it_says(client: TestClient) -> None:
    """Each piece is added to the case of the pieces before; the last lines are those of the first demo case."""
    blocks = [(kind, body) for kind, body in BLOCK.findall(text_of("tutorial"))]
    case: dict[str, Any] = {}
    told = 0
    for kind, body in blocks[:-1]:
        if kind == "json":
            case |= json.loads(body)
        else:
            assert headline(client, case) == body.splitlines()
            told += 1
    assert told == 3
    assert headline(client, cases.everything()[cases.names()[0]]) == blocks[-1][1].splitlines()


def rows(name: str) -> list[list[str]]:
    """The cells of every row of every table of a page."""
    lines = [line for line in text_of(name).splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def test_the_recipe_names_every_level_its_kind_and_how_soon() -> None:
    told = {row[0]: (row[1], row[3]) for row in rows("dispatch") if row[0].isdigit()}
    assert {level: kind for level, (kind, _) in told.items()} == {str(level): kind for level, kind in KINDS.items()}
    assert all(soon.startswith(_WHEN[int(level)]) for level, (_, soon) in told.items())


def test_the_thresholds_are_those_of_the_service() -> None:
    text, verdict = text_of("dispatch"), decisions().verdict
    figures = [row[1] for row in rows("dispatch")]
    assert {f"{figure:g}" for figure in (THRESHOLD, verdict.candidate, verdict.leading, verdict.no_fault)} <= set(
        figures
    )
    sure = f"{verdict.diagnosed:g}, and moved by {verdict.shift:g} decibans, and {verdict.without_best:g} without"
    assert any(figure.startswith(sure) for figure in figures)
    assert all(f"{word} from {least:g}" in text for word, least in decisions().words.items() if least)


def test_languages_are_those_there_are() -> None:
    told = ", ".join(f"`{language}`" for language in words(Language)).replace(", `pt`", " or `pt`")
    assert told in text_of("dispatch")
    assert told in text_of("tutorial")


def test_every_field_of_a_log_line_is_listed(client: TestClient) -> None:
    listed = {name for row in rows("log-fields") for name in re.findall("`([a-z_]+)`", row[0])}
    with structlog.testing.capture_logs() as lines:
        client.get("/v1/limits")
        client.get("/v1/nothing")
        client.post("/v1/superheat", json={})
    told = {name for line in lines for name in line} - {"event", "log_level"}
    assert {"path", "problem", "waited_ms"} <= told
    assert told <= listed
    assert {"event", "level", "timestamp"} <= listed
