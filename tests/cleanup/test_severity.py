"""The contamination score: points, lowest grades, what was not looked at."""

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.severity import Signs, severity
from witnessmark.cleanup.tables import table
from witnessmark.errors import ConflictError, OutOfRangeError, UnknownNameError

CLEAN = Signs(
    "POE",
    acid_number=Measured(0.01),
    acid_test="negative",
    colour=Measured(1.0),
    smell="none",
    burn="none",
    repeated=False,
)


def test_clear_oil_without_acid_is_mechanical_only() -> None:
    found = severity(CLEAN)
    assert (found.grade, found.score, found.items, found.not_looked_at) == (0, 0, (), ())
    assert found.name == "mechanical only"


def test_metal_alone_keeps_the_grade_and_is_named() -> None:
    signs = Signs("POE", Measured(0.01), colour=Measured(1.0), debris=frozenset({"metal fragments", "metal fines"}))
    found = severity(signs)
    assert found.grade == 0
    assert [item.id for item in found.items] == ["metal-fines", "metal-fragments"]


def test_what_was_not_looked_at_does_not_count_as_clean() -> None:
    found = severity(Signs("POE"))
    assert found.grade == 1
    assert [item.id for item in found.items] == ["acid-not-tested", "oil-not-seen"]
    assert found.not_looked_at == ("acid", "oil colour", "smell", "winding", "earlier failures")


@pytest.mark.parametrize(
    ("change", "item", "grade"),
    [
        ({"acid_number": Measured(0.08), "acid_test": None}, "acid-over", 2),
        ({"acid_number": Measured(0.05, 0.005), "acid_test": None}, "acid-unsure", 1),
        ({"acid_number": Measured(0.03)}, "acid-raised", 1),
        ({"acid_number": None, "acid_test": "positive"}, "acid-positive", 2),
        ({"colour": Measured(5.0)}, "colour-over", 1),
        ({"colour": Measured(3.9, 0.2)}, "colour-over", 1),
        ({"colour": Measured(3.7)}, "colour-raised", 1),
        ({"water": Measured(300e-6)}, "water-over", 1),
        ({"water": Measured(150e-6, 10e-6)}, "water-over", 1),
        ({"smell": "burnt"}, "smell-burnt", 2),
        ({"smell": "slight"}, "smell-slight", 1),
        ({"burn": "winding"}, "winding-burnt", 2),
        ({"burn": "spot"}, "spot-burn", 1),
        ({"burn": "spot", "burnt_while_turning": True}, "burnt-while-turning", 2),
        ({"dirt": frozenset({"carbon in drier"})}, "carbon-suction", 2),
        ({"dirt": frozenset({"carbon in suction line"})}, "carbon-suction", 2),
        ({"dirt": frozenset({"sludge in discharge line"})}, "sludge-discharge", 2),
        ({"dirt": frozenset({"sludge in suction line"})}, "sludge-suction", 3),
        ({"debris": frozenset({"carbonised oil"})}, "carbonised-oil", 1),
        ({"debris": frozenset({"copper plating"})}, "copper-plating", 1),
        ({"debris": frozenset({"desiccant dust"})}, "desiccant-dust", 1),
        ({"repeated": True}, "repeated", 3),
    ],
)
def test_each_sign_has_its_item_and_lowest_grade(change: dict[str, object], item: str, grade: int) -> None:
    found = severity(replace(CLEAN, **change))  # type: ignore[arg-type]
    assert item in {i.id for i in found.items}
    assert found.grade == grade


def test_points_add_up_to_a_higher_grade() -> None:
    """Four mild signs together are severe; none of them is alone."""
    mild = replace(CLEAN, smell="slight", burn="spot", colour=Measured(3.7), debris=frozenset({"carbonised oil"}))
    found = severity(mild)
    assert max(item.floor for item in found.items) == 1
    assert (found.score, found.grade) == (5, 2)


def test_the_score_is_the_sum_of_its_items() -> None:
    signs = Signs("mineral", Measured(0.4), colour=Measured(7.0), smell="burnt", burn="winding", repeated=True)
    found = severity(signs)
    assert found.score == sum(item.points for item in found.items)
    assert found.grade == 3


def test_a_makers_limit_changes_the_item() -> None:
    over = replace(CLEAN, acid_number=Measured(0.08), acid_test=None)
    assert [item.id for item in severity(over).items] == ["acid-over"]
    assert [item.id for item in severity(replace(over, maker_limits={"acid_number": 0.1})).items] == ["acid-raised"]


def test_contradictions_and_nonsense_are_refused() -> None:
    with pytest.raises(ConflictError) as burn:
        severity(Signs("POE", burn="none", burnt_while_turning=True))
    assert burn.value.fields == ("teardown.burnt_while_turning", "teardown.burn")
    with pytest.raises(ConflictError):
        severity(Signs("POE", acid_number=Measured(2.0), acid_test="negative"))
    with pytest.raises(OutOfRangeError) as range_error:
        severity(Signs("POE", colour=Measured(9.0)))
    assert range_error.value.field == "oil.colour"
    with pytest.raises(UnknownNameError):
        severity(Signs("butter"))  # type: ignore[arg-type]


def test_every_item_of_the_data_can_be_reached_and_has_a_floor_within_the_grades() -> None:
    rows = table("severity")
    assert all(0 <= row["floor"] < len(rows["grade"]) for row in rows["item"].values())
    assert len(rows["grade"]) == 4
