"""Descriptions of fields that stand below them as docstrings, read from the source, each module once.

Pydantic has this too (`use_attribute_docstrings`), but reads the source anew for each class: a second of each start.
"""

from __future__ import annotations

import ast
import sys
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic import Field
from pydantic.fields import FieldInfo


def describe(model: type[Any]) -> None:
    """Give the fields of a model that is being made the docstrings below them as descriptions."""
    source = getattr(sys.modules.get(model.__module__), "__file__", None)
    for name, text in (_docstrings(source).get(model.__qualname__, {}) if source else {}).items():
        value = model.__dict__.get(name, ...)
        setattr(model, name, _described(value, text))


def _described(value: Any, text: str) -> Any:
    if not isinstance(value, FieldInfo):
        return Field(value, description=text)
    value.description = text
    value._attributes_set["description"] = text  # noqa: SLF001 - what pydantic merges fields by
    return value


@cache
def _docstrings(source: str) -> dict[str, dict[str, str]]:
    """By class and field; docstrings of nested classes do not count."""
    classes = (node for node in ast.parse(Path(source).read_bytes()).body if isinstance(node, ast.ClassDef))
    return {
        node.name: {
            field.target.id: " ".join(below.value.value.split())
            for field, below in pairwise(node.body)
            if isinstance(field, ast.AnnAssign)
            and isinstance(field.target, ast.Name)
            and isinstance(below, ast.Expr)
            and isinstance(below.value, ast.Constant)
            and isinstance(below.value.value, str)
        }
        for node in classes
    }
