"""What a mutant is called, what it changes, and how a sample is drawn."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.mutation.mutants import Mutant, change, modules, mutants, sampled
from tests.mutation.operators import KINDS

SOURCE = """LIMIT = 3.0


class Gate:
    def passes(self, reading: float) -> bool:
        if reading < LIMIT:
            raise ValueError(
                reading,
            )
        return reading == LIMIT
"""


def every(source: str) -> list[Mutant]:
    return list(mutants("gate.py", source))


def test_a_mutant_knows_its_place() -> None:
    boundary = next(m for m in every(SOURCE) if m.kind == "boundary")
    assert (boundary.within, boundary.row, boundary.text) == ("Gate.passes", 6, "if reading < LIMIT:")
    assert change(boundary, SOURCE).after == "if reading <= LIMIT:"


def test_a_change_over_several_lines_is_told_in_one() -> None:
    dropped = next(m for m in every(SOURCE) if m.kind == "dropped")
    changed = change(dropped, SOURCE)
    assert (changed.before, changed.after) == ("raise ValueError( reading, )", "pass")
    assert changed.code == SOURCE.replace("raise ValueError(\n                reading,\n            )", "pass")


def test_lines_above_change_neither_name_nor_sample() -> None:
    longer = "import math\n\n" + SOURCE
    assert [m.key for m in every(longer)] == [m.key for m in every(SOURCE)]
    assert [m.key for m in sampled(every(longer), 4, 7)] == [m.key for m in sampled(every(SOURCE), 4, 7)]


def test_like_lines_in_one_function_have_names_of_their_own() -> None:
    keys = [m.key for m in every("def f(a, b):\n    a.add(1)\n    a.add(1)\n    b.add(1, 1)\n")]
    assert len(set(keys)) == len(keys)


def test_a_place_that_is_gone_is_no_mutant() -> None:
    with pytest.raises(LookupError):
        change(every(SOURCE)[0], "")


def test_a_sample_tries_all_kinds_alike_and_grows_at_its_end() -> None:
    whole = [m for name in ("restart/gate.py", "restart/after_run.py") for m in mutants(name, SOURCE * 9)]
    by_kind = Counter(m.kind for m in sampled(whole, 20, 1))
    assert max(by_kind.values()) - min(by_kind.values()) <= 1
    assert sampled(whole, 30, 1)[:20] == sampled(whole, 20, 1)
    assert sampled(whole, 20, 2) != sampled(whole, 20, 1)
    assert len(set(sampled(whole, 20, 1))) == 20


def test_the_modules_are_those_of_physics_and_reasoning() -> None:
    names = modules()
    assert {"restart/gate.py", "refrigerants/states.py"} <= set(names)
    assert {name.split("/")[0] for name in names} == {"refrigerants", "calculations", "diagnosis", "cleanup", "restart"}
    assert not [name for name in names if name.startswith("diagnosis/evaluation/")]
    assert len(KINDS) == 9
