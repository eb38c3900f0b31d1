"""The numeric examples in the docstrings of the calculations are right, and every public calculation has one."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
from types import ModuleType

import pytest

from witnessmark import calculations
from witnessmark.calculations import circuit, compressor, cycle, metrology

NAMES = sorted(m.name for m in pkgutil.walk_packages(calculations.__path__, "witnessmark.calculations.") if not m.ispkg)
SHOWN_AS_A_WHOLE = {
    *("draw", "solve_from", "other_side", "parted", "load", "read_data", "limit_from"),
    *("alike", "drawn", "series", "of_numbers", "of_columns", "composed", "implied"),
}
"""A picture; and parts of a fit or of a pass over columns, and readers of files, whose examples are the tests."""
SHOWN_BY_THE_MODULE = {
    "liquid_model",
    "saturation",
    "superheat",
    "saturation_columns",
    "margin_columns",
    "fractionation",
}
"""The docstring of the module shows its functions together."""


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_right(name: str) -> None:
    failed, _ = doctest.testmod(importlib.import_module(name))
    assert failed == 0


def modules() -> list[ModuleType]:
    return [
        importlib.import_module(m.name)
        for folder in (circuit, compressor, cycle, metrology)
        for m in pkgutil.iter_modules(folder.__path__, f"{folder.__name__}.")
    ]


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_public_calculation_has_an_example(module: ModuleType) -> None:
    if module.__name__.rpartition(".")[2] in SHOWN_BY_THE_MODULE:
        assert ">>>" in (module.__doc__ or "")
        return
    own = [
        f for n, f in inspect.getmembers(module, inspect.isfunction) if f.__module__ == module.__name__ and n[0] != "_"
    ]
    bare = [f.__name__ for f in own if f.__name__ not in SHOWN_AS_A_WHOLE and ">>>" not in (f.__doc__ or "")]
    assert bare == []
