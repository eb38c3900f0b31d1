"""Processes for slow work are forked where they can be, and where they cannot the service goes on without."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
import structlog

from witnessmark.api import handed
from witnessmark.api.edge import child
from witnessmark.api.edge.server import Server

pytestmark = pytest.mark.anyio


@pytest.fixture(autouse=True)
async def none_left() -> AsyncIterator[None]:
    yield
    handed.end()


@pytest.mark.skipif(not child.possible(), reason="no process can be forked here")
async def test_one_is_forked_as_is_set() -> None:
    await Server._fork()  # noqa: SLF001
    assert handed.workers


async def test_where_none_can_be_had_that_is_said_and_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    async def refused(_: child.Child) -> None:
        raise BlockingIOError(11, "no more processes")

    monkeypatch.setattr(child, "possible", lambda: True)
    monkeypatch.setattr(child.Child, "start", refused)
    with structlog.testing.capture_logs() as lines:
        await Server._fork()  # noqa: SLF001
    assert [(line["event"], line["log_level"]) for line in lines] == [("no process for slow work yet", "warning")]
    assert handed.workers


async def test_elsewhere_a_thread_does_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(child, "possible", lambda: False)
    await Server._fork()  # noqa: SLF001
    assert not handed.workers
