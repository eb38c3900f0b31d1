"""Steps by grade and facts."""

from witnessmark.cleanup.severity import Signs
from witnessmark.cleanup.steps import STEPS, Fact, facts_of, steps
from witnessmark.reference import caution

PLAIN = Signs()


def ids(grade: int, facts: frozenset[Fact]) -> list[str]:
    return [step.id for step in steps(grade, facts)]  # type: ignore[arg-type]


def test_a_heat_pump_is_locked_and_released_after_the_cores_are_out() -> None:
    facts = facts_of("R-410A", "heat-pump", 1, PLAIN, can_lock=True)
    order = ids(2, facts)
    assert order.index("lock-cooling") < order.index("start") < order.index("remove-core") < order.index("release-lock")
    assert "liquid-drier-bi-flow" not in order


def test_a_plant_that_cannot_be_locked_gets_bi_flow_and_no_lock() -> None:
    facts = facts_of("R-410A", "branch-controlled", 3, PLAIN, can_lock=False)
    order = ids(2, facts)
    assert "liquid-drier-bi-flow" in order
    assert not {"lock-cooling", "release-lock", "liquid-drier"} & set(order)
    assert "other-compressors" in order


def test_a_cooling_plant_has_no_lock() -> None:
    facts = facts_of("R-134a", "cooling-only", 1, PLAIN, can_lock=True)
    assert not {"reversible", "lockable", "not-lockable", "several", "flammable", "toxic"} & facts
    assert not {"lock-cooling", "release-lock", "other-compressors"} & set(ids(3, facts))


def test_safety_class_brings_its_step_before_recovery() -> None:
    propane = facts_of("R-290", "cooling-only", 1, PLAIN, can_lock=False)
    ammonia = facts_of("R-717", "cooling-only", 1, PLAIN, can_lock=False)
    order = ids(0, propane)
    assert order.index("gas") < order.index("recover")
    assert {"gas", "toxic"} <= set(ids(0, ammonia))


def test_loose_metal_brings_weighing_and_a_fine_filter_even_without_acid() -> None:
    signs = Signs(debris=frozenset({"metal-fragments"}))
    order = ids(0, facts_of("R-32", "cooling-only", 1, signs, can_lock=False))
    assert {"weigh-fragments", "secondary-filter", "suction-strainer", "remove-strainer"} <= set(order)
    assert "suction-core" not in order


def test_numbers_run_and_every_caution_exists() -> None:
    made = steps(3, facts_of("R-32", "heat-pump", 2, Signs(debris=frozenset({"metal-fines"})), can_lock=True))
    assert [step.number for step in made] == list(range(1, len(made) + 1))
    for row in STEPS().step.values():
        assert [caution(key).id for key in row.cautions]


def test_every_plan_passes_the_gate_before_the_start() -> None:
    for grade in (0, 1, 2, 3):
        order = ids(grade, frozenset())
        assert order.index("gate") < order.index("start") < order.index("watch")
        assert order[0] == "make-safe"
