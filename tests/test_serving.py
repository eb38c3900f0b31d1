"""How the service is run: log lines, server settings, the slow sender, and an orderly stop of the real process."""

from __future__ import annotations

import json
import logging
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import structlog
import uvicorn

from witnessmark import serving, settings
from witnessmark.api.app import app, asgi
from witnessmark.api.edge import logs, metrics, server
from witnessmark.api.transport import BODY_SECONDS, Transport
from witnessmark.demo.server import free_port, wait_until_ready
from witnessmark.settings import Settings, read

EXAMPLES = Path(__file__).parents[1] / "openapi" / "examples"
LOOPBACK = "127.0.0.1"
PATIENCE = 60.0


@pytest.fixture
def logged() -> Iterator[None]:
    """Logging as the service configures it, for one test."""
    logs.configure()
    yield
    structlog.reset_defaults()
    logging.captureWarnings(capture=False)
    logging.basicConfig(handlers=[], force=True)


def lines(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


@pytest.mark.usefixtures("logged")
def test_an_event_is_one_json_line_with_level_and_utc_time(capsys: pytest.CaptureFixture[str]) -> None:
    with structlog.contextvars.bound_contextvars(route="/v1/superheat"):
        structlog.get_logger("test").info("request", status=200, text="two\nlines")
    (line,) = lines(capsys.readouterr().out)
    moment = datetime.fromisoformat(line.pop("timestamp"))
    assert moment.utcoffset() == timedelta(0)
    assert line == {
        "event": "request", "level": "info", "route": "/v1/superheat", "status": 200, "text": "two\nlines",
    }  # fmt: skip


@pytest.mark.usefixtures("logged")
def test_details_for_developers_are_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    structlog.get_logger("test").debug("detail")
    assert capsys.readouterr().out == ""


@pytest.mark.usefixtures("logged")
def test_a_fault_is_logged_with_its_place_on_the_same_line(capsys: pytest.CaptureFixture[str]) -> None:
    try:
        int("a fault")
    except ValueError as error:
        structlog.get_logger("test").error("crash", exc_info=error)
    (line,) = lines(capsys.readouterr().out)
    assert line["level"] == "error"
    assert "ValueError" in line["exception"]
    assert "test_serving.py" in line["exception"]
    assert "a fault" not in line["exception"]  # the words of a fault may repeat what a caller sent


@pytest.mark.usefixtures("logged")
@pytest.mark.parametrize(
    ("level", "told"), [("info", ["a", "b", "c", "d", "e"]), ("warning", ["b", "c", "d", "e"]), ("error", ["c", "e"])]
)
def test_what_is_below_the_level_is_not_logged(
    level: str, told: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "current", lambda: Settings(log_level=level))
    serving.application()
    own, library = structlog.get_logger("test"), logging.getLogger("some.library")
    own.info("a")
    own.warning("b")
    own.error("c")
    library.warning("d")
    library.error("e")
    assert [line["event"] for line in lines(capsys.readouterr().out)] == told


@pytest.mark.usefixtures("logged")
def test_a_library_s_line_is_json_too(capsys: pytest.CaptureFixture[str]) -> None:
    logs.configure()  # anew, to the output of this test
    logging.getLogger("uvicorn.error").error("two\nlines")
    (line,) = lines(capsys.readouterr().out)
    assert (line["event"], line["level"], line["logger"]) == ("two\nlines", "error", "uvicorn.error")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_line_that_cannot_be_written_is_lost_and_counted(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    lines_out, kept = logs.Lines(), tmp_path / "log"
    before = metrics.lines_lost._value.get()  # noqa: SLF001
    with Path("/dev/full").open("w") as full, kept.open("w") as sound:
        for file, text in ((full, "one\n"), (full, "two\n"), (sound, "thrée\n"), (sound, "four\n")):
            monkeypatch.setattr(sys, "stdout", file)
            lines_out.write(text)
            lines_out.flush()
        monkeypatch.undo()
    assert metrics.lines_lost._value.get() - before == 2  # noqa: SLF001
    assert kept.read_text("utf-8") == "\nthrée\nfour\n"


@pytest.mark.usefixtures("logged")
def test_what_led_to_a_fault_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    try:
        try:
            int("a")
        except ValueError as error:
            raise KeyError from error
    except KeyError:
        structlog.get_logger("test").exception("crash")
    (line,) = lines(capsys.readouterr().out)
    assert [part.split(" ")[0] for part in line["exception"].split(" <- ")] == ["KeyError", "ValueError"]


@pytest.mark.parametrize(("host", "port", "workers"), [("127.0.0.1", 8000, 1), ("::1", 65535, 4)])
def test_the_server_knows_every_setting(host: str, port: int, workers: int) -> None:
    given = serving.server_settings(Settings(host=host, port=port, workers=workers))
    config = uvicorn.Config("witnessmark.serving:application", factory=True, **given)  # type: ignore[arg-type]
    assert (config.host, config.port, config.workers) == (host, port, workers)
    assert {key: getattr(config, key) for key in given} == given


def test_the_server_tells_little_and_drains_within_a_bound() -> None:
    given = serving.server_settings(Settings())
    assert given["access_log"] is False
    assert given["server_header"] is False
    assert given["timeout_graceful_shutdown"] == Settings().drain_seconds > 0
    assert Settings().pause_seconds + Settings().drain_seconds < 10  # after which a container is killed


def test_a_worker_configures_logging_and_takes_the_outermost_application() -> None:
    structlog.reset_defaults()  # capturing lines in another test counts as configuring
    try:
        assert serving.application() is asgi
        assert structlog.is_configured()
    finally:
        structlog.reset_defaults()


@pytest.mark.usefixtures("logged")
def test_serve_gives_the_server_the_factory_and_the_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[uvicorn.Config] = []
    shared: list[bool] = []

    def noted(config: uvicorn.Config) -> int:
        runs.append(config)
        shared.append(Path(os.environ["PROMETHEUS_MULTIPROC_DIR"]).is_dir())
        return 0

    asked = Settings(host="::1", port=8080, workers=3)
    monkeypatch.setattr(os, "environ", dict(os.environ))
    os.environ.pop("OPENBLAS_NUM_THREADS", None)
    monkeypatch.setattr(server, "run", noted)
    assert serving.serve(asked) == 0
    (config,) = runs
    given = serving.server_settings(asked)
    assert {key: getattr(config, key) for key in given} == given
    module, _, attribute = str(config.app).partition(":")
    assert getattr(sys.modules[module], attribute) is serving.application
    assert os.environ["OPENBLAS_NUM_THREADS"] == "1"
    assert read(os.environ, {}) == asked  # what a worker process reads
    assert shared == [True]
    assert not Path(os.environ["PROMETHEUS_MULTIPROC_DIR"]).exists()
    os.environ["OPENBLAS_NUM_THREADS"] = "3"
    serving.serve(asked)
    assert os.environ["OPENBLAS_NUM_THREADS"] == "3"
    settings.current.cache_clear()


@contextmanager
def listening(body_seconds: float) -> Iterator[int]:
    """Port of a server in this process, with the service's settings and its own patience for a body."""
    config = uvicorn.Config(Transport(app, body_seconds), **serving.server_settings(Settings()))  # type: ignore[arg-type]
    running = uvicorn.Server(config)
    with closing(socket.create_server((LOOPBACK, 0))) as door:
        thread = threading.Thread(target=running.run, kwargs={"sockets": [door]}, daemon=True)
        thread.start()
        try:
            yield door.getsockname()[1]
        finally:
            running.should_exit = True
            thread.join(PATIENCE)


def head(length: int, *more: str) -> bytes:
    """The head of a request for superheat whose body has this length."""
    fields = [f"Host: {LOOPBACK}", "Content-Type: application/json", f"Content-Length: {length}", *more]
    return "\r\n".join(["POST /v1/superheat HTTP/1.1", *fields, "", ""]).encode()


def until_closed(connection: socket.socket) -> bytes:
    """All that comes until the other side closes."""
    parts = []
    while part := connection.recv(65_536):
        parts.append(part)
    return b"".join(parts)


def drip(connection: socket.socket, stop: threading.Event) -> None:
    """A blank every 20 ms until told to stop or refused."""
    try:
        while not stop.wait(0.02):
            connection.sendall(b" ")
    except OSError:
        return


@pytest.mark.parametrize("dripping", [True, False], ids=["a drop now and then", "nothing at all"])
def test_a_body_that_does_not_come_is_408_and_the_connection_closed(*, dripping: bool) -> None:
    with listening(0.3) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(head(100_000))
        stop = threading.Event()
        if not dripping:
            stop.set()
        sender = threading.Thread(target=drip, args=(connection, stop))
        sender.start()
        try:
            start, _, body = connection.recv(65_536).partition(b"\r\n\r\n")
        finally:
            stop.set()
            sender.join()
    assert start.startswith(b"HTTP/1.1 408 ")
    assert b"connection: close" in start.lower()
    assert b"x-content-type-options: nosniff" in start
    assert body == b"" or json.loads(body)["type"] == "/problems/request-timeout"


def test_a_body_in_two_pieces_within_the_time_is_answered() -> None:
    body = (EXAMPLES / "superheat.json").read_bytes()
    with listening(BODY_SECONDS) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(head(len(body), "Expect: 100-continue", "Connection: close"))
        assert connection.recv(65_536).startswith(b"HTTP/1.1 100 ")
        connection.sendall(body[:40])
        connection.sendall(body[40:])
        answer = until_closed(connection)
    assert answer.startswith(b"HTTP/1.1 422 ")  # a file of named examples is no request: read to its end, and judged
    assert b"/problems/invalid-input" in answer


def exchange(port: int, request: bytes) -> tuple[str, dict[str, str], bytes]:
    """Status line, fields and body of the answer to these bytes."""
    with socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(request)
        start, _, body = until_closed(connection).partition(b"\r\n\r\n")
    line, *fields = start.decode().split("\r\n")
    return line, {n.lower(): v for n, _, v in (f.partition(": ") for f in fields)}, body


NO_REQUESTS = {
    "no Host": b"GET /livez HTTP/1.1\r\n\r\n",
    "two Hosts": b"GET /livez HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n",
    "HTTP/0.9": b"GET /livez\r\n\r\n",
    "HTTP/2.0": b"GET /livez HTTP/2.0\r\nHost: x\r\nConnection: close\r\n\r\n",
    "two blanks": b"GET  /livez HTTP/1.1\r\nHost: x\r\n\r\n",
    "blank before the colon": b"GET /livez HTTP/1.1\r\nHost : x\r\n\r\n",
    "NUL in a field": b"GET /livez HTTP/1.1\r\nHost: x\r\nA: b\0c\r\n\r\n",
    "two lengths": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n",
    "signed length": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nContent-Length: +5\r\n\r\n",
    "coding before chunked": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: gzip, chunked\r\n\r\n",
    "negative length": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n",
    "chunk without size": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
    "length and chunks": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\n"
    b"Transfer-Encoding: chunked\r\n\r\n"
    b"0\r\n\r\nGET /livez HTTP/1.1\r\nHost: x\r\n\r\n",
    "chunks and length": b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\ntransfer-encoding: Chunked\r\n"
    b"CONTENT-LENGTH: 2\r\n\r\n"
    b"0\r\n\r\nGET /livez HTTP/1.1\r\nHost: x\r\n\r\n",
    "chunks of HTTP/1.0": b"POST /v1/superheat HTTP/1.0\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    "start of another protocol": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n",
}


@pytest.mark.parametrize("request_bytes", NO_REQUESTS.values(), ids=NO_REQUESTS)
def test_what_is_no_request_is_a_problem_too(request_bytes: bytes) -> None:
    with listening(BODY_SECONDS) as port:
        line, fields, body = exchange(port, request_bytes)
    problem = json.loads(body)
    assert line.startswith("HTTP/1.1 400 ")
    assert (fields["content-type"], fields["connection"]) == ("application/problem+json", "close")
    assert int(fields["content-length"]) == len(body)
    assert (problem["type"], problem["status"]) == ("/problems/malformed-request", 400)


LONG_HEADS: dict[str, Callable[[int], bytes]] = {
    "one field": lambda size: b"A: " + b"x" * (size - 5) + b"\r\n",
    "many fields": lambda size: b"".join(b"A%04d: %s\r\n" % (k, b"x" * 92) for k in range(size // 100)),
    "blanks": lambda size: b"A:" + b" " * (size - 5) + b"x\r\n",
}


@pytest.mark.parametrize("fields", LONG_HEADS.values(), ids=LONG_HEADS)
@pytest.mark.parametrize("size", [33_500, 40_000, 70_000])
def test_a_head_beyond_the_limit_is_refused_though_it_comes_at_once(fields: Callable[[int], bytes], size: int) -> None:
    with listening(BODY_SECONDS) as port:
        line, said, body = exchange(port, b"GET /livez HTTP/1.1\r\nHost: x\r\n" + fields(size) + b"\r\n")
    assert line.startswith("HTTP/1.1 431 ")
    assert said["connection"] == "close"
    assert json.loads(body)["type"] == "/problems/head-too-large"


def test_a_head_within_the_limit_and_trailers_beyond_it() -> None:
    with listening(BODY_SECONDS) as port:
        line, _, _ = exchange(port, b"GET /livez HTTP/1.1\r\nHost: x\r\n" + b"a:b\r\n" * 300 + b"\r\n")
        assert line.startswith("HTTP/1.1 431 ")
        fits = b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n" + LONG_HEADS["one field"](32_000) + b"\r\n"
        assert exchange(port, fits)[0] == "HTTP/1.1 200 OK"
        begun = b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n"
        assert exchange(port, begun + LONG_HEADS["many fields"](40_000) + b"\r\n")[0].startswith("HTTP/1.1 431 ")


def test_a_whole_address_as_the_target_is_its_path() -> None:
    with listening(BODY_SECONDS) as port:
        for target in (b"http://a/livez", b"HTTP://a:80/livez?x=1"):
            request = b"GET %s HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n" % target
            assert exchange(port, request)[0] == "HTTP/1.1 200 OK"
        nowhere = b"GET http://a/nowhere HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n"
        assert exchange(port, nowhere)[0].startswith("HTTP/1.1 404 ")


@pytest.mark.parametrize("protocol", ["websocket", "h2c"])
@pytest.mark.parametrize("pieces", [1, 3])
def test_an_offer_to_change_the_protocol_is_passed_over(
    protocol: str, pieces: int, caplog: pytest.LogCaptureFixture
) -> None:
    """With its body: HTTP/2 clients send their first POST with such an offer."""
    example = next(iter(json.loads((EXAMPLES / "superheat.json").read_bytes()).values()))
    body = json.dumps(example["value"]).encode()
    offer = head(len(body), "Connection: Upgrade, HTTP2-Settings", f"upgrade: {protocol}", "HTTP2-Settings: AAMAAABk")
    again = head(len(body), "Connection: close")
    with listening(BODY_SECONDS) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(offer + body[:pieces])
        connection.sendall(body[pieces:] + again + body)
        answers = until_closed(connection)
    assert answers.count(b"HTTP/1.1 200 OK") == 2
    assert answers.count(example["value"]["refrigerant"].encode()) >= 2
    assert caplog.records == []


def refuses(port: int) -> bool:
    try:
        socket.create_connection((LOOPBACK, port), timeout=1).close()
    except ConnectionRefusedError:
        return True
    return False


@contextmanager
def started(port: int, *flags: str) -> Iterator[subprocess.Popen[bytes]]:
    """The real process, ready for work; killed at the end if it still runs."""
    command = [sys.executable, "-m", "witnessmark.cli", "serve", "--port", str(port), *flags]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:  # noqa: S603
        try:
            wait_until_ready(f"http://{LOOPBACK}:{port}", process, 2 * PATIENCE)
            yield process
        finally:
            process.kill()


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGTERM to send")
def test_told_to_stop_it_refuses_new_work_and_finishes_what_it_has() -> None:
    """The server asks for the body with 100 Continue (RFC 9110, 10.1.1): from then on the request is in its hands."""
    port, example = free_port(), next(iter(json.loads((EXAMPLES / "superheat.json").read_bytes()).values()))
    body = json.dumps(example["value"]).encode()
    with started(port) as process, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(head(len(body), "Expect: 100-continue"))
        assert connection.recv(65_536).startswith(b"HTTP/1.1 100 ")
        process.send_signal(signal.SIGTERM)
        while not refuses(port):
            assert process.poll() is None
            time.sleep(0.01)
        connection.sendall(body)
        answer = until_closed(connection)
        out, err = process.communicate(timeout=PATIENCE)
    assert answer.startswith(b"HTTP/1.1 200 ")
    assert json.loads(answer.partition(b"\r\n\r\n")[2])["result"]["refrigerant"] == example["value"]["refrigerant"]
    assert process.returncode == 0
    first, *others = lines(out.decode())
    *_, last, stopped = others
    assert stopped["event"] == "stopped"
    assert [line["event"] for line in others if line["event"] != "request"] == ["ready", "draining", "stopped"]
    assert (first["event"], first["url"]) == ("starting", f"http://{LOOPBACK}:{port}")
    assert first["reference"] == f"{first['url']}/docs"
    assert (last["event"], last["route"], last["status"]) == ("request", "/v1/superheat", 200)
    assert err == b""


def test_a_head_too_large_is_431_and_small_heads_are_many() -> None:
    with listening(BODY_SECONDS) as port:
        line, fields, body = exchange(port, b"GET /livez HTTP/1.1\r\nHost: x\r\n" + b"a:b\r\n" * 20_000)
        assert line.startswith("HTTP/1.1 431 ")
        assert (json.loads(body)["type"], fields["connection"]) == ("/problems/head-too-large", "close")
        fits = b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\nA: " + b"b" * 20_000 + b"\r\n\r\n"
        line, _, _ = exchange(port, fits)
        assert line.startswith("HTTP/1.1 200 ")


def test_trailers_are_bounded_too() -> None:
    fields = b"Host: x\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    start = b"POST /v1/superheat HTTP/1.1\r\n" + fields
    with listening(BODY_SECONDS) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        with suppress(ConnectionError):
            connection.sendall(start + b"2\r\n{}\r\n0\r\n" + b"a: b\r\n" * 100_000)
        with suppress(ConnectionError):
            until_closed(connection)


@pytest.fixture
def hurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Heads have 0.2 s, and there are at most ten connections."""
    monkeypatch.setattr(settings, "current", lambda: Settings(head_seconds=0.2, most_connections=10))


@pytest.mark.usefixtures("hurried")
@pytest.mark.parametrize("start", [b"", b"GET /livez HTTP/1.1\r\nHost: x\r\nA: b"], ids=["idle", "half a head"])
def test_a_head_that_does_not_come_ends_the_connection(start: bytes) -> None:
    with listening(BODY_SECONDS) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(start)
        stop = threading.Event()
        dripping = threading.Thread(target=drip if start else stop.wait, args=(connection, stop) if start else (0,))
        dripping.start()
        begun = time.monotonic()
        with suppress(ConnectionError):
            assert until_closed(connection) == b""
        assert time.monotonic() - begun < PATIENCE / 2
        stop.set()
        dripping.join()


@pytest.mark.usefixtures("hurried")
def test_a_second_head_has_its_time_too() -> None:
    with listening(BODY_SECONDS) as port, socket.create_connection((LOOPBACK, port), timeout=PATIENCE) as connection:
        connection.sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
        assert connection.recv(65_536).startswith(b"HTTP/1.1 200 ")
        connection.sendall(b"GET /li")
        with suppress(ConnectionError):
            assert until_closed(connection) == b""


@pytest.mark.usefixtures("hurried")
def test_one_connection_too_many_is_told_so() -> None:
    with listening(BODY_SECONDS) as port, ExitStack() as stack:
        for _ in range(10):
            at_work = stack.enter_context(socket.create_connection((LOOPBACK, port), timeout=PATIENCE))
            at_work.sendall(b"POST /v1/superheat HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n")
            at_work.sendall(b"Content-Length: 9\r\nExpect: 100-continue\r\n\r\n")
            assert b"100" in at_work.recv(65_536)
        one_more = stack.enter_context(socket.create_connection((LOOPBACK, port), timeout=PATIENCE))
        start, _, body = until_closed(one_more).partition(b"\r\n\r\n")
    assert start.startswith(b"HTTP/1.1 503 ")
    assert json.loads(body)["type"] == "/problems/unavailable"


def test_a_connection_that_waits_makes_room_for_a_new_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "current", lambda: Settings(most_connections=10))
    with listening(BODY_SECONDS) as port, ExitStack() as stack:
        first, *_ = [
            stack.enter_context(socket.create_connection((LOOPBACK, port), timeout=PATIENCE)) for _ in range(10)
        ]
        line, _, _ = exchange(port, b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        assert line.startswith("HTTP/1.1 200 ")
        assert until_closed(first) == b""


def send_on(connection: socket.socket, asked: bytes) -> None:
    for _ in range(1000):
        connection.sendall(asked * 100)
        time.sleep(0.01)


def test_an_answer_that_nobody_takes_ends_the_connection(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "current", lambda: Settings(body_seconds=0.2))
    with listening(PATIENCE) as port, socket.socket() as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        connection.settimeout(PATIENCE)
        connection.connect((LOOPBACK, port))
        asked = b"GET /v1/findings HTTP/1.1\r\nHost: x\r\n\r\n"
        connection.sendall(asked * 40)
        time.sleep(1.0)
        with pytest.raises(ConnectionError):
            send_on(connection, asked)


@pytest.mark.parametrize("host", ["a b", "<script>@/?#", "a, b", "ü", "a:99999999", "[::1"])
def test_a_host_that_is_none_is_refused(host: str) -> None:
    with listening(BODY_SECONDS) as port:
        line, _, _ = exchange(port, b"GET /livez HTTP/1.1\r\nHost: " + host.encode() + b"\r\n\r\n")
    assert line.startswith("HTTP/1.1 400 ")


@pytest.mark.parametrize("host", ["", "x", "x.example:8000", "[::1]:80", "127.0.0.1"])
def test_hosts_by_name_and_address_are_taken(host: str) -> None:
    with listening(BODY_SECONDS) as port:
        asked = b"GET /livez HTTP/1.1\r\nHost: " + host.encode() + b"\r\nConnection: close\r\n\r\n"
        assert exchange(port, asked)[0].startswith("HTTP/1.1 200 ")


def test_chunks_of_one_byte_are_refused_and_lines_of_rows_are_not() -> None:
    fields = b"Host: x\r\nContent-Type: application/json\r\nConnection: close\r\nTransfer-Encoding: chunked\r\n\r\n"
    with listening(PATIENCE) as port:
        start = b"POST /v1/superheat HTTP/1.1\r\n" + fields
        line, _, body = exchange(port, start + b"1\r\n \r\n" * 20_000)
        assert (line[9:12], json.loads(body)["type"]) == ("400", "/problems/malformed-request")
        line, _, _ = exchange(port, start + (b"14\r\n" + b" " * 20 + b"\r\n") * 5000 + b"2\r\n{}\r\n0\r\n\r\n")
        assert line[9:12] == "422"


SLOW = {
    "refrigerant": "R-448A", "compressor": "rotary",
    "suction_pressure": {"value": 2100, "unit": "kPag", "uncertainty": 8},
    "discharge_pressure": {"value": 2650, "unit": "kPag", "uncertainty": 1e-6},
    "evaporating_temperature": {"value": 0.5, "unit": "degC", "uncertainty": 0.5},
    "condensing_temperature": {"value": 66.0, "unit": "degC", "uncertainty": 100},
    "suction_temperature": {"value": 14, "unit": "degC", "uncertainty": 0.6},
    "discharge_temperature": {"value": 138.0, "unit": "degC", "uncertainty": 0.1},
    "liquid_temperature": {"value": 38, "unit": "degC", "uncertainty": 0.6},
    "mass_flow": {"value": 300, "unit": "kg/h"}, "power": {"value": 1.75, "unit": "kW"},
    "displacement": {"value": 30.5, "unit": "cm3"}, "speed": {"value": 60, "unit": "Hz"},
}  # fmt: skip
"""Readings that contradict each other: the dearest request found for its size, a second of processor time."""


def slow() -> bytes:
    body = json.dumps(SLOW).encode()
    return head(len(body)).replace(b"/v1/superheat", b"/v1/cycle") + body


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_with_its_log_on_a_full_disk_it_starts_answers_and_stops_in_order() -> None:
    port, example = free_port(), next(iter(json.loads((EXAMPLES / "superheat.json").read_bytes()).values()))
    body = json.dumps(example["value"]).encode()
    command = [sys.executable, "-m", "witnessmark.cli", "serve", "--port", str(port), "--pause-seconds", "0"]
    with (
        Path("/dev/full").open("wb") as full,
        subprocess.Popen(command, stdout=full, stderr=subprocess.PIPE) as process,  # noqa: S603
    ):
        wait_until_ready(f"http://{LOOPBACK}:{port}", process, 2 * PATIENCE)
        line, _, _ = exchange(port, head(len(body), "Connection: close") + body)
        _, _, counts = exchange(port, b"GET /metrics HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        process.send_signal(signal.SIGTERM)
        _, err = process.communicate(timeout=PATIENCE)
    assert line.startswith("HTTP/1.1 200 ")
    assert float(counts.partition(b"\nwitnessmark_log_lines_lost_total ")[2].split()[0]) >= 3
    assert (process.returncode, err) == (0, b"")


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGTERM to send")
@pytest.mark.parametrize("workers", [1, 2])
def test_told_to_stop_with_slow_work_queued_everything_is_answered_or_refused(workers: int) -> None:
    port = free_port()
    flags = ("--workers", str(workers), "--pause-seconds", "0.5", "--drain-seconds", "3")
    with started(port, *flags) as process, ExitStack() as stack:
        open_ones = [
            stack.enter_context(socket.create_connection((LOOPBACK, port), timeout=PATIENCE)) for _ in range(20)
        ]
        for connection in open_ones[:-1]:
            connection.sendall(slow())
        open_ones[-1].sendall(head(100))  # and a body that does not come
        time.sleep(0.5)
        process.send_signal(signal.SIGTERM)
        answers = [until_closed(connection) for connection in open_ones]
        out, err = process.communicate(timeout=PATIENCE)
    statuses = {answer[9:12] for answer in answers}
    assert statuses <= {b"200", b"503"}
    assert b"503" in statuses
    for answer in answers:
        if answer[9:12] == b"503":
            assert json.loads(answer.partition(b"\r\n\r\n")[2])["type"] == "/problems/unavailable"
            assert b"\r\nretry-after: " in answer
    assert (process.returncode, err) == (0, b"")
    told = lines(out.decode())
    assert all(line["level"] == "info" for line in told)
    moments = {
        event: [datetime.fromisoformat(line["timestamp"]) for line in told if line["event"] == event]
        for event in ("draining", "stopped")
    }
    assert len(moments["draining"]) == len(moments["stopped"]) == workers
    # by the service's own clock: when the supervisor of several passes the signal on is not the drain's matter
    for begun, ended in zip(sorted(moments["draining"]), sorted(moments["stopped"]), strict=True):
        assert ended - begun <= timedelta(seconds=3)
