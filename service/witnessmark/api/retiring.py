"""What goes with an operation that is to go: since when it is not for new use, and when it may no longer be there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import format_datetime


@dataclass(frozen=True, slots=True)
class Retirement:
    """An operation that others replace. since, until: with their offset; page: what to do; successor: its address.

    It is told in the header of every answer of that address, problems included: Deprecation (RFC 9745), Sunset (RFC
    8594), and links to both. ValueError where it would go before it is deprecated (RFC 9745, section 4).

    >>> Retirement(datetime.fromisoformat("2023-06-30T23:59:59Z"), datetime.fromisoformat("2024-01-01T00:00:00Z"),
    ...     "/docs", "/v2/x").headers[:2]
    [(b'deprecation', b'@1688169599'), (b'sunset', b'Mon, 01 Jan 2024 00:00:00 GMT')]
    """

    since: datetime
    until: datetime
    page: str
    successor: str | None = None

    def __post_init__(self) -> None:
        if self.since.utcoffset() != timedelta(0) or self.until.utcoffset() != timedelta(0):
            raise ValueError("moments are given in UTC")
        if self.until < self.since:
            raise ValueError("what goes is deprecated first")

    @property
    def headers(self) -> list[tuple[bytes, bytes]]:
        """Those of each answer."""
        links = [f'<{self.page}>; rel="{kind}"; type="text/html"' for kind in ("deprecation", "sunset")]
        if self.successor is not None:
            links.append(f'<{self.successor}>; rel="successor-version"')
        return [
            (b"deprecation", f"@{int(self.since.timestamp())}".encode()),
            (b"sunset", format_datetime(self.until, usegmt=True).encode()),
            (b"link", ", ".join(links).encode()),
        ]
