"""What to open, inspect, clean, replace."""

import pytest

from witnessmark.cleanup.components import Action, actions, part_ids, usual_parts
from witnessmark.cleanup.severity import Debris, Deposit
from witnessmark.vocabulary import BurnoutGrade, Plant, words


@pytest.mark.parametrize("plant", words(Plant))
def test_usual_parts_exist(plant: Plant) -> None:
    assert set(usual_parts(plant)) <= set(part_ids())


@pytest.mark.parametrize("part", part_ids())
def test_work_grows_with_the_grade_and_never_shrinks_with_solids(part: str) -> None:
    order = words(Action)
    grades: tuple[BurnoutGrade, ...] = (0, 1, 2, 3)
    plain, fines, broken = (
        [order.index(actions((part,), grade, seen)[0].action) for grade in grades]
        for seen in (frozenset[Debris](), frozenset[Debris]({"metal-fines"}), frozenset[Debris]({"metal-fragments"}))
    )
    assert plain == sorted(plain)
    assert all(less <= more <= most for less, more, most in zip(plain, fines, broken, strict=True))


@pytest.mark.parametrize("plant", words(Plant))
def test_broken_parts_mean_work_on_everything_they_can_reach_however_clear_the_oil(plant: Plant) -> None:
    """Lines and coils blown through or replaced, separator and accumulator replaced, strainers and valves cleaned."""
    broken: frozenset[Debris] = frozenset({"metal-fragments"})
    work = {item.part.id: item.action for item in actions(usual_parts(plant), 0, broken, plant)}
    assert {"discharge-line", "outdoor-coil", "lines", "expansion-valve", "strainers"} <= set(work)
    assert all(work[part] == "replace" for part in ("oil-separator", "accumulator", "liquid-drier") if part in work)
    assert not {"leave", "inspect"} & {action for part, action in work.items() if part != "sight-glass"}


@pytest.mark.parametrize(
    ("deposit", "part", "least"),
    [
        ("sludge-in-discharge-line", "discharge-line", "clean"),
        ("sludge-in-discharge-line", "reversing-valve", "replace"),
        ("sludge-in-discharge-line", "outdoor-coil", "clean"),
        ("sludge-in-suction-line", "lines", "clean"),
        ("sludge-in-suction-line", "accumulator", "replace"),
        ("carbon-in-suction-line", "lines", "clean"),
        ("carbon-in-drier", "strainers", "clean"),
    ],
)
def test_what_lies_in_a_line_is_cleaned_out_of_it(deposit: Deposit, part: str, least: Action) -> None:
    order = words(Action).index
    for grade in words(BurnoutGrade):
        assert order(actions((part,), grade, frozenset({deposit}))[0].action) >= order(least)


def test_desiccant_counts_as_fines() -> None:
    dust, fines = (frozenset[Debris]({key}) for key in words(Debris) if key in {"desiccant-dust", "metal-fines"})
    for part in part_ids():
        assert actions((part,), 0, dust)[0].action == actions((part,), 0, fines)[0].action


def test_a_walk_in_freezer_has_no_indoor_units() -> None:
    names = " ".join(item.name for item in actions(part_ids(), 3))
    assert "ndoor" not in names
    assert "utdoor" not in names
    reversible = " ".join(item.name for item in actions(part_ids(), 3, plant="heat-pump"))
    assert "Outdoor coil" in reversible
    assert "Indoor coils" in reversible


def test_the_heaviest_work_comes_first() -> None:
    made = actions(("discharge-line", "accumulator", "receiver"), 2)
    assert [item.action for item in made] == ["replace", "inspect", "inspect"]


def test_there_are_seventeen_parts() -> None:
    """As many as a request may name."""
    assert len(part_ids()) == 17
