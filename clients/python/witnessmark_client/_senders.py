"""Who works out a part: the service, or this machine where the service is installed."""

from __future__ import annotations

import json
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

import httpx2

from witnessmark_client._exceptions import TransportError, UnexpectedAnswerError, from_problem
from witnessmark_client._files import FileError
from witnessmark_client._protocol import FIRST_ERROR, PASSING, PROBLEM, Retries, segment

SECONDS = 1300.0
"""For a part: it may wait for others and take long itself."""


@dataclass(frozen=True, slots=True)
class Answered:
    """The answer to a part."""

    content: bytes
    rows: int
    failed: int
    errors: Mapping[str, int]
    notes: Mapping[str, list[str]]
    """Assumptions, and ids of cautions and sources."""


NOTES = ("assumptions", "cautions", "sources")


class Sender(Protocol):
    """Works out parts."""

    def send(self, calculation: str, query: Mapping[str, str], media: tuple[str, str], body: bytes) -> Answered:
        """The answer to a part. media: of the part and of its answer. Errors: WitnessmarkError and its kinds."""

    def described(self, calculation: str) -> dict[str, Any]:
        """The columns of a calculation."""


class Service:
    """The service at an address."""

    def __init__(self, url: str, transport: Any = None, retries: Retries | None = None) -> None:
        self._http = httpx2.Client(base_url=url, timeout=SECONDS, transport=transport)
        self._retries = retries or Retries(attempts=6, refusals=200, total=3600.0)

    def send(self, calculation: str, query: Mapping[str, str], media: tuple[str, str], body: bytes) -> Answered:
        """As `Sender.send`; asked again where the service is busy or the connection fails."""
        headers = {"content-type": media[0], "accept": media[1]}
        path = f"/v1/bulk/{segment(calculation)}"
        response = self._tried(lambda: self._http.post(path, params=dict(query), content=body, headers=headers))
        notes = json.loads(response.headers.get("rows-notes", "{}"))
        if response.headers.get("content-type", "").partition(";")[0] != media[1] or "rows" not in notes:
            raise UnexpectedAnswerError(f"status {response.status_code}, but no rows")
        return Answered(response.content, notes["rows"], notes["failed"], notes["errors"], _short(notes))

    def described(self, calculation: str) -> dict[str, Any]:
        """As `Sender.described`."""
        found = self._tried(lambda: self._http.get(f"/v1/bulk/{segment(calculation)}")).json()
        result: dict[str, Any] = found["result"]
        return result

    def _tried(self, ask: Any) -> httpx2.Response:
        failed = refused = 0
        while True:
            response: httpx2.Response | None = None
            try:
                response = ask()
            except (httpx2.NetworkError, httpx2.RemoteProtocolError, httpx2.TimeoutException) as error:
                failed += 1
                if failed >= self._retries.attempts:
                    raise TransportError(f"{type(error).__name__}: {error}") from error
            if response is not None and response.status_code < FIRST_ERROR:
                return response
            if response is not None:
                refused += 1
                if response.status_code not in PASSING or refused >= self._retries.refusals:
                    raise _problem(response)
            time.sleep(self._retries.wait(failed + refused, response))


def _short(notes: Mapping[str, Any]) -> dict[str, list[str]]:
    return {name: [one if isinstance(one, str) else one["id"] for one in notes.get(name, ())] for name in NOTES}


def _problem(response: httpx2.Response) -> Exception:
    if response.headers.get("content-type", "").partition(";")[0] != PROBLEM:
        return UnexpectedAnswerError(f"status {response.status_code}")
    return from_problem({**response.json(), "status": response.status_code})


class Local:
    """This machine, in this process."""

    def __init__(self) -> None:
        try:
            self._work = import_module("witnessmark.api.bulk.work")
            self._description = import_module("witnessmark.api.bulk.description")
        except ModuleNotFoundError as missing:
            raise FileError(f"--local needs the service on this machine, which lacks {missing.name}") from None

    def send(self, calculation: str, query: Mapping[str, str], media: tuple[str, str], body: bytes) -> Answered:
        """As `Sender.send`."""
        beside = dict(query)
        own = {"report_in": beside.pop("report_in", "SI"), "first": int(beside.pop("first_row", "0"))}
        keep = tuple(filter(None, beside.pop("keep", "").split(",")))
        self._known(calculation)
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / self._work.IN).write_bytes(body)
            job = self._work.Job(calculation, folder, *media, 1e9, tuple(beside.items()), keep, **own)
            done = self._work.worked(job)
            if isinstance(done, self._work.Refused):
                raise _refusal(done)
            content = done.head + (Path(folder) / self._work.OUT).read_bytes()
        end = self._work.END if media[1] == self._work.ARROW else b""
        return Answered(content + end, done.rows, done.failed, done.notes["errors"], _short(done.notes))

    def described(self, calculation: str) -> dict[str, Any]:
        """As `Sender.described`."""
        found = self._description.described(self._known(calculation), self._work.FORMS)
        whole: dict[str, Any] = found.model_dump(mode="json")
        return whole

    def _known(self, calculation: str) -> Any:
        try:
            return self._work.find(calculation)
        except ValueError as error:
            raise FileError(str(error)) from None


def _refusal(refused: Any) -> Exception:
    errors = [error.model_dump() for error in refused.errors]
    status = 503 if refused.slug == "unavailable" else 422
    told = {"type": f"/problems/{refused.slug}", "title": refused.slug, "status": status}
    return from_problem({**told, "detail": refused.detail, "errors": errors})
