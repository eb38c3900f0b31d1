"""The columnar library, loaded by whoever uses it first: a process that answers single requests saves its 35 MB."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from typing import Any


class _Later:
    """What stands in `arrow_rows`, loaded when it is asked for."""

    def __getattr__(self, name: str) -> Any:
        return getattr(import_module("witnessmark.bulk.arrow_rows"), name)


def columnar() -> Any:
    """The functions of `arrow_rows`; None where the library, an extra of the package, is not installed."""
    return _Later() if find_spec("pyarrow") is not None else None
