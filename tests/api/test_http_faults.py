"""What is no HTTP request: what is written, and that it closes (the whole exchange: tests/test_serving.py)."""

import json

from witnessmark.api.http_faults import Protocol


class Line:
    """A connection that keeps what is written to it."""

    def __init__(self) -> None:
        self.sent = b""
        self.closed = False

    def write(self, data: bytes) -> None:
        self.sent += data

    def close(self) -> None:
        self.closed = True


def test_the_server_s_own_words_are_not_passed_on() -> None:
    protocol = Protocol.__new__(Protocol)
    line = Line()
    protocol.transport = line  # type: ignore[assignment]
    protocol.send_400_response("words of the server")
    head, _, body = line.sent.partition(b"\r\n\r\n")
    assert line.closed
    assert head.startswith(b"HTTP/1.1 400 Bad Request\r\n")
    assert b"nosniff" in head
    assert b"words" not in line.sent
    assert json.loads(body)["type"] == "/problems/malformed-request"
