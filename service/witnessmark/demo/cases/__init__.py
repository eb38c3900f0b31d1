"""The invented cases: one case document a file."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

Json = dict[str, Any]


@cache
def everything() -> dict[str, Json]:
    """All cases by name, in the order of their references."""
    found = [entry for entry in files(__package__).iterdir() if entry.name.endswith(".json")]
    loaded = {entry.name.removesuffix(".json"): json.loads(entry.read_text("utf-8")) for entry in found}
    return dict(sorted(loaded.items(), key=lambda item: str(item[1]["reference"])))


def names() -> tuple[str, ...]:
    """Their names."""
    return tuple(everything())
