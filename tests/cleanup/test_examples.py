"""The numeric examples in the docstrings of the cleanup hold; each calculation that a caller may use has one."""

import ast
import doctest
import importlib
from pathlib import Path

import pytest

import witnessmark.cleanup

FOLDER = Path(witnessmark.cleanup.__file__).parent
MODULES = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem != "__init__")


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    module = importlib.import_module(f"witnessmark.cleanup.{name}")
    assert doctest.testmod(module).failed == 0


def test_there_is_an_example_for_every_calculation_with_numbers() -> None:
    numeric, shown = set(), set()
    for path in FOLDER.glob("*.py"):
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                returned = "" if node.returns is None else ast.unparse(node.returns)
                arguments = {ast.unparse(a.annotation) for a in node.args.args if a.annotation is not None}
                if "float" in arguments or returned.startswith("float"):
                    numeric.add(node.name)
                if ">>>" in (ast.get_docstring(node) or ""):
                    shown.add(node.name)
    assert numeric - shown == {"conditions", "faults", "high_start"}, "their arguments are a whole log"
