"""The plan as a whole."""

from dataclasses import fields
from datetime import datetime
from typing import Any

import pytest
from tests.cleanup.cases import job

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.cleanup.plan import plan
from witnessmark.cleanup.severity import NO_SIGNS, Burn, Debris
from witnessmark.errors import UnknownNameError
from witnessmark.reference import caution, source
from witnessmark.vocabulary import Oil


def test_a_plan_holds_together() -> None:
    made = plan(job())
    assert made.severity.grade == 2
    assert made.turnover is not None
    assert [fit.position for fit in made.fits] == [0]
    assert made.checks[0].elapsed == 0
    assert len(made.clean_when) == 3
    assert [work.part.id for work in made.parts if work.action == "replace"]


def test_cautions_and_sources_exist_and_stand_once() -> None:
    made = plan(job(maker_limits=MakerLimits(suction_drop=20e3)))
    assert next(iter(made.notes.cautions)) == "licensed"
    assert [caution(key).id for key in made.notes.cautions]
    assert [source(key).id for key in made.notes.sources]
    assert "maker-limit" in made.notes.sources
    assert "reversed-flow" in made.notes.cautions


def test_the_evaporating_temperature_moves_the_limit() -> None:
    warm, cold = plan(job()), plan(job(evaporating_temperature=245.0))
    assert cold.drop_limit.drop < warm.drop_limit.drop


@pytest.mark.parametrize(
    ("circuit", "locked", "noted"),
    [
        ({"plant": "cooling-only", "can_lock": None}, False, False),
        ({"plant": "heat-pump", "can_lock": None}, True, True),
        ({"plant": "heat-pump", "can_lock": False}, False, False),
        ({"plant": "branch-controlled", "can_lock": True}, True, False),
    ],
)
def test_the_lock(circuit: dict[str, object], locked: bool, noted: bool) -> None:  # noqa: FBT001
    made = plan(job(**circuit))
    assert ("lock-cooling" in {step.id for step in made.steps}) is locked
    assert ("release-lock" in {step.id for step in made.steps}) is locked
    assert any("locked in cooling (not said)" in text for text in made.notes.assumptions) is noted


def test_named_parts_stand_in_for_the_usual_ones() -> None:
    made = plan(job(parts=("receiver", "capillary", "receiver")))
    assert {work.part.id for work in made.parts} == {"receiver", "capillary"}
    with pytest.raises(UnknownNameError) as caught:
        plan(job(parts=("receiver", "flux capacitor")))
    assert caught.value.field == "parts.1"


@pytest.mark.parametrize(
    ("circuit", "said"),
    [
        ({"oil_port": True}, None),
        ({"construction": "hermetic"}, "hermetic: taken as without an oil port"),
        ({"construction": "open-drive"}, "open-drive: taken as with an oil port"),
        ({}, "both ways"),
    ],
)
def test_where_oil_can_be_drawn_is_said_or_assumed(circuit: dict[str, object], said: str | None) -> None:
    made = plan(job(**circuit))
    told = [text for text in made.notes.assumptions if text.startswith("Oil port")]
    assert len(told) == (said is not None)
    assert said is None or said in told[0]
    assert len(made.clean_when) == (2 if circuit.get("construction") == "hermetic" else 3)
    assert "a day of running apart" in made.clean_when[0]


def test_a_shattered_set_with_clear_oil_gets_a_plan_for_its_metal() -> None:
    clear = {"acid_number": None, "acid_test": "negative", "colour": Measured(1.0), "smell": "none"}
    made = plan(job(signs=clear | {"debris": frozenset({"metal-fragments"}), "repeated_failure": True}))
    assert made.severity.grade == 0
    assert made.severity.solids == "fragments"
    assert "blow-through-fragments" in {step.id for step in made.steps}
    assert {work.action for work in made.parts} == {"clean", "replace"}
    assert made.core_sets.sets == 1


def test_sludge_in_the_discharge_line_is_cleaned_out_of_it() -> None:
    made = plan(job(signs={"deposits": frozenset({"sludge-in-discharge-line"}), "debris": frozenset()}))
    work = {item.part.id: item.action for item in made.parts}
    assert (work["discharge-line"], work["outdoor-coil"], work["reversing-valve"]) == ("clean", "clean", "replace")


def test_a_filter_for_a_line_that_has_no_need_is_left_out() -> None:
    assert plan(job(capacity=None)).fits == ()


def test_a_clock_time_that_comes_twice_is_noted() -> None:
    twice = datetime.fromisoformat("2026-11-01T01:30")
    assert any("comes twice" in text for text in plan(job(start=twice)).notes.assumptions)
    assert not any("comes twice" in text for text in plan(job()).notes.assumptions)


def test_ammonia_is_remarked_on_and_so_is_an_oil_that_it_destroys() -> None:
    """Aminolysis of esters by ammonia: a plan for R-717 and POE rests on a slip in one of the two."""
    said = [" ".join(plan(job(refrigerant=r, oil=o)).notes.assumptions) for r, o in AMMONIA]
    assert ["halocarbon plants" in text for text in said] == [True, True, False]
    assert ["against the nameplate" in text for text in said] == [True, False, False]


AMMONIA = (("R-717", "POE"), ("R-717", "mineral"), ("R-410A", "POE"))


def test_an_oil_that_is_not_usual_with_the_refrigerant_is_remarked_on() -> None:
    odd = plan(job(refrigerant="R-410A", oil="mineral")).notes.assumptions
    assert any("mineral is no usual oil for R-410A" in text for text in odd)
    assert not any("usual oil" in text for text in plan(job(refrigerant="R-410A", oil="POE")).notes.assumptions)


@pytest.mark.parametrize("oil", ["POE", "PVE", "PAG", "mineral"])
@pytest.mark.parametrize("burn", ["none", "winding"])
def test_wet_oil_is_dried_whatever_its_base(oil: Oil, burn: Burn) -> None:
    """Worst wrong answer: grade 0, nothing about water, and an ordinary vacuum. PVE has no limit of its own."""
    signs = {f.name: getattr(NO_SIGNS, f.name) for f in fields(NO_SIGNS)} | {
        "acid_number": Measured(0.01),
        "colour": Measured(1.0),
        "water": Measured(500e-6),
        "burn": burn,
        "debris": frozenset(),
    }
    made = plan(job(oil=oil, signs=signs))
    texts = {step.id: step.text for step in made.steps}
    assert made.severity.grade > 0
    assert "dry" in texts
    (evacuation,) = texts.keys() & {"triple-evacuation", "triple-evacuation-wet", "tight-and-dry"}
    assert evacuation == ("triple-evacuation-wet" if burn == "none" else "triple-evacuation")
    assert "40 Pa (300 micron) after" in texts[evacuation]
    dry = plan(job(oil=oil, signs=signs | {"water": Measured(10e-6)}))
    assert {step.id for step in dry.steps}.isdisjoint({"dry", "triple-evacuation-wet"})


def test_a_makers_limit_of_the_oil_that_does_not_count_is_warned_of() -> None:
    assert {*plan(job(maker_limits=MakerLimits(acid_number=0.5))).notes.cautions} > {*plan(job()).notes.cautions}


def test_the_burn_of_a_motor_outside_the_circuit_dirties_nothing_in_it() -> None:
    """Wrong answer: a burnout cleaning of a clean circuit; or none of one whose oil is sour, whichever motor burnt."""
    clean = CLEAN | {"burn": "winding"}
    outside, inside = plan(job(signs=clean, construction="open-drive")), plan(job(signs=clean))
    assert (outside.severity.grade, inside.severity.grade) == (0, 2)
    assert any(text.startswith("Open drive: its motor stands outside") for text in outside.notes.assumptions)
    assert not any(text.startswith("Open drive") for text in inside.notes.assumptions)
    sour = clean | {"acid_test": "positive", "colour": Measured(7.0)}
    assert plan(job(signs=sour, construction="open-drive")).severity.grade > 0


CLEAN: dict[str, Any] = {
    "acid_number": None,
    "acid_test": "negative",
    "colour": Measured(1.5),
    "smell": "none",
    "debris": frozenset(),
}
FITS = {"suction-core", "suction-strainer"}


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-404A", "R-717"])
@pytest.mark.parametrize("burn", ["none", "spot", "winding"])
@pytest.mark.parametrize("debris", [frozenset(), frozenset({"metal-fines"}), frozenset({"metal-fragments"})])
@pytest.mark.parametrize("port", [True, False])
def test_no_visit_changes_a_core_that_no_step_fits(
    refrigerant: str,
    burn: Burn,
    debris: frozenset[Debris],
    port: bool,  # noqa: FBT001
) -> None:
    signs = CLEAN | {"burn": burn, "debris": debris}
    oil: Oil = "mineral" if refrigerant == "R-717" else "POE"
    made = plan(job(refrigerant=refrigerant, oil=oil, signs=signs, oil_port=port))
    fitted = not FITS.isdisjoint(step.id for step in made.steps)
    later = [step for step in made.steps if step.when != "before" and step.id != "record"]
    told = " ".join([*(f"{c.title} {c.what}" for c in made.checks), *(s.text for s in later), *made.clean_when])
    assert ("core" in told.replace("one-way cores", "")) is fitted
    assert ("acid" in told) is (refrigerant != "R-717")
    assert (made.core_sets.sets == 0) is (refrigerant == "R-717")
    assert made.checks[0].id == "start"
    assert made.checks[-1].id == "two-weeks"


def test_a_chiller_gets_its_usual_parts_no_core_and_no_suction_filter() -> None:
    """R-123: nobody said what compresses, and only centrifugals run on it."""
    chiller: dict[str, Any] = {"plant": "cooling-only", "can_lock": None, "parts": None, "filters": ()}
    made = plan(job(refrigerant="R-123", oil="mineral", capacity=1.2e6, charge=500.0, **chiller))
    assert made.core_sets.sets == 0
    assert made.needs == ()
    assert {work.part.id for work in made.parts} == {"outdoor-coil", "indoor-coils", "strainers", "sight-glass"}
    assert "centrifugal-clean-up-memory" in made.notes.sources
    assert not any("liquid" in check.what or "suction" in check.what for check in made.checks)
