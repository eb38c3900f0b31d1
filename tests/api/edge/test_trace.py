"""W3C Trace Context: what is continued, what starts anew."""

import re

import pytest

from witnessmark.api.edge.trace import trace_of

TRACE, SPAN = "0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331"


def test_a_trace_is_continued_with_a_span_of_our_own() -> None:
    found = trace_of([(b"traceparent", f"00-{TRACE}-{SPAN}-01".encode())])
    assert (found.trace, found.flags, found.request) == (TRACE, "01", TRACE)
    assert re.fullmatch("[0-9a-f]{16}", found.span)
    assert found.span != SPAN
    assert found.parent == f"00-{TRACE}-{found.span}-01"


def test_a_later_version_is_continued_as_far_as_it_is_known() -> None:
    assert trace_of([(b"traceparent", f"01-{TRACE}-{SPAN}-01-more".encode())]).trace == TRACE


@pytest.mark.parametrize(
    "value",
    [
        "", "x", f"ff-{TRACE}-{SPAN}-01", f"00-{'0' * 32}-{SPAN}-01", f"00-{TRACE}-{'0' * 16}-01",
        f"00-{TRACE.upper()}-{SPAN}-01", f"00-{TRACE}-{SPAN}-01-more", f"00-{TRACE}-{SPAN}",
    ],
)  # fmt: skip
def test_what_is_malformed_starts_a_new_one(value: str) -> None:
    found = trace_of([(b"traceparent", value.encode())])
    assert found.trace != TRACE
    assert re.fullmatch("[0-9a-f]{32}", found.trace)
    assert found.flags == "00"


@pytest.mark.parametrize(
    ("name", "taken"), [("0123abcd-99", True), ("free text", False), ("short", False), ("", False)]
)
def test_a_request_id_is_taken_where_it_is_no_text(name: str, *, taken: bool) -> None:
    found = trace_of([(b"x-request-id", name.encode())])
    assert (found.request == name) is taken
    assert taken or found.request == found.trace
