"""Steps by grade and facts."""

from dataclasses import replace
from datetime import datetime

import pytest

from witnessmark.calculations.tightness.vacuum_levels import MICRON, vacuum_levels
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.severity import Signs
from witnessmark.cleanup.steps import STEPS, Fact, facts_of, steps
from witnessmark.reference import caution
from witnessmark.restart import vacuum_evidence
from witnessmark.vocabulary import BurnoutGrade, Construction, Oil, Plant, words

PLAIN = Signs(burn="none")
BASE = CleanupJob("R-410A", 277.6, "POE", datetime.fromisoformat("2026-06-01T08:00"), "UTC")


def facts(refrigerant: str, plant: Plant, compressors: int, signs: Signs, *, can_lock: bool) -> frozenset[Fact]:
    job = replace(BASE, refrigerant=refrigerant, plant=plant, compressors=compressors, signs=signs)
    return facts_of(job, 2, can_lock=can_lock)


def ids(grade: int, facts: frozenset[Fact]) -> list[str]:
    return [step.id for step in steps(grade, facts)]


def test_a_heat_pump_is_locked_and_released_after_the_cores_are_out() -> None:
    known = facts("R-410A", "heat-pump", 1, PLAIN, can_lock=True)
    order = ids(2, known)
    assert order.index("lock-cooling") < order.index("start") < order.index("remove-core") < order.index("release-lock")
    assert "liquid-drier-bi-flow" not in order


def test_a_plant_that_cannot_be_locked_gets_bi_flow_and_no_lock() -> None:
    known = facts("R-410A", "branch-controlled", 3, PLAIN, can_lock=False)
    order = ids(2, known)
    assert "liquid-drier-bi-flow" in order
    assert not {"lock-cooling", "release-lock", "liquid-drier"} & set(order)
    assert "other-compressors" in order


def test_a_cooling_plant_has_no_lock() -> None:
    known = facts("R-134a", "cooling-only", 1, PLAIN, can_lock=True)
    assert not {"reversible", "lockable", "not-lockable", "several", "flammable", "toxic"} & known
    assert not {"lock-cooling", "release-lock", "other-compressors"} & set(ids(3, known))


def test_safety_class_brings_its_step_before_recovery() -> None:
    propane = facts("R-290", "cooling-only", 1, PLAIN, can_lock=False)
    ammonia = facts("R-717", "cooling-only", 1, PLAIN, can_lock=False)
    order = ids(0, propane)
    assert order.index("gas") < order.index("recover")
    assert {"gas", "toxic", "ammonia"} <= set(ids(0, ammonia))
    assert "ammonia" not in order


def test_loose_metal_brings_weighing_and_a_fine_filter_even_without_acid() -> None:
    signs = Signs(debris=frozenset({"metal-fragments"}))
    order = ids(0, facts("R-32", "cooling-only", 1, signs, can_lock=False))
    assert {"weigh-fragments", "secondary-filter", "suction-strainer", "remove-strainer"} <= set(order)
    assert "suction-core" not in order


def test_numbers_run_and_every_caution_exists() -> None:
    made = steps(3, facts("R-32", "heat-pump", 2, Signs(debris=frozenset({"metal-fines"})), can_lock=True))
    assert [step.number for step in made] == list(range(1, len(made) + 1))
    for row in STEPS().step.values():
        assert [caution(key).id for key in row.cautions]


def test_every_plan_passes_the_gate_before_the_start() -> None:
    for grade in (0, 1, 2, 3):
        order = ids(grade, frozenset())
        assert order.index("gate") < order.index("start") < order.index("watch")
        assert order[0] == "make-safe"


@pytest.mark.parametrize("signs", [{"burn": "spot"}, {"burn": "winding"}, {"smell": "burnt"}, {}])
def test_after_a_burn_the_start_gear_is_looked_into_and_the_vacuum_broken_twice(signs: dict[str, str]) -> None:
    """A new motor on a welded contactor burns. Not looked at, with such oil: as after a burn."""
    known = facts("R-22", "cooling-only", 1, Signs(**signs), can_lock=False)  # type: ignore[arg-type]
    for grade in (1, 2, 3):
        order = ids(grade, known)
        assert order.index("start-gear") < order.index("gate")
        assert "triple-evacuation" in order
        assert "tight-and-dry" not in order


def test_a_mechanical_failure_needs_neither() -> None:
    for grade, signs in ((0, Signs()), (2, PLAIN)):
        known = facts_of(replace(BASE, signs=signs), grade, can_lock=False)  # type: ignore[arg-type]
        assert {"start-gear", "triple-evacuation"}.isdisjoint(ids(grade, known))
        assert "tight-and-dry" in ids(grade, known)


@pytest.mark.parametrize(
    ("construction", "oil_port", "drawn"),
    [("hermetic", None, False), ("hermetic", True, True), ("semi-hermetic", None, True), ("open-drive", None, True),
     ("semi-hermetic", False, False), (None, None, None), (None, False, False)],
)  # fmt: skip
def test_where_oil_can_be_drawn(construction: Construction | None, oil_port: bool | None, drawn: bool | None) -> None:  # noqa: FBT001
    job = replace(BASE, construction=construction, oil_port=oil_port)
    assert job.draws_oil is drawn
    assert ("oil-trap" in ids(1, facts_of(job, 1, can_lock=False))) is (drawn is False)


def test_fragments_bring_blowing_through_at_every_grade() -> None:
    known = facts("R-410A", "heat-pump", 1, Signs(debris=frozenset({"metal-fragments"}), burn="none"), can_lock=True)
    grades: tuple[BurnoutGrade, ...] = (0, 1, 2, 3)
    for grade in grades:
        assert {"blow-through-fragments", "weigh-fragments"} <= set(ids(grade, known))
    fines = facts("R-410A", "heat-pump", 1, Signs(debris=frozenset({"metal-fines"}), burn="none"), can_lock=True)
    assert "blow-through-fragments" not in ids(0, fines)


def test_no_step_names_a_vacuum_of_its_own_nor_indoor_units_on_every_plant() -> None:
    """The level is that of the decay test and the gate, by oil."""
    for row in STEPS().step.values():
        assert "micron" not in row.text
        assert "indoor" not in row.text


@pytest.mark.parametrize("oil", [None, *words(Oil)])
def test_plan_decay_test_and_gate_ask_one_vacuum(oil: Oil | None) -> None:
    """The step says what the table of the decay test holds; the gate judges a burnt machine by the same row."""
    for burnt in (True, False):
        situation = vacuum_evidence.situation_of("ordinary", 2 if burnt else 0)
        row = vacuum_levels(oil, situation)
        made = steps(2, frozenset({"burnt"} if burnt else ()), oil)
        (step,) = (s for s in made if s.id in ("triple-evacuation", "tight-and-dry"))
        for level in (row.pull_to.rule().value, row.after_hold.rule().value):
            assert f"({level / MICRON:.0f} micron)" in step.text
        assert f"{row.hold.rule().value / 60:.0f} min" in step.text
        assert ("three times" in step.text) is (row.pulls == 3)


@pytest.mark.parametrize("grade", [0, 1, 2, 3])
@pytest.mark.parametrize("can_lock", [True, False])
def test_ammonia_gets_no_step_of_halocarbon_plants(grade: BurnoutGrade, can_lock: bool) -> None:  # noqa: FBT001
    """Desiccant cores, copper driers and kits for acid in POE do not go with ammonia (common practice)."""
    signs = Signs(debris=frozenset({"metal-fines"}))
    order = set(ids(grade, facts("R-717", "heat-pump", 1, signs, can_lock=can_lock)))
    cores = {"liquid-drier", "liquid-drier-bi-flow", "suction-core", "suction-strainer", "oil-trap", "remove-core"}
    assert not cores & order
    assert "ammonia-strainer" in order
    assert "ammonia-strainer" not in ids(grade, facts("R-410A", "heat-pump", 1, signs, can_lock=can_lock))


HALOCARBON = {"recover", "cut-stub", "compressor"}


@pytest.mark.parametrize("grade", [0, 1, 2, 3])
def test_ammonia_is_pumped_down_and_unbolted_and_never_reclaimed_or_brazed(grade: BurnoutGrade) -> None:
    """Welded steel, and a charge that is absorbed or burnt off (memory)."""
    told = steps(grade, facts_of(replace(BASE, refrigerant="R-717"), grade, can_lock=False))
    assert HALOCARBON.isdisjoint({step.id for step in told})
    assert {"ammonia-charge", "ammonia-compressor"} <= {step.id for step in told}
    assert ("ammonia-open" in {step.id for step in told}) == (grade > 1)
    text = " ".join(step.text for step in told)
    assert "brazing" not in text
    assert "unsweat" not in text
    assert "send it for reclaim" not in text


@pytest.mark.parametrize("grade", [0, 1, 2, 3])
def test_carbon_dioxide_is_charged_with_vapour_first_and_named_as_what_suffocates(grade: BurnoutGrade) -> None:
    """The triple point of R-744 is 5.18 bar, -56.6 degC: Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509."""
    told = [step.id for step in steps(grade, facts_of(replace(BASE, refrigerant="R-744"), grade, can_lock=False))]
    text = {step.id: step.text for step in STEPS().step.values()}
    assert "recover" not in told
    assert told.index("carbon-dioxide-room") < told.index("carbon-dioxide-charge") < told.index("oil-sample")
    evacuated = next(k for k, name in enumerate(told) if name in ("triple-evacuation", "tight-and-dry"))
    assert evacuated < told.index("carbon-dioxide-fill") < told.index("start")
    assert "5.2 bar absolute" in text["carbon-dioxide-fill"]
    assert "suffocates" in text["carbon-dioxide-room"]


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-22", "R-290", "R-1234yf"])
def test_halocarbons_and_hydrocarbons_keep_their_steps(refrigerant: str) -> None:
    told = {step.id for step in steps(2, facts_of(replace(BASE, refrigerant=refrigerant), 2, can_lock=False))}
    assert told >= HALOCARBON
    assert not [name for name in told if name.startswith(("ammonia", "carbon-dioxide"))]


CORES = {"suction-core", "suction-strainer", "secondary-filter", "remove-core", "remove-strainer", "oil-trap"}


@pytest.mark.parametrize("grade", words(BurnoutGrade))
@pytest.mark.parametrize(
    "chiller",
    [{"refrigerant": "R-123"}, {"refrigerant": "R-1233zd(E)"}, {"refrigerant": "R-134a", "compressor": "centrifugal"}],
)
def test_no_core_is_ordered_for_a_centrifugal_chiller(grade: BurnoutGrade, chiller: dict[str, str]) -> None:
    job = replace(BASE, construction="hermetic", signs=Signs(debris=frozenset({"metal-fragments"})), **chiller)  # type: ignore[arg-type]
    known = facts_of(job, grade, can_lock=False, wet=True)
    order = ids(grade, known)
    assert not CORES & set(order)
    assert not {"liquid-drier", "cut-stub", "compressor"} & set(order)
    assert {"chiller-open", "chiller-clean-up", "chiller-compressor", "chiller-fragments", "watch-chiller"} <= set(
        order
    )
    assert STEPS().clean.of(known) == STEPS().clean.chiller
    assert job.draws_oil


def test_a_screw_on_the_same_refrigerant_gets_its_core() -> None:
    job = replace(BASE, refrigerant="R-134a", compressor="screw")
    assert "suction-core" in ids(2, facts_of(job, 2, can_lock=False))


@pytest.mark.parametrize("grade", words(BurnoutGrade))
def test_a_split_without_a_drier_has_a_way_on(grade: BurnoutGrade) -> None:
    job = replace(BASE, parts=("lines", "capillary", "outdoor-coil"), signs=Signs(burn="none", debris=frozenset()))
    known = facts_of(job, grade, can_lock=False)
    order = ids(grade, known)
    assert "liquid-drier" not in order
    assert ("built-without-drier" in order) is (grade == 0)
    assert ("fit-a-drier" in order) is (grade > 0)
    assert any("liquid drier" in text for text in STEPS().clean.of(known)) is False


def test_without_any_filter_or_port_tests_alone_prove_it_clean() -> None:
    clean = STEPS().clean
    assert clean.of(frozenset({"no-core", "no-drier"})) == clean.without_filters
    assert clean.of(frozenset({"no-core", "no-drier", "no-port"})) == clean.without_filters_or_port


@pytest.mark.parametrize("grade", words(BurnoutGrade))
def test_a_shell_that_stays_is_not_told_to_be_taken_out_but_its_cores_are(grade: BurnoutGrade) -> None:
    job = replace(BASE, installation="permanent", signs=Signs(burn="none", debris=frozenset({"metal-fines"})))
    order = set(ids(grade, facts_of(job, grade, can_lock=False)))
    assert not {"suction-core", "suction-strainer", "remove-core", "remove-strainer"} & order
    assert ("suction-shell-strainer" in order) is (grade == 0)
    assert ({"suction-shell", "cores-to-felt"} <= order) is (grade > 0)


@pytest.mark.parametrize("grade", words(BurnoutGrade))
@pytest.mark.parametrize("seen", ["metal-fines", "metal-fragments"])
def test_whatever_temporary_thing_is_fitted_is_taken_out_again(grade: BurnoutGrade, seen: str) -> None:
    job = replace(BASE, signs=Signs(burn="none", debris=frozenset({seen})))  # type: ignore[arg-type]
    order = ids(grade, facts_of(job, grade, can_lock=False))
    fitted = {"suction-core", "suction-strainer"} & set(order)
    assert len(fitted) == len({"remove-core", "remove-strainer"} & set(order)) == 1
    assert "secondary-filter" in order
    removed = next(step for step in steps(grade, facts_of(job, grade, can_lock=False)) if step.id.startswith("remove-"))
    assert "secondary element" in removed.text
