"""Many rows over HTTP: forms, faults of the whole, limits, and what is left behind."""

import asyncio
import csv
import errno
import json
import tempfile
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.bulk import work
from witnessmark.api.bulk.gate import gate
from witnessmark.api.transport import Transport
from witnessmark.bulk.processes import DiedError
from witnessmark.bulk.spool import PREFIX

HEAD = "refrigerant,pressure[psig],temperature[degF]"
ROW = "R-410A,118,52"
CSV, NDJSON = {"content-type": "text/csv"}, {"content-type": "application/x-ndjson"}
PROBLEM = "application/problem+json"


class Here:
    """Stands for the pool of processes: the work is done in this one."""

    async def done(self, job: work.Job) -> Any:
        return work.worked(job)


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setattr(gate(), "pool", Here())
    monkeypatch.setattr(gate().spool, "place", tmp_path)
    return tmp_path


def ask(client: TestClient, body: Any, name: str = "superheat", headers: dict[str, str] = CSV) -> Any:
    return client.post(f"/v1/bulk/{name}", content=body, headers=headers)


def problem(response: Any, status: int, slug: str) -> Any:
    assert (response.status_code, response.headers["content-type"]) == (status, PROBLEM), response.text
    found = response.json()
    assert found["type"] == f"/problems/{slug}"
    return found


def test_rows_as_comma_separated_values(client: TestClient, here: Path) -> None:
    body = f"{HEAD},time\n{ROW},08:00\n\nR-410A,,52,08:01\nR-410A,118\n{ROW},\n"
    response = ask(client, body, "superheat?keep=time&report_in=IP&compressor=scroll")
    assert response.status_code == 200
    head, *rows = response.text.splitlines()
    assert head.startswith(
        "row,time,refrigerant,saturation_temperature[degF],saturation_temperature.uncertainty[delta_degF]"
    )
    assert head.endswith("error_code,error_message")
    assert [row.partition(",")[0] for row in rows] == ["0", "2", "3", "4"]  # the blank line counts, as in an editor
    cells = next(csv.reader(rows[0:1]))
    assert cells[1:4] == ["08:00", "R-410A", "39.84285927"]  # as the single request in the README
    assert "invalid-input" in rows[1]
    assert "unusable-input" in rows[2]
    assert response.headers["rows-total"] == "4"
    assert response.headers["rows-failed"] == "2"
    assert response.headers["cache-control"] == "no-store"
    notes = json.loads(response.headers["rows-notes"])
    assert notes["errors"] == {"invalid-input": 1, "unusable-input": 1}
    assert "licensed" in notes["cautions"]
    assert any("low side gauge" in text for text in notes["assumptions"])
    assert list(here.glob(f"{PREFIX}*")) == []
    assert gate().spool.used == gate().inside == 0


def test_another_form_is_answered_where_it_is_wanted(client: TestClient) -> None:
    response = ask(client, f"{HEAD}\n{ROW}\n", headers={**CSV, "accept": "application/x-ndjson"})
    notes, row = (json.loads(line) for line in response.text.splitlines())
    assert notes["notes"]["rows"] == 1
    assert {caution["id"] for caution in notes["notes"]["cautions"]} >= {"licensed"}
    assert row["verdict"] == "cannot tell"
    problem(ask(client, f"{HEAD}\n", headers={**CSV, "accept": "application/json"}), 406, "not-acceptable")
    problem(ask(client, f"{HEAD}\n", headers={**CSV, "accept": "text/html"}), 406, "not-acceptable")


def test_columns_of_json(client: TestClient) -> None:
    columns = {"pressure[psig]": [118, None], "temperature[degF]": [52, 52.5]}
    response = client.post("/v1/bulk/superheat?refrigerant=R-410A", json={"columns": columns})
    answer = response.json()
    assert answer["result"]["columns"]["margin[K]"] == [pytest.approx(12.157 / 1.8, abs=1e-3), None]
    assert answer["result"]["errors"] == {"invalid-input": 1}
    assert answer.keys() == {"result", "assumptions", "cautions", "sources", "uncertainty", "model_version"}


@pytest.mark.parametrize("media", ["text/csv", "application/x-ndjson", "application/vnd.apache.arrow.stream"])
def test_no_rows_are_no_rows(client: TestClient, media: str) -> None:
    import io  # noqa: PLC0415

    import pyarrow as pa  # noqa: PLC0415

    sink = io.BytesIO()
    fields = [pa.field("refrigerant", pa.string()), *(pa.field(n, pa.float64()) for n in HEAD.split(",")[1:])]
    pa.ipc.new_stream(sink, pa.schema(fields)).close()
    body = {"text/csv": HEAD.encode(), "application/x-ndjson": b""}.get(media, sink.getvalue())
    response = ask(client, body, headers={"content-type": media})
    assert (response.status_code, response.headers["rows-total"]) == (200, "0")
    if media.endswith("stream"):
        assert pa.ipc.open_stream(response.content).read_all().num_rows == 0


def test_a_stream_keeps_columns_and_says_what_holds_for_all(client: TestClient) -> None:
    import io  # noqa: PLC0415

    import pyarrow as pa  # noqa: PLC0415

    words = pa.array(["R-32", "R-32", None]).dictionary_encode()
    table = pa.table(
        {
            "refrigerant": words, "pressure[barg]": pa.array([8, 9, 8], pa.int16()),
            "temperature[degC]": pa.array([12.0, float("inf"), 11.0], pa.float32()), "on": [True, None, False],
            "time": pa.array([1, 2, 3], pa.timestamp("s")),
        }
    )  # fmt: skip
    sink = io.BytesIO()
    with pa.ipc.new_stream(sink, table.schema) as stream:
        stream.write_table(table)
    response = ask(
        client, sink.getvalue(), "superheat?keep=time,on", {"content-type": "application/vnd.apache.arrow.stream"}
    )
    found = pa.ipc.open_stream(response.content).read_all()
    assert found.schema.field("time").type == pa.timestamp("s")
    assert found["on"].to_pylist() == [True, None, False]
    assert found["error_code"].to_pylist() == [None, "invalid-input", "invalid-input"]
    assert json.loads(found.schema.metadata[b"witnessmark"])["failed"] == 2
    kinds = {str(field.type) for field in found.schema}
    assert not any(kind.startswith("uint") for kind in kinds)


BAD = [
    ("superheat", "text/csv", b"", 422, "malformed-rows"),
    ("superheat", "text/csv", b"\xff\xfe\n", 422, "malformed-rows"),
    ("superheat", "text/csv", b'"a\n', 422, "malformed-rows"),
    ("superheat", "text/csv", b"a;b\n", 422, "malformed-rows"),
    ("superheat", "text/csv", b"x" * 2_000_000, 422, "malformed-rows"),
    ("superheat", "text/csv", f"{HEAD}\n".encode() + b"x" * 4_000_000, 422, "malformed-rows"),
    ("superheat", "text/csv", b"presure[psig],temperature[degF]\n", 422, "unusable-columns"),
    ("superheat", "text/csv", b"pressure,temperature[degF]\n", 422, "unusable-columns"),
    ("superheat", "text/csv", b"pressure[psi],temperature[degF]\n", 422, "unusable-columns"),
    ("superheat", "text/csv", b"refrigerant[psi],temperature[degF]\n", 422, "unusable-columns"),
    ("superheat", "text/csv", b"pressure[psig],temperature[degF]\n", 422, "unusable-columns"),
    ("superheat", "text/csv", f"{HEAD},refrigerant\n".encode(), 422, "unusable-columns"),
    ("superheat", "text/csv", f"{HEAD},maker.low.uncertainty[K]\n".encode(), 422, "unusable-columns"),
    ("superheat?refrigerant=R-32", "text/csv", f"{HEAD}\n{ROW}\n".encode(), 422, "unusable-columns"),
    ("superheat?nothing=1", "text/csv", f"{HEAD}\n".encode(), 422, "unusable-columns"),
    ("superheat?keep=a&keep=b", "text/csv", f"{HEAD}\n".encode(), 422, "invalid-input"),
    ("superheat?keep=a", "text/csv", f"{HEAD}\n".encode(), 422, "unusable-columns"),
    ("superheat?keep=margin[K]", "text/csv", f"{HEAD},margin[K]\n".encode(), 422, "unusable-columns"),
    ("superheat?report_in=metric", "text/csv", f"{HEAD}\n".encode(), 422, "invalid-input"),
    (f"superheat?place={'x' * 300}", "text/csv", f"{HEAD}\n".encode(), 422, "invalid-input"),
    (f"superheat?{'&'.join(f'a{k}=1' for k in range(99))}", "text/csv", b"", 422, "invalid-input"),
    ("superheat", "application/json", b"{", 400, "malformed-json"),
    ("superheat", "application/json", b"[" * 100_000, 400, "malformed-json"),
    ("superheat", "application/json", b"[]", 422, "invalid-input"),
    ("superheat", "application/json", b'{"columns":{}}', 422, "invalid-input"),
    ("superheat", "application/json", b'{"columns":{"a":1}}', 422, "invalid-input"),
    ("superheat", "application/json", b'{"columns":{"a":[1],"b":[]}}', 422, "unusable-columns"),
    ("superheat?keep=verdict", "application/x-ndjson", b"{}", 422, "unusable-columns"),
    ("superheat", "application/x-ndjson", b"x" * 4_000_000, 422, "malformed-rows"),
    ("superheat", "application/vnd.apache.arrow.stream", b"", 422, "malformed-rows"),
    ("superheat", "application/vnd.apache.arrow.stream", b"\xff\xff\xff\xff\x10\x00\x00\x00ab", 422, "malformed-rows"),
    ("superheat", "text/plain", b"", 415, "unsupported-media-type"),
    ("magic", "text/csv", b"", 404, "unknown-name"),
]  # fmt: skip


@pytest.mark.parametrize("case", BAD, ids=range(len(BAD)))
def test_a_body_that_cannot_be_used_is_a_problem(
    client: TestClient, here: Path, case: tuple[str, str, bytes, int, str]
) -> None:
    name, media, body, status, slug = case
    problem(ask(client, body, name, {"content-type": media}), status, slug)
    assert list(here.iterdir()) == []


def test_packed_bodies_are_415(client: TestClient) -> None:
    problem(ask(client, b"", headers={**CSV, "content-encoding": "gzip"}), 415, "unsupported-media-type")


def test_lines_that_are_no_row_have_their_own_error(client: TestClient) -> None:
    good = {"refrigerant": "R-410A", "pressure[psig]": 118, "temperature[degF]": 52}
    lines = [
        b"{", b"[1]", b"3", b"null", b'{"a":1,"a":2}', b"\xff", b"[" * 20_000, json.dumps(good).encode(),
        b'{"refrigerant":"R-410A","pressure[psi]":118}', b'{"pressure":{"value":"1","unit":"psig"}}',
        b'{"pressure":{"value":1,"unit":7}}', b'{"pressure":{"value":1,"unit":"psig","more":1}}',
        b'{"pressure.uncertainty[psi]":1}', b'{"maker":{"low":{"value":1,"unit":"K"},"document":7}}',
        b'{"site":{"x":1}}',
        json.dumps({**good, "pressure": {"value": 1, "unit": "psig"}}).encode(),
        b'{"pressure":{"value":1,"unit":"pssig"}}',
    ]  # fmt: skip
    response = ask(client, b"\r\n".join(lines), headers=NDJSON)
    rows = [json.loads(line) for line in response.text.splitlines()[1:]]
    assert len(rows) == len(lines)
    assert [row["row"] for row in rows if row["error_code"] is None] == [7]
    assert response.headers["rows-failed"] == str(len(lines) - 1)


def test_too_many_rows_and_too_large_bodies(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    many = {"columns": {"pressure[psig]": [118] * 10_001, "temperature[degF]": [52] * 10_001}}
    found = problem(client.post("/v1/bulk/superheat?refrigerant=R-32", json=many), 413, "content-too-large")
    assert "10000" in found["detail"]
    limit = next(r for r in app.router.routes if getattr(r, "operation_id", "") == "bulk").max_body_size  # type: ignore[attr-defined]
    response = ask(client, b"", headers={**CSV, "content-length": str(limit + 1)})
    assert str(limit) in problem(response, 413, "content-too-large")["detail"]
    monkeypatch.setattr(gate().spool, "most", 10)
    assert ask(client, f"{HEAD}\n{ROW}\n").headers["retry-after"] == "10"
    problem(ask(client, f"{HEAD}\n{ROW}\n"), 503, "unavailable")
    monkeypatch.setattr(gate().spool, "most", 400)  # the body fits, the answer does not
    problem(ask(client, f"{HEAD}\n" + f"{ROW}\n" * 20), 503, "unavailable")


def test_bodies_larger_than_those_of_other_operations_are_taken(client: TestClient) -> None:
    body = f"{HEAD}\n" + f"{ROW}\n" * 100_000
    assert len(body) > 1_000_000
    response = ask(client, body)
    assert response.headers["rows-total"] == "100000"
    assert response.text.count("\n") == 100_001


def test_only_so_many_at_once(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gate(), "most", 0)
    problem(ask(client, f"{HEAD}\n{ROW}\n"), 503, "unavailable")


def test_work_that_takes_too_long_or_dies(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    class Dying:
        async def done(self, _job: work.Job) -> Any:
            raise DiedError

    def crash(_job: work.Job) -> Any:
        raise ZeroDivisionError

    late = work.worked
    monkeypatch.setattr(work, "_READERS", {"text/csv": lambda *_: crash(_[0])})
    problem(ask(client, f"{HEAD}\n{ROW}\n"), 500, "internal-error")
    monkeypatch.undo()
    found = late(work.Job("superheat", "/nowhere", "text/csv", "text/csv", 1.0))
    assert isinstance(found, work.Refused)
    monkeypatch.setattr(gate(), "pool", Dying())
    problem(ask(client, f"{HEAD}\n{ROW}\n"), 503, "unavailable")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("file", ["IN", "OUT"])
def test_a_full_disk_is_503_and_the_next_request_is_answered(
    client: TestClient, here: Path, file: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as full:
        full.setattr(work, file, "/dev/full")
        found = problem(ask(client, f"{HEAD}\n{ROW}\n"), 503, "unavailable")
    assert found["detail"] == work.NO_ROOM
    assert (gate().spool.used, gate().inside, list(here.glob(f"{PREFIX}*"))) == (0, 0, [])
    assert ask(client, f"{HEAD}\n{ROW}\n").status_code == 200


def test_a_disk_without_room_for_a_folder_is_503(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(**_: object) -> str:
        raise OSError(errno.ENOSPC, "no space")

    monkeypatch.setattr(tempfile, "mkdtemp", refuse)
    problem(ask(client, f"{HEAD}\n{ROW}\n"), 503, "unavailable")
    assert gate().inside == 0


def test_time_is_bounded(tmp_path: Path) -> None:
    (tmp_path / work.IN).write_text(f"{HEAD}\n{ROW}\n")
    found = work.worked(work.Job("superheat", str(tmp_path), "text/csv", "text/csv", -1.0))
    assert isinstance(found, work.Refused)
    assert found.slug == "too-much-work"


def test_who_goes_leaves_nothing(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The caller closes the connection while the work is under way: it is ended, and its folder is gone."""
    ended: list[bool] = []

    class Slow:
        async def done(self, _job: work.Job) -> Any:
            try:
                await asyncio.sleep(60)
            finally:
                ended.append(True)

    monkeypatch.setattr(gate(), "pool", Slow())
    messages = iter(
        [{"type": "http.request", "body": f"{HEAD}\n{ROW}\n".encode(), "more_body": False}, {"type": "http.disconnect"}]
    )
    sent: list[Any] = []

    async def receive() -> Any:
        return next(messages)

    async def send(message: Any) -> None:
        sent.append(message)

    headers = [(b"host", b"x"), (b"content-type", b"text/csv")]
    scope = {
        "type": "http", "method": "POST", "path": "/v1/bulk/superheat", "query_string": b"", "headers": headers,
    }  # fmt: skip
    asyncio.run(Transport(app)(scope, receive, send))
    assert (ended, sent, list(here.iterdir())) == ([True], [], [])
    assert gate().inside == gate().spool.used == 0


def test_who_goes_before_the_body_came(here: Path) -> None:
    messages = iter([{"type": "http.request", "body": b"a", "more_body": True}, {"type": "http.disconnect"}])
    sent: list[Any] = []

    async def receive() -> Any:
        return next(messages)

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/v1/bulk/superheat", "query_string": b"",
        "headers": [(b"content-type", b"text/csv")],
    }  # fmt: skip
    asyncio.run(Transport(app)(scope, receive, send))
    assert (sent, list(here.iterdir())) == ([], [])


def test_columns_are_described(client: TestClient) -> None:
    found = client.get("/v1/bulk/superheat").json()["result"]
    takes = {column["name"]: column for column in found["takes"]}
    assert takes["pressure"]["required"]
    assert "psig" in takes["pressure"]["units"]
    assert takes["compressor"]["kind"] == "word"
    assert [column["name"] for column in found["gives"]][:3] == ["row", "refrigerant", "saturation_temperature[degC]"]
    assert found["left_out"] == ["limits"]
    problem(client.get("/v1/bulk/magic"), 404, "unknown-name")


def test_limits_are_told(client: TestClient) -> None:
    found = client.get("/v1/limits").json()["result"]
    assert found["rows"]["superheat"] == 10_000_000
    assert found["lists"]["dispatch.calls"] == 200
    assert found["rows_as_json"] == work.MOST_JSON_ROWS
