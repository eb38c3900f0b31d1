"""Descriptions that stand below the fields."""

from __future__ import annotations

from typing import Annotated

import pytest
from pydantic import Field

from witnessmark.api.units import Wire


class Described(Wire):
    """A model."""

    bare: int
    """Below."""
    optional: int | None = None
    """Over two
    lines."""
    bounded: int = Field(1, ge=1)
    """With a bound."""
    beside: Annotated[int, Field(le=5, description="Beside.")] = 2
    silent: int = 0

    def method(self) -> None:
        """No field."""


class Derived(Described):
    """Its own field stands beside what it inherits."""

    own: int = 3
    """Own."""


@pytest.mark.parametrize("model", [Described, Derived])
def test_docstrings_below_fields_describe_them(model: type[Wire]) -> None:
    fields = model.model_json_schema()["properties"]
    texts = {name: row.get("description") for name, row in fields.items() if name != "own"}
    assert texts == {
        "bare": "Below.", "optional": "Over two lines.", "bounded": "With a bound.", "beside": "Beside.",
        "silent": None,
    }  # fmt: skip
    assert fields["bounded"] == {
        "default": 1, "description": "With a bound.", "minimum": 1, "title": "Bounded", "type": "integer",
    }  # fmt: skip
    assert model.model_json_schema()["required"] == ["bare"]


def test_defaults_stay() -> None:
    derived = Derived(bare=1)
    assert (derived.optional, derived.bounded, derived.own) == (None, 1, 3)
    assert Derived.model_json_schema()["properties"]["own"]["description"] == "Own."
