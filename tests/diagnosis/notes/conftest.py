"""Tests of the rules are read by the rules alone, a module with `LEARNED = True` by rules and learned reader."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from tests.notes_model.deaf import Deaf

from witnessmark.diagnosis.notes import matching


@pytest.fixture(scope="module", autouse=True)
def reader(request: pytest.FixtureRequest) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patched:
        if not getattr(request.module, "LEARNED", False):
            patched.setattr(matching, "shipped", Deaf)
        yield
