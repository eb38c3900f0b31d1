"""POST /v1/restart in other languages: evidence and conditions of machines unlike the examples."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart_impossible import quantity
from tests.api.test_restart_other_machines import carbon_dioxide, chiller, evacuated, leaking, pulled, retested, stood
from tests.language.untold import rests

BODIES = {
    "cold plant": carbon_dioxide(28.2, 19.2),
    "ice": evacuated(coldest=quantity(-30, "degC")),
    "frost": evacuated(coldest=quantity(-20, "degC")),
    "another oil": evacuated(oil="mineral"),
    "done again": retested(leaking(superseded=True), stood("whole", 15.2)),
    "chiller": chiller(),
}


def pulled_as(microns: tuple[float, ...], minutes: float) -> dict[str, Any]:
    body = evacuated()
    body["tests"]["evacuation"] = pulled(microns, minutes)
    return body


BODIES |= {
    "deeper": pulled_as((410, 428, 440, 447, 452, 455, 457, 458, 459), 5),
    "longer": pulled_as((300, 304, 308, 312, 316), 10),
}


def told_texts(answer: dict[str, Any]) -> Iterator[str]:
    result = answer["result"]
    yield from result["conditions"]
    for check in result["checks"]:
        for piece in check["evidence"]:
            yield from (piece["detail"], piece["condition"], piece["origin"])


@pytest.mark.parametrize("language", ["es", "pt"])
@pytest.mark.parametrize("name", BODIES)
def test_what_was_found_is_told_in_the_language(client: TestClient, name: str, language: str) -> None:
    english, other = (
        client.post("/v1/restart", json=BODIES[name], headers={"Accept-Language": told}).json()
        for told in ("en", language)
    )
    pairs = zip(told_texts(english), told_texts(other), strict=True)
    assert [theirs for ours, theirs in pairs if ours and rests(ours, theirs)] == []
