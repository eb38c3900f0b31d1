"""The contamination score: points, lowest grades, what was not looked at."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.cleanup.severity import SEVERITY, Burn, Debris, Deposit, Signs, Smell, severity
from witnessmark.errors import ConflictError, OutOfRangeError, UnknownNameError
from witnessmark.vocabulary import words

CLEAN = Signs(
    acid_number=Measured(0.01),
    acid_test="negative",
    colour=Measured(1.0),
    smell="none",
    burn="none",
    debris=frozenset(),
    deposits=frozenset(),
    repeated_failure=False,
)


def test_clear_oil_without_acid_is_mechanical_only() -> None:
    found = severity("POE", CLEAN)
    assert (found.grade, found.score, found.items, found.not_looked_at) == (0, 0, (), ())
    assert found.name == "mechanical only"


def test_metal_alone_keeps_the_grade_and_is_named() -> None:
    signs = Signs(Measured(0.01), colour=Measured(1.0), debris=frozenset({"metal-fragments", "metal-fines"}))
    found = severity("POE", signs)
    assert found.grade == 0
    assert [item.id for item in found.items] == ["metal-fines", "metal-fragments"]


@pytest.mark.parametrize("known", [{}, {"debris": frozenset({"metal-fragments"})}, {"repeated_failure": True}])
def test_a_case_that_nobody_has_looked_at_is_unknown_and_planned_as_severe(known: dict[str, object]) -> None:
    """Neither broken metal nor an earlier failure tells anything of the oil."""
    found = severity("POE", Signs(**known))  # type: ignore[arg-type]
    assert found.name == "unknown"
    assert found.grade >= 2
    assert {"acid-not-tested", "oil-not-seen"} <= {item.id for item in found.items}
    assert {"acid", "oil colour", "smell", "winding"} <= set(found.not_looked_at)


def test_nothing_looked_at_is_listed() -> None:
    names = ("acid", "oil colour", "smell", "winding", "loose solids", "lines", "earlier failures")
    assert severity("POE", Signs()).not_looked_at == names


@pytest.mark.parametrize(
    "known",
    [{"smell": "none"}, {"burn": "spot"}, {"acid_test": "negative"}, {"colour": Measured(1.0)},
     {"debris": frozenset({"carbonised-oil"})}, {"deposits": frozenset({"carbon-in-drier"})},
     {"burnt_while_turning": True}, {"water": Measured(20e-6)}, {"acid_number": Measured(0.01)}],
)  # fmt: skip
def test_one_look_is_enough_not_to_be_unknown(known: dict[str, object]) -> None:
    assert severity("POE", Signs(**known)).name != "unknown"  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("debris", "solids"),
    [(None, "not looked at"), ((), "none found"), (("carbonised-oil",), "none found"), (("metal-fines",), "fines"),
     (("desiccant-dust",), "fines"), (("metal-fines", "metal-fragments"), "fragments")],
)  # fmt: skip
def test_solids_are_an_axis_of_their_own(debris: tuple[Debris, ...] | None, solids: str) -> None:
    """A shattered set with clear oil: nothing to neutralise, and a circuit full of metal."""
    found = severity("POE", replace(CLEAN, debris=None if debris is None else frozenset(debris)))
    assert found.solids == solids
    assert found.solids_text
    assert (found.grade == 0) is (debris in (None, (), ("metal-fines",), ("metal-fines", "metal-fragments")))
    assert ("not clean" in found.solids_text) is (solids == "fragments")


def test_a_second_mechanical_failure_with_clean_oil_is_no_sludge_case() -> None:
    found = severity("POE", replace(CLEAN, repeated_failure=True, debris=frozenset({"metal-fragments"})))
    assert found.grade == 0
    assert "repeated-clean" in {item.id for item in found.items}


@pytest.mark.parametrize(
    "change", [{"acid_test": "positive", "acid_number": None}, {"acid_number": None, "acid_test": None}]
)
def test_a_second_failure_with_spoiled_or_unknown_oil_is(change: dict[str, object]) -> None:
    assert severity("POE", replace(CLEAN, repeated_failure=True, **change)).grade == 3  # type: ignore[arg-type]


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
        ({"deposits": frozenset({"carbon-in-drier"})}, "carbon-suction", 2),
        ({"deposits": frozenset({"carbon-in-suction-line"})}, "carbon-suction", 2),
        ({"deposits": frozenset({"sludge-in-discharge-line"})}, "sludge-discharge", 2),
        ({"deposits": frozenset({"sludge-in-suction-line"})}, "sludge-suction", 3),
        ({"debris": frozenset({"carbonised-oil"})}, "carbonised-oil", 1),
        ({"debris": frozenset({"copper-plating"})}, "copper-plating", 1),
        ({"debris": frozenset({"desiccant-dust"})}, "desiccant-dust", 1),
        ({"repeated_failure": True, "smell": "slight"}, "repeated", 3),
        ({"repeated_failure": True}, "repeated-clean", 0),
    ],
)
def test_each_sign_has_its_item_and_lowest_grade(change: dict[str, object], item: str, grade: int) -> None:
    found = severity("POE", replace(CLEAN, **change))  # type: ignore[arg-type]
    assert item in {i.id for i in found.items}
    assert found.grade == grade


def test_points_add_up_to_a_higher_grade() -> None:
    """Four mild signs together are severe; none of them is alone."""
    mild = replace(CLEAN, smell="slight", burn="spot", colour=Measured(3.7), debris=frozenset({"carbonised-oil"}))
    found = severity("POE", mild)
    assert max(item.floor for item in found.items) == 1
    assert (found.score, found.grade) == (5, 2)


def test_the_score_is_the_sum_of_its_items() -> None:
    signs = Signs(Measured(0.4), colour=Measured(7.0), smell="burnt", burn="winding", repeated_failure=True)
    found = severity("POE", signs)
    assert found.score == sum(item.points for item in found.items)
    assert found.grade == 3


def test_a_makers_limit_changes_the_item() -> None:
    over = replace(CLEAN, acid_number=Measured(0.08), acid_test=None)
    assert [item.id for item in severity("POE", over).items] == ["acid-over"]
    assert [item.id for item in severity("POE", over, MakerLimits(acid_number=0.1)).items] == ["acid-raised"]


def test_contradictions_and_nonsense_are_refused() -> None:
    with pytest.raises(ConflictError) as burn:
        severity("POE", Signs(burn="none", burnt_while_turning=True))
    assert burn.value.fields == ("signs.burnt_while_turning", "signs.burn")
    with pytest.raises(ConflictError):
        severity("POE", Signs(acid_number=Measured(2.0), acid_test="negative"))
    with pytest.raises(OutOfRangeError) as range_error:
        severity("POE", Signs(colour=Measured(9.0)))
    assert range_error.value.field == "signs.colour"
    with pytest.raises(UnknownNameError):
        severity("butter", Signs())  # type: ignore[arg-type]


def every_sign() -> Iterator[Signs]:
    """Signs that between them show everything there is to show, for polyolester."""
    for name, values in (
        ("acid_number", (0.03, 0.05, 1.0)),
        ("colour", (3.7, 7.0)),
        ("water", (300e-6,)),
    ):
        yield from (replace(CLEAN, acid_test=None, **{name: Measured(value, value / 50)}) for value in values)  # type: ignore[arg-type]
    yield Signs()
    yield replace(CLEAN, acid_test="positive", repeated_failure=True)
    yield replace(CLEAN, repeated_failure=True)
    yield from (replace(CLEAN, smell=smell) for smell in words(Smell))
    yield from (replace(CLEAN, burn=burn) for burn in words(Burn))
    yield replace(CLEAN, burn="spot", burnt_while_turning=True)
    yield replace(CLEAN, debris=frozenset(words(Debris)), deposits=frozenset(words(Deposit)))


def test_every_item_of_the_data_can_be_reached() -> None:
    reached = {item.id for signs in every_sign() for item in severity("POE", signs).items}
    assert reached == set(SEVERITY().item)
    assert len(SEVERITY().item) == 24


def test_carbon_in_line_and_drier_counts_once() -> None:
    both = replace(CLEAN, deposits=frozenset({"carbon-in-drier", "carbon-in-suction-line"}))
    assert (severity("POE", both).score, len(severity("POE", both).items)) == (3, 1)


@pytest.mark.parametrize(
    ("debris", "smell", "score", "grade"),
    [
        ((), "none", 0, 0),
        ((), "slight", 1, 1),
        (("copper-plating",), "slight", 3, 1),
        (("copper-plating", "carbonised-oil"), "none", 4, 2),
    ],
)
def test_grades_begin_at_their_thresholds(debris: tuple[Debris, ...], smell: Smell, score: int, grade: int) -> None:
    found = severity("POE", replace(CLEAN, debris=frozenset(debris), smell=smell))
    assert (found.score, found.grade) == (score, grade)


def test_a_negative_kit_is_believed_up_to_ten_times_the_limit() -> None:
    """The limit of polyolester is 0.05 mg KOH/g."""
    assert severity("POE", replace(CLEAN, acid_number=Measured(0.5))).grade == 2
    with pytest.raises(ConflictError) as caught:
        severity("POE", replace(CLEAN, acid_number=Measured(0.501)))
    assert caught.value.fields == ("signs.acid_test", "signs.acid_number")
