"""What the protocol says of itself (whole exchanges: tests/test_serving.py)."""

import json
from types import SimpleNamespace
from typing import Any

import h11
import pytest

from witnessmark.api.edge.protocol import MOST_EVENTS, Protocol, Strict


class Line:
    """A connection that keeps what is written to it."""

    def __init__(self) -> None:
        self.sent = b""
        self.closed = False

    def write(self, data: bytes) -> None:
        self.sent += data

    def close(self) -> None:
        self.closed = True


def protocol(unread: bytes, cycle: Any = None) -> tuple[Protocol, Line]:
    made, line = Protocol.__new__(Protocol), Line()
    made.transport, made.cycle = line, cycle  # type: ignore[assignment]
    made.conn = SimpleNamespace(trailing_data=(unread, False))  # type: ignore[assignment]
    return made, line


@pytest.mark.parametrize(
    ("unread", "start", "kind"),
    [(b"x", b"400 Bad Request", "malformed-request"), (b"x" * 40_000, b"431 Request", "head-too-large")],
)
def test_the_server_s_own_words_are_not_passed_on(unread: bytes, start: bytes, kind: str) -> None:
    made, line = protocol(unread)
    made.send_400_response("words of the server")
    head, _, body = line.sent.partition(b"\r\n\r\n")
    assert line.closed
    assert head.startswith(b"HTTP/1.1 " + start)
    assert b"nosniff" in head
    assert b"words" not in line.sent
    assert json.loads(body)["type"] == f"/problems/{kind}"


def test_in_the_middle_of_an_answer_nothing_is_written() -> None:
    noted = SimpleNamespace(set=lambda: None)
    cycle = SimpleNamespace(response_complete=False, response_started=True, disconnected=False, message_event=noted)
    made, line = protocol(b"x", cycle)
    made.send_400_response("words of the server")
    assert (line.sent, line.closed, cycle.disconnected) == (b"", True, True)


def test_what_came_at_once_is_taken_in_turns() -> None:
    conn = Strict(32_768)
    head = b"POST / HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n"
    conn.receive_data(head + (b"14\r\n" + b"x" * 20 + b"\r\n") * 250 + b"0\r\n\r\n")
    turns, events = 0, list[Any]()
    while not events or not isinstance(events[-1], h11.EndOfMessage):
        conn.taken, turns = 0, turns + 1
        events += _turn(conn)
    assert turns == -(-len(events) // MOST_EVENTS) == 3
    assert b"".join(event.data for event in events if isinstance(event, h11.Data)) == b"x" * 5000


def _turn(conn: Strict) -> list[Any]:
    taken = []
    while (event := conn.next_event()) is not h11.NEED_DATA:
        taken.append(event)
        if isinstance(event, h11.EndOfMessage):
            break
    return taken
