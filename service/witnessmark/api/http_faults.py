"""What is no HTTP request never reaches the application: the server refuses it, here as a problem like any other."""

from __future__ import annotations

import re

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from witnessmark.api.problems import respond

_OFFER = re.compile(rb"\r\nupgrade:", re.IGNORECASE)


class Protocol(HttpToolsProtocol):
    """The server's protocol; a fault in the request is RFC 9457, and an offer to change the protocol is passed over."""

    def data_received(self, data: bytes) -> None:
        """Hide an offer to change the protocol, which may be ignored (RFC 9110, 7.8).

        The parser takes what follows such an offer for another protocol, so the body of a POST would be lost; HTTP/2
        clients make the offer with every first request.
        """
        if self.cycle is None or not self.cycle.more_body:
            head, end, rest = data.partition(b"\r\n\r\n")
            data = _OFFER.sub(b"\r\nnot-taken:", head) + end + rest
        super().data_received(data)

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the server's words are not ours
        """Refuse what cannot be read, and close."""
        answer = respond("malformed-request", "the request is not HTTP/1.1 as RFC 9112 has it")
        fields = [*answer.raw_headers, (b"x-content-type-options", b"nosniff"), (b"connection", b"close")]
        head = b"".join(name + b": " + value + b"\r\n" for name, value in fields)
        self.transport.write(b"HTTP/1.1 400 Bad Request\r\n" + head + b"\r\n" + bytes(answer.body))
        self.transport.close()

    def _unsupported_upgrade_warning(self) -> None:
        """An offer cut in two by the network; a log line each would let callers fill the log."""
