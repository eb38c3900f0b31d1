"""Five callers at once, one of them slow to read and a sixth that goes away: no row is lost, doubled or another's."""

import csv
import http.client
import io
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from itertools import pairwise

import numpy as np
import pytest

from witnessmark.api.bulk import compute_batch
from witnessmark.demo.server import free_port, wait_until_ready

HOST, CLIENTS, ROWS = "127.0.0.1", 5, 6_000
HEAD = "mark,pressure[psig],temperature[degF]"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """A service of its own."""
    chosen = free_port()
    line = [sys.executable, "-m", "witnessmark.cli", "serve", "--host", HOST, "--port", str(chosen)]
    with subprocess.Popen(line, stdout=subprocess.DEVNULL) as process:  # noqa: S603 - our own command
        try:
            wait_until_ready(f"http://{HOST}:{chosen}", process, 120.0)
            yield chosen
        finally:
            process.terminate()


def readings(client: int) -> tuple[list[str], dict[str, list[float]]]:
    generator = np.random.default_rng(client)
    columns = {
        "pressure[psig]": np.round(generator.uniform(90, 150, ROWS), 1).tolist(),
        "temperature[degF]": np.round(generator.uniform(35, 70, ROWS), 1).tolist(),
    }
    return [f"{client}-{k}" for k in range(ROWS)], columns


def ask(port: int, client: int, *, slow: bool = False, leave: bool = False) -> list[list[str]]:
    """Send the body in pieces that end anywhere, and read the answer in pieces."""
    marks, columns = readings(client)
    rows = zip(marks, *columns.values(), strict=True)
    body = "\n".join([HEAD, *(f"{mark},{p},{t}" for mark, p, t in rows)]).encode() + b"\n"
    cuts = [0, *sorted(np.random.default_rng(100 + client).integers(1, len(body), 9).tolist()), len(body)]
    pieces = (body[a:b] for a, b in pairwise(cuts) if a < b)
    where = "/v1/bulk/superheat?refrigerant=R-407C&compressor=scroll&keep=mark"
    with closing(http.client.HTTPConnection(HOST, port, timeout=120)) as connection:
        connection.request("POST", where, pieces, {"content-type": "text/csv", "content-length": str(len(body))})
        return [] if leave else read(connection.getresponse(), 0.02 if slow else 0.0)


def read(answer: http.client.HTTPResponse, pause: float) -> list[list[str]]:
    """The rows of an answer, with a pause after each piece of it."""
    assert (answer.status, answer.headers["rows-total"], answer.headers["rows-failed"]) == (200, str(ROWS), "0")
    content = b""
    while part := answer.read(20_000):
        content += part
        time.sleep(pause)
    return list(csv.reader(io.StringIO(content.decode())))


@pytest.mark.slow
def test_nothing_is_lost(port: int) -> None:
    """Every caller gets its own rows, all of them, in order, and the same numbers as in this process."""
    with ThreadPoolExecutor(CLIENTS + 1) as pool:
        gone = pool.submit(ask, port, 99, leave=True)
        asked = [pool.submit(ask, port, client, slow=client == 0) for client in range(CLIENTS)]
        answers = [one.result() for one in asked]
        assert gone.result() == []
    for client, (names, *rows) in enumerate(answers):
        marks, columns = readings(client)
        found = {name: [row[k] for row in rows] for k, name in enumerate(names)}
        assert (found["row"], found["mark"]) == ([str(k) for k in range(ROWS)], marks)
        own = compute_batch("superheat", columns, refrigerant="R-407C", compressor="scroll").columns
        assert [float(cell) for cell in found["margin[K]"]] == own["margin[K]"].tolist()
        assert found["verdict"] == own["verdict"]
