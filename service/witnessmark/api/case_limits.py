"""How long a case and its report may be, read off their schemas: every bound is written once, where its field is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from witnessmark.api.schemas.bulk import CaseLimits
from witnessmark.api.schemas.case_report import ReportRequest
from witnessmark.casework.report.free_text import LONGEST as SHOWN
from witnessmark.casework.report.photographs import LARGEST, MOST_PIXELS
from witnessmark.diagnosis.notes.matching import LONGEST

PREFIX = "#/$defs/"


@cache
def case_limits() -> CaseLimits:
    """Items of lists and characters of texts by dotted path (`*` for each item), and what else bounds a case.

    >>> case_limits().items["case.readings"], case_limits().characters["photographs.*.caption"]
    (40, 300)
    """
    schema = ReportRequest.model_json_schema()
    found = [*_bounds(schema, schema.get("$defs", {}), "", ())]
    return CaseLimits(
        items={path: most for path, name, most in found if name == "maxItems"},
        characters={path: most for path, name, most in found if name == "maxLength"},
        characters_read=LONGEST,
        characters_shown=SHOWN,
        photograph_bytes=LARGEST,
        photograph_pixels=MOST_PIXELS,
    )


def _bounds(
    part: Mapping[str, Any], defs: Mapping[str, Any], path: str, above: tuple[str, ...]
) -> Iterator[tuple[str, str, int]]:
    """(path, kind, bound) of a schema and all below it; a schema within itself is followed once."""
    if (reference := part.get("$ref", "").removeprefix(PREFIX)) and reference not in above:
        yield from _bounds(defs[reference], defs, path, (*above, reference))
    yield from ((path, name, part[name]) for name in ("maxItems", "maxLength") if name in part)
    for option in (*part.get("anyOf", ()), *part.get("oneOf", ()), *part.get("allOf", ())):
        yield from _bounds(option, defs, path, above)
    for name, inner in part.get("properties", {}).items():
        yield from _bounds(inner, defs, f"{path}.{name}".removeprefix("."), above)
    for key in ("items", "additionalProperties"):
        if isinstance(part.get(key), Mapping):
            yield from _bounds(part[key], defs, f"{path}.*", above)
