"""POST /v1/outcomes/score: figures of a list, and lists that would be scored wrongly if they were taken."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "score_outcomes.json").read_text("utf-8"))
JOBS = EXAMPLES["three jobs"]["value"]


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/outcomes/score", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_three_jobs(client: TestClient) -> None:
    status, answer = post(client, JOBS)
    assert status == 200, answer
    result = answer["result"]
    assert result["top_1"]["value"] == pytest.approx(1 / 3)
    assert result["top_3"]["value"] == pytest.approx(2 / 3)
    assert result["skill"] is None
    assert [mistake["reference"] for mistake in result["mistakes"]] == ["job 3", "job 2"]
    assert any("looked for and not there" in line for line in answer["assumptions"])


def ranked(*pairs: tuple[str, float]) -> list[dict[str, Any]]:
    return [{"id": key, "probability": probability} for key, probability in pairs]


def test_causes_stand_by_their_part_and_are_taken_by_place(client: TestClient) -> None:
    answer = {"reference": "job 1", "ranked": ranked(("undercharge", 0.3), ("overcharge", 0.6)), "confirmed": []}
    status, body = post(client, {"answers": [answer]})
    assert (status, body["result"]["mistakes"][0]["first"]) == (200, "undercharge")


def changed(place: int, **fields: Any) -> dict[str, Any]:
    body = copy.deepcopy(JOBS)
    body["answers"][place] |= fields
    return body  # type: ignore[no-any-return]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        (changed(1, confirmed=["undercharge"]), "#/answers/0"),
        (changed(1, reference="job 1"), "#/answers/1/reference"),
        (changed(1, ranked=2 * [{"id": "overheating", "probability": 0.5}]), "#/answers/1/ranked"),
        (changed(1, ranked=ranked(("overheating", 0.1), ("loss-of-charge", 0.9))), "#/answers/1/ranked"),
        (changed(1, not_looked_for=["loss-of-charge"]), "#/answers/1/confirmed"),
        (changed(1, not_looked_for=["overheating", "loss-of-charge"], confirmed=[]), "#/answers/1/not_looked_for"),
    ],
    ids=[
        "a cause among modes",
        "a job twice",
        "an id twice",
        "the likeliest last",
        "confirmed and not looked for",
        "nothing looked for",
    ],
)
def test_what_would_be_scored_wrongly_is_refused(client: TestClient, body: dict[str, Any], field: str) -> None:
    status, problem = post(client, body)
    assert status == 422
    assert field in json.dumps(problem)


def test_unknown_ids_are_told(client: TestClient) -> None:
    """A slip of the pen would count as a mistake of the answer."""
    status, answer = post(client, changed(0, confirmed=["liquid-flodback"], cost=None))
    assert status == 200
    assert answer["result"]["never_ranked"] == ["liquid-flodback"]
    assert any("liquid-flodback" in line for line in answer["assumptions"])
    assert any("without a cost" in line for line in answer["assumptions"])


def test_a_thousand_and_no_more(client: TestClient) -> None:
    one = JOBS["answers"][0]
    many = [{**one, "reference": f"job {k}"} for k in range(1001)]
    assert post(client, {"answers": many})[0] == 422
    status, answer = post(client, {"answers": many[:1000]})
    assert status == 200
    assert answer["result"]["answers"] == 1000


def test_long_unknown_ids_are_cut_in_what_is_assumed(client: TestClient) -> None:
    rows = [
        {"reference": str(n), "ranked": [{"id": f"{n}" * 70, "probability": 0.5}], "confirmed": []} for n in range(1, 9)
    ]
    answer = client.post("/v1/outcomes/score", json={"answers": rows})
    assert answer.status_code == 200
    assert all(len(line) < 2000 for line in answer.json()["assumptions"])
