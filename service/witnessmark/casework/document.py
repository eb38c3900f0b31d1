"""Reading and writing of JSON-like documents by dotted paths. A case is a mapping here, its units stay as sent."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

Json = dict[str, Any]


def at(document: Any, path: str) -> Any:
    """What stands at a dotted path, None where nothing does.

    >>> at({"a": {"b": [5]}}, "a.b.0"), at({}, "a.b")
    (5, None)
    """
    for step in path.split("."):
        if isinstance(document, list) and step.isdecimal() and int(step) < len(document):
            document = document[int(step)]
        else:
            document = document.get(step) if isinstance(document, Mapping) else None
    return document


def put(document: Json, path: str, value: Any) -> None:
    """Set what stands at a dotted path; mappings on the way are made.

    >>> made = {}
    >>> put(made, "a.b", 1)
    >>> made
    {'a': {'b': 1}}
    """
    *way, last = path.split(".")
    for step in way:
        document = document.setdefault(step, {})
    document[last] = value


def canonical(document: Any) -> str:
    """The one way to write a document: names in order, no spaces, so that equal documents give equal bytes."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest(document: Any) -> str:
    """SHA-256 of the document as `canonical` writes it, hexadecimal."""
    return hashlib.sha256(canonical(document).encode("utf-8", "surrogatepass")).hexdigest()
