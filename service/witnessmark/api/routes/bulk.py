"""POST and GET /v1/bulk/{calculation}, GET /v1/limits."""

from __future__ import annotations

import asyncio
import json
import re
from contextlib import ExitStack
from pathlib import Path as File
from typing import Annotated, Any

from fastapi import Path
from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from witnessmark import settings
from witnessmark.api.accepting import chosen
from witnessmark.api.bulk import gate, work
from witnessmark.api.bulk.calculations import Calculation, calculations
from witnessmark.api.bulk.compute import find
from witnessmark.api.bulk.description import described, limits_in_force
from witnessmark.api.bulk.inputs import bind
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import FieldProblem, ProblemError, documented, pointer
from witnessmark.api.routing import catalogue, version_one
from witnessmark.api.schemas.bulk import BulkAnswer, BulkDescriptionAnswer, LimitsAnswer
from witnessmark.errors import UnknownNameError
from witnessmark.vocabulary import SystemOfUnits, spelled, words

router = version_one("bulk")
BLOCK = 1 << 16
"""Bytes sent at once: small requests take their turn between two such."""
MOST_NOTES = 6000
"""Characters of a header."""
MOST_PARAMETERS, LONGEST_PARAMETER = 60, 200
OWN = ("keep", "report_in", "first_row")
UTF_8 = frozenset({"utf-8", "utf8", "us-ascii"})
_CHARSET = re.compile(r"charset\s*=\s*\"?([^\";\s]+)", re.IGNORECASE)
_WHOLE = re.compile("[0-9]{1,12}")
Name = Annotated[str, Path(max_length=40, examples=["superheat"], description="The last part of the single address.")]
_TEXT: dict[str, Any] = {"schema": {"type": "string"}}
_BINARY: dict[str, Any] = {"schema": {"type": "string", "format": "binary"}}
_COUNT = {"schema": {"type": "integer", "minimum": 0, "x-unit": "1"}, "required": True}
_PROBLEMS = (
    "malformed-json", "malformed-rows", "unknown-name", "not-acceptable", "request-timeout", "content-too-large",
    "unsupported-media-type", "invalid-input", "unavailable",
)  # fmt: skip
_RESPONSES: dict[int | str, dict[str, Any]] = {
    **documented(*_PROBLEMS),
    200: {
        "model": BulkAnswer,
        "description": "The same rows in the same order, in the form that `Accept` names, else that of the request.",
        "content": {work.CSV: _TEXT, work.NDJSON: _TEXT, work.ARROW: _BINARY},
        "headers": {
            "Rows-Total": {"description": "Rows of the answer.", **_COUNT},
            "Rows-Failed": {"description": "Rows with an `error_code`.", **_COUNT},
            "Rows-Notes": {
                "description": "What holds for all rows, as JSON: counts by `error_code`, assumptions, ids of cautions "
                "and sources, versions. Comma-separated values have no other place for it; "
                "the other forms hold the texts as well.",
                "schema": {"type": "string"},
            },
        },
    },
}
_CSV = "refrigerant,pressure[psig],temperature[degF]\nR-410A,118,52\nR-410A,,52\n"
_LINES = '{"refrigerant":"R-410A","pressure[psig]":118,"temperature[degF]":52}\n'
_BODY = {
    "required": True,
    "content": {
        work.JSON: {"schema": {"$ref": "#/components/schemas/BulkRequest"}},
        work.CSV: {**_TEXT, "example": _CSV},
        work.NDJSON: {"schema": {}, "example": _LINES},
        work.ARROW: _BINARY,
    },
}
_QUERY = [
    {
        "name": "report_in", "in": "query", "description": "Units of the answer.",
        "schema": {"$ref": "#/components/schemas/SystemOfUnits", "default": "SI"},
    },
    {
        "name": "keep", "in": "query", "description": "Columns that go back as they came, separated by commas.",
        "schema": {"type": "string", "maxLength": LONGEST_PARAMETER},

    },
    {
        "name": "first_row", "in": "query", "description": "Number of the first row, where rows come in several parts.",
        "schema": {"type": "integer", "minimum": 0, "maximum": 10**12 - 1, "default": 0, "x-unit": "1"},
    },
]  # fmt: skip


class Spooled(Response):
    """An answer that lies in a file, sent as the caller takes it; what holds the file is let go at the end."""

    def __init__(self, head: bytes, file: File, tail: bytes, headers: dict[str, str], held: ExitStack) -> None:
        size = len(head) + file.stat().st_size + len(tail)
        self.parts, self.file, self.held = (head, tail), file, held
        super().__init__(headers={**headers, "content-length": str(size)})
        self.raw_headers = [
            pair for k, pair in enumerate(self.raw_headers) if pair[0] != b"content-length" or pair[1] == b"%d" % size
        ]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:  # noqa: ARG002 - an ASGI application
        """Send it."""
        with self.held:
            async with asyncio.timeout(settings.current().rows_seconds):
                await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
                await send(_part(self.parts[0]))
                with self.file.open("rb") as file:
                    while block := file.read(BLOCK):
                        await send(_part(block))
                        await asyncio.sleep(0)  # what a fast caller takes at once would be sent without a pause
                await send({"type": "http.response.body", "body": self.parts[1]})


def _part(body: bytes) -> dict[str, Any]:
    return {"type": "http.response.body", "body": body, "more_body": True}


async def bulk(calculation: Name, request: Request) -> Response:
    """Many rows through one calculation: each is a request of its own, answered as the single operation would.

    Same rows, same order, same count; a row that cannot be used has an `error_code` and a message and harms no other.
    Columns are named like the fields of the request, with the unit in brackets (`suction_pressure[psig]`);
    `GET /v1/bulk/{calculation}` lists them. What holds for every row stands once in the address:
    `?refrigerant=R-410A&compressor=scroll&site.altitude[m]=250`. The whole body is read before anything is answered.
    `row` is the number of a row, from 0; in text that of its line behind the header, where blank lines count though
    they are no rows, and a line with line ends inside quotes counts once.
    """
    found = _known(calculation)
    takes, gives = _forms(request)
    beside = _beside(request, found)
    with ExitStack() as stack:
        folder = stack.enter_context(gate.gate().entered())
        await gate.received(request, folder)
        own = settings.current()
        job = work.Job(found.name, str(folder.path), takes, gives, own.rows_seconds, **beside)
        done = await gate.worked(job, folder)
        tail = work.END if gives == work.ARROW else b""
        return Spooled(done.head, folder.path / work.OUT, tail, _headers(done, gives), stack.pop_all())


router.add_api_route(
    "/bulk/{calculation}",
    bulk,
    methods=["POST"],
    operation_id="bulk",
    summary="Many rows through one calculation",
    responses=_RESPONSES,
    response_class=Response,
    openapi_extra={"requestBody": _BODY, "parameters": _QUERY},
    route_class_override=APIRoute,  # the body is no JSON for the framework to read
    max_body_size=settings.current().rows_body,
)


@catalogue(
    router, "/bulk/{calculation}", "The columns of a calculation over rows", responses=documented("unknown-name")
)
async def describe_bulk(calculation: Name) -> BulkDescriptionAnswer:
    """What `POST /v1/bulk/{calculation}` takes and answers: columns, units, and how many rows."""
    return BulkDescriptionAnswer(result=described(_known(calculation), gate.forms()), **RequestContext().notes())


@catalogue(router, "/limits", "How much the service takes")
async def limits() -> LimitsAnswer:
    """Sizes, counts and times beyond which a request is refused (413, 422, 408) or asked to come again (503)."""
    return LimitsAnswer(result=limits_in_force(), **RequestContext().notes())


def _known(name: str) -> Calculation:
    try:
        return find(name)
    except UnknownNameError as error:
        raise ProblemError(
            "unknown-name", f"{error.fault}; accepted: {', '.join(error.near or calculations())}"
        ) from None


def _forms(request: Request) -> tuple[str, str]:
    """What the body is, and what is answered."""
    takes, _, more = request.headers.get("content-type", "").partition(";")
    takes = takes.strip().lower()
    offered = gate.forms()
    if takes not in offered:
        raise ProblemError("unsupported-media-type", f"send {' or '.join(offered)}", {"Accept": ", ".join(offered)})
    stated = _CHARSET.search(more)
    if stated is not None and stated[1].lower() not in UTF_8:
        raise ProblemError("unsupported-media-type", "send the rows in UTF-8", {"Accept": ", ".join(offered)})
    if request.headers.get("content-encoding", "identity").strip().lower() != "identity":
        raise ProblemError("unsupported-media-type", "send the body uncompressed", {"Accept-Encoding": "identity"})
    others = [form for form in offered if form not in (takes, work.JSON)]
    return takes, chosen(request.headers.get("accept", "*/*"), [takes, *others])


def _beside(request: Request, found: Calculation) -> dict[str, Any]:
    """What the address says for every row, the columns to keep, the units of the answer, the first number."""
    given = request.query_params.multi_items()
    names = [name for name, _ in given]
    faults = [(name, "is given more than once; accepted: once") for name in sorted(set(names)) if names.count(name) > 1]
    faults += [(name, "is too long") for name, text in given if len(text) > LONGEST_PARAMETER]
    asked = dict(given)
    if (report_in := spelled(asked.get("report_in", "SI"))) not in words(SystemOfUnits):
        faults.append(("report_in", f"accepted: {', '.join(words(SystemOfUnits))}"))
    if not _WHOLE.fullmatch(first := asked.get("first_row", "0")):
        faults.append(("first_row", "accepted: a whole number of at most twelve digits"))
    if len(given) > MOST_PARAMETERS:
        faults = [("", f"more than {MOST_PARAMETERS} parameters")]
    if faults:
        errors = [FieldProblem(pointer=pointer(("query", name)), detail=text) for name, text in faults[:20]]
        raise ProblemError("invalid-input", f"{len(faults)} parameter(s) cannot be used", errors=errors)
    same = tuple((name, text) for name, text in asked.items() if name not in OWN)
    bind(found.request, [name for name, _ in same])
    keep = tuple(dict.fromkeys(filter(None, asked.get("keep", "").split(","))))
    return {"same": same, "keep": keep, "report_in": report_in, "first": int(first)}


def _headers(done: work.Done, gives: str) -> dict[str, str]:
    short = {name: done.notes[name] for name in ("rows", "failed", "errors", "assumptions", "model_version")}
    short |= {name: [note["id"] for note in done.notes[name]] for name in ("cautions", "sources")}
    counts = {"rows-total": str(done.rows), "rows-failed": str(done.failed), "vary": "Accept"}
    notes = {"rows-notes": json.dumps(short, separators=(",", ":"))}
    if len(notes["rows-notes"]) > MOST_NOTES:
        notes = {"rows-notes": json.dumps(short | {"assumptions": []}, separators=(",", ":"))}
    charset = "; charset=utf-8" if gives in (work.CSV, work.NDJSON) else ""
    return {**counts, **notes, "cache-control": "no-store", "content-type": gives + charset}
