"""What to open, inspect, clean, replace."""

import pytest

from witnessmark.cleanup.components import Action, actions, part_ids, usual_parts
from witnessmark.vocabulary import BurnoutGrade, Plant, words


@pytest.mark.parametrize("plant", words(Plant))
def test_usual_parts_exist(plant: Plant) -> None:
    assert set(usual_parts(plant)) <= set(part_ids())


@pytest.mark.parametrize("part", part_ids())
def test_work_grows_with_the_grade_and_never_shrinks_with_solids(part: str) -> None:
    order = words(Action)
    grades: tuple[BurnoutGrade, ...] = (0, 1, 2, 3)
    plain = [order.index(actions((part,), grade, solids=False)[0].action) for grade in grades]
    loose = [order.index(actions((part,), grade, solids=True)[0].action) for grade in grades]
    assert plain == sorted(plain)
    assert all(more >= less for more, less in zip(loose, plain, strict=True))


def test_the_heaviest_work_comes_first() -> None:
    made = actions(("discharge-line", "accumulator", "receiver"), 2, solids=False)
    assert [item.action for item in made] == ["replace", "inspect", "inspect"]


def test_there_are_fifteen_parts() -> None:
    """As many as a request may name."""
    assert len(part_ids()) == 15
