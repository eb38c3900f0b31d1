"""An operation that is to go says so in every answer, as RFC 9745 and RFC 8594 have it; no other does."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from email.utils import parsedate_to_datetime
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient
from tests.in_process import alive

from witnessmark.api.app import _HANDLERS
from witnessmark.api.retiring import Retirement
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.saturation import SaturationRequest
from witnessmark.api.transport import Transport

SINCE, UNTIL = datetime(2023, 6, 30, 23, 59, 59, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)
GOES = Retirement(SINCE, UNTIL, "/docs/moving", "/v2/old")
BODY = {"refrigerant": "R-32", "temperature": {"value": 5, "unit": "degC"}}


@pytest.fixture(scope="module")
def app() -> FastAPI:
    """Two operations, one of them to go."""
    router = version_one("calculations")

    @calculation(router, "/old", "To go", retires=GOES)
    def old(body: SaturationRequest) -> dict[str, Any]:
        return {"refrigerant": str(body.refrigerant)}

    @calculation(router, "/new", "To stay")
    async def new(body: SaturationRequest) -> dict[str, Any]:
        return {"refrigerant": str(body.refrigerant)}

    made = FastAPI(telemetry={"tracing": False, "metrics": False, "logs": False})
    for error, handler in _HANDLERS.items():
        made.add_exception_handler(error, handler)
    made.router.routes.extend(router.routes)
    return made


@pytest.fixture(scope="module")
def client(app: FastAPI) -> Iterator[TestClient]:
    with alive(app):
        yield TestClient(Transport(app), raise_server_exceptions=False)


@pytest.mark.parametrize(
    ("body", "status"), [(BODY, 200), ({**BODY, "unknown": 1}, 422), ([1] * 20_000, 422)], ids=["good", "bad", "large"]
)
def test_every_answer_of_it_says_since_when_and_until_when(client: TestClient, body: Any, status: int) -> None:
    answer = client.post("/v1/old", json=body)
    assert answer.status_code == status
    assert answer.headers["deprecation"] == "@1688169599"  # RFC 9745, section 2.1: the very moment of its example
    assert parsedate_to_datetime(answer.headers["sunset"]) == UNTIL  # RFC 8594, section 3: an HTTP-date
    links = answer.headers["link"]
    assert all(f'rel="{kind}"' in links for kind in ("deprecation", "sunset", "successor-version"))
    assert "</v2/old>" in links


def test_no_other_says_so(client: TestClient) -> None:
    for answer in (client.post("/v1/new", json=BODY), client.post("/v1/nowhere", json=BODY)):
        assert not answer.headers.keys() & {"deprecation", "sunset", "link"}


def test_the_document_marks_it(app: FastAPI) -> None:
    paths = app.openapi()["paths"]
    assert paths["/v1/old"]["post"]["deprecated"] is True
    assert "deprecated" not in paths["/v1/new"]["post"]


def test_without_a_successor_none_is_named() -> None:
    assert b"successor" not in dict(Retirement(SINCE, UNTIL, "/docs").headers)[b"link"]


@pytest.mark.parametrize(
    ("since", "until"),
    [
        (UNTIL, SINCE),
        (SINCE.replace(tzinfo=None), UNTIL),
        (SINCE, UNTIL.astimezone(timezone(timedelta(hours=1)))),
    ],
    ids=["goes before", "no offset", "another offset"],
)
def test_what_cannot_be_meant_is_refused(since: datetime, until: datetime) -> None:
    with pytest.raises(ValueError, match=r"UTC|deprecated first"):
        Retirement(since, until, "/docs")
