"""The score by hand, and the interval against published values."""

from __future__ import annotations

import pytest

from tests.mutation.bench import Outcome
from tests.mutation.mutants import change, mutants
from tests.mutation.summary import Scored, adjusted, rate, summary

TEXT = "def f(a, b):\n    return a < 3 and b\n"


@pytest.mark.parametrize(
    ("count", "size", "interval"),
    [(81, 263, "25.5 to 36.6"), (15, 148, "6.2 to 16.0"), (0, 20, "0.0 to 16.1"), (1, 29, "0.6 to 17.2")],
)
def test_the_interval_is_the_one_of_newcombe_1998_table_1_method_3(count: int, size: int, interval: str) -> None:
    """R. G. Newcombe, Statistics in Medicine 17 (1998) 857, score method without continuity correction.

    0.2553 to 0.3662, 0.0624 to 0.1605, 0.0000 to 0.1611, 0.0061 to 0.1718; remembered, not looked up.
    """
    assert interval in rate(count, size)


def scored(fates: dict[str, tuple[bool, str | None]]) -> list[Scored]:
    by_kind = {m.kind: m for m in mutants("restart/f.py", TEXT)}
    return [
        Scored(
            by_kind[kind], change(by_kind[kind], TEXT), Outcome(killed, "mirror" if killed else "cut", None, 2.0), proof
        )
        for kind, (killed, proof) in fates.items()
    ]


def test_equivalents_count_neither_as_survivors_nor_as_mutants() -> None:
    every = scored({"boundary": (False, None), "comparison": (True, None), "boolean": (False, "b is always true")})
    assert adjusted(every) == (1, 2)
    text = summary(every, left=4)
    assert "restart/f.py:2 f (boundary, wider tests cut)\n    - return a < 3 and b\n    + return a <= 3 and b" in text
    assert "return a < 3 or b" not in text
    assert "3 tried, 4 left; processor time 6 s, 2.0 s each" in text
    assert "raw survivors  2 of 3 = 66.7 %" in text
    assert "equivalent     1, each" in text
    assert "adjusted       1 of 2 = 50.0 %" in text
    assert "restart           3 mutants    2 survive    1 of them equivalent" in text


def test_a_mutant_that_is_killed_is_no_hole_though_it_was_called_equivalent() -> None:
    assert adjusted(scored({"boundary": (True, "wrongly")})) == (0, 1)


def test_no_mutant_is_no_rate() -> None:
    assert "adjusted       0 of 0" in summary([], left=0)
