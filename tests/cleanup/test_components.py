"""What to open, inspect, clean, replace."""

from typing import get_args

import pytest

from witnessmark.cleanup.components import PARTS, Action, Plant, actions, usual_parts
from witnessmark.cleanup.severity import Grade


@pytest.mark.parametrize("plant", get_args(Plant))
def test_usual_parts_exist(plant: Plant) -> None:
    assert set(usual_parts(plant)) <= set(PARTS)


@pytest.mark.parametrize("part", PARTS)
def test_work_grows_with_the_grade_and_never_shrinks_with_solids(part: str) -> None:
    order = get_args(Action)
    grades: tuple[Grade, ...] = (0, 1, 2, 3)
    plain = [order.index(actions((part,), grade, solids=False)[0].action) for grade in grades]
    loose = [order.index(actions((part,), grade, solids=True)[0].action) for grade in grades]
    assert plain == sorted(plain)
    assert all(more >= less for more, less in zip(loose, plain, strict=True))


def test_the_heaviest_work_comes_first() -> None:
    made = actions(("discharge-line", "accumulator", "receiver"), 2, solids=False)
    assert [item.action for item in made] == ["replace", "inspect", "inspect"]
