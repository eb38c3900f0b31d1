"""Which of several media types a request wants (RFC 9110, 12.5.1)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from witnessmark.api.problems import ProblemError


def chosen(accept: str, offered: Sequence[str]) -> str:
    """The offered type with the highest weight, the first of equals; ProblemError (406) if none is accepted.

    The most specific range decides the weight of a type: `image/png` over `image/*` over `*/*`.
    """
    weights = dict(_weighted(part) for part in accept.split(","))
    ranked = [(_weight(kind, weights), -k, kind) for k, kind in enumerate(offered)]
    weight, _, kind = max(ranked)
    if weight <= 0:
        raise ProblemError("not-acceptable", "offered: " + ", ".join(offered))
    return kind


def _weight(kind: str, weights: dict[str, float]) -> float:
    for name in (kind, kind.split("/", 1)[0] + "/*", "*/*"):
        if name in weights:
            return weights[name]
    return 0.0


def _weighted(part: str) -> tuple[str, float]:
    name, *parameters = (piece.strip().lower() for piece in part.split(";"))
    values = dict(p.split("=", 1) for p in parameters if "=" in p)
    return name, _number(values.get("q", "1"))


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        return 0.0
    return value if math.isfinite(value) else 0.0
