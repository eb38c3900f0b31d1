"""Data files and formulas read back: what a source prints against what was typed from it. No check of truth."""

from __future__ import annotations

from datetime import datetime

import pytest
from tests.cleanup.units import PSI, kelvin

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.oil_quality import OilProperty, judge
from witnessmark.calculations.samples.refrigerant_quality import CheckOutcome, Impurity, PurityCheck
from witnessmark.calculations.samples.refrigerant_quality import judge as purity
from witnessmark.cleanup.components import actions
from witnessmark.cleanup.debris_rules import DEBRIS
from witnessmark.cleanup.drop_correction import FlowState, factor
from witnessmark.cleanup.drop_limits import drop_limit, penalty
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.plan import plan
from witnessmark.cleanup.schedule import checks, instant, zone
from witnessmark.cleanup.severity import Burn, Signs, severity
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.vocabulary import Oil

CLEAR = {"acid_number": Measured(0.01), "colour": Measured(1.0)}

# A hermetic compressor maker's service handbook, Table 5-8 (read): maximum drop in psi of a temporary suction
# filter-drier during cleanup. Refrigerant, evaporating temperature (degF) inside the printed range, printed limit.
TEMPORARY = [
    ("R-134a", 43, 6.0),
    ("R-12", 38, 6.0),
    ("R-134a", 15, 3.0),
    ("R-134a", -15, 2.0),
    ("R-12", -30, 0.75),
    ("R-22", 43, 8.0),
    ("R-407C", 43, 8.0),
    ("R-404A", 15, 4.0),
    ("R-502", -15, 3.0),
    ("R-507A", -30, 1.5),
]


@pytest.mark.parametrize(("refrigerant", "fahrenheit", "printed"), TEMPORARY)
def test_the_handbook_limit_is_among_the_candidates_and_never_exceeded(
    refrigerant: str, fahrenheit: float, printed: float
) -> None:
    found = drop_limit(refrigerant, kelvin(fahrenheit), "temporary")
    table_5_8 = [c.drop / PSI for c in found.candidates if c.source == "cleanup-temporary-table"]
    assert any(drop == pytest.approx(printed) for drop in table_5_8)
    assert found.drop <= printed * PSI * (1 + 1e-12)


def test_the_handbook_table_itself_decides_for_low_temperature() -> None:
    """Same table: R-12 and R-134a from -20 to -40 degF, 3/4 psi; R-22 and R-404A 1 1/2 psi."""
    assert drop_limit("R-134a", kelvin(-30), "temporary").drop == pytest.approx(0.75 * PSI)
    assert drop_limit("R-404A", kelvin(-30), "temporary").drop == pytest.approx(1.5 * PSI)


def test_army_manual_three_psi_is_excessive_for_a_permanent_drier() -> None:
    """TM 5-4120-285-15 (read): "A pressure drop in excess of 3 psi is generally considered excessive"; an R-22 unit."""
    found = drop_limit("R-22", kelvin(45), "permanent")
    assert any(c.source == "cleanup-burnout-manual" and c.drop == pytest.approx(3 * PSI) for c in found.candidates)
    assert found.drop <= 3 * PSI


@pytest.mark.parametrize("refrigerant", ["R-22", "R-134a", "R-410A", "R-404A", "R-32", "R-744"])
def test_rise_of_five_psi_in_the_first_hour_is_never_allowed(refrigerant: str) -> None:
    """A dehumidifier maker's manual (read): change cores if the drop rose more than 5 psi above the first reading."""
    assert drop_limit(refrigerant, kelvin(40), "temporary").rise_over_new.drop <= 5 * PSI


@pytest.mark.parametrize("refrigerant", ["R-22", "R-134a", "R-410A"])
def test_handbook_one_kelvin_above_new(refrigerant: str) -> None:
    """A refrigeration handbook, Figure 9.10 (read): removed if the drop becomes 1 K greater than when new."""
    rise = drop_limit(refrigerant, kelvin(40), "temporary").rise_over_new
    assert penalty(refrigerant, kelvin(40), rise.drop) == pytest.approx(1.0, abs=1e-6)


def test_part_load_correction() -> None:
    """Common practice, worked: 1.2 psi at 60 % of flow is 3.33 psi by n = 2 and 3.01 psi by n = 1.8."""
    assert 1.2 * factor(FlowState(0.6), 2.0) == pytest.approx(3.33, abs=0.005)
    assert 1.2 * factor(FlowState(0.6), 1.8) == pytest.approx(3.01, abs=0.005)


@pytest.mark.parametrize(
    ("change", "severe"),
    [
        # TM 5-4120-285-15, "Determine severity of burnout" (read): acid number over .05, a burned odor, carbon in the
        # suction line or in the drier are severe; none of them is mild.
        ({"acid_number": Measured(0.08)}, True),
        ({"smell": "burnt"}, True),
        ({"deposits": frozenset({"carbon-in-suction-line"})}, True),
        ({"deposits": frozenset({"carbon-in-drier"})}, True),
        ({"burn": "spot"}, False),
        # A dehumidifier maker's manual (read): sludge in the discharge line means several changes of driers.
        ({"deposits": frozenset({"sludge-in-discharge-line"})}, True),
        # A trade school lesson (read): a large part of the winding burnt, contaminants pumped round, is severe.
        ({"burn": "winding"}, True),
        ({"burn": "spot", "burnt_while_turning": True}, True),
    ],
)
def test_severity_by_the_manuals(change: dict[str, object], severe: bool) -> None:  # noqa: FBT001
    signs = Signs(**{**CLEAR, **change})  # type: ignore[arg-type]
    assert (severity("mineral", signs).grade >= 2) is severe


@pytest.mark.parametrize(
    ("oil", "quantity", "value", "standings"),
    [
        # Scroll makers' application guides (read): polyolester with no more than 50 ppm of water.
        ("POE", "water", 60e-6, {"watch"}),
        ("POE", "water", 50e-6, {"in limit"}),
        # A centrifugal chiller maker's manual (read): upper limit of moisture in polyolester 150 ppm.
        ("POE", "water", 151e-6, {"over"}),
        # The same: acid number above 0.19 change the oil; a stricter source already does below that.
        ("POE", "acid_number", 0.195, {"over"}),
        # A hermetic compressor maker's handbook (read): less than 0.05 is free of acid, higher means more cleaning.
        ("POE", "acid_number", 0.051, {"over"}),
        ("mineral", "acid_number", 0.049, {"in limit"}),
        # A screw compressor maker's manual of 2017 (read): colour 4.0 or less polyolester, 6.0 mineral, AB, PAO.
        ("POE", "colour", 4.5, {"over"}),
        ("mineral", "colour", 4.5, {"in limit"}),
        ("alkylbenzene", "colour", 6.5, {"over"}),
        ("PAO", "colour", 6.0, {"in limit"}),
        # The same: contamination by membrane filter 15 mg/100 mL or less.
        ("POE", "contamination", 16.0, {"over"}),
        # A screw compressor maker's manual, synthetic oil for ammonia (read): water 200 mass ppm or less.
        ("PAG", "water", 210e-6, {"over"}),
        # A VRF maker's manual (read): 0.02 and hue 3.5 normal, over 0.06 and over 4.0 change and clean.
        ("PVE", "acid_number", 0.02, {"in limit"}),
        ("PVE", "acid_number", 0.061, {"over"}),
        ("PVE", "colour", 3.5, {"in limit"}),
        ("PVE", "colour", 4.1, {"over"}),
    ],
)
def test_oil_by_the_makers(oil: Oil, quantity: OilProperty, value: float, standings: set[str]) -> None:
    assert judge(oil, {quantity: Measured(value)}).items[0].standing in standings


def test_all_published_acid_limits_of_polyolester_are_shown() -> None:
    """0.05 (hermetic maker), 0.06 (VRF maker), 0.19 (chiller maker): they disagree, and the answer says so."""
    (item,) = judge("POE", {"acid_number": Measured(0.01)}).items
    acts = {limit.value for limit in item.limits if limit.level == "act"}
    assert {0.05, 0.06, 0.19} <= acts
    assert item.sources_disagree


def elapsed_hours(grade: int) -> dict[str, float]:
    site = zone("UTC")
    start = instant(datetime.fromisoformat("2026-06-01T08:00"), site)
    found = checks(start, site, grade, None)  # type: ignore[arg-type]
    return {key: check.elapsed / 3600 for check in found for key in (check.id, *check.also)}


def test_check_times_by_the_manuals() -> None:
    """Read: 1 h, 8 to 24 h, 14 days (TM 5-4120-285-15); oil after 2 to 4 h, then daily (a semi-hermetic maker's guide).

    Out within three days (a training page).
    """
    hours = elapsed_hours(2)
    assert hours["first-drop"] <= 1
    assert 8 <= hours["core-change"] <= 24
    assert hours["two-weeks"] == 14 * 24
    assert 2 <= hours["first-oil"] <= 4
    assert hours["twelve-hours"] >= 12
    assert hours["day-2"] - hours["day-1"] == pytest.approx(24, abs=8)
    assert hours["day-3"] <= 72


def test_acid_samples_by_the_handbook_of_a_filter_maker() -> None:
    """Read: acid test of the oil after 48 h of running, and again after about two weeks."""
    found = checks(datetime.fromisoformat("2026-06-01T08:00+00:00"), zone("UTC"), 2, None)
    sampled = [check.elapsed / 3600 for check in found if "acid" in check.what]
    assert any(46 <= hours <= 54 for hours in sampled)
    assert any(312 <= hours <= 360 for hours in sampled)


@pytest.mark.parametrize("burn", ["spot", "winding"])
def test_triple_evacuation_after_mild_and_severe_burns(burn: Burn) -> None:
    """Read: a filter maker's handbook and a wholesaler's page ask for it after a burn, mild or severe."""
    job = CleanupJob(
        "R-22", 280.0, "mineral", datetime.fromisoformat("2026-06-01T08:00"), "UTC", signs=Signs(burn=burn)
    )
    assert "triple-evacuation" in {step.id for step in plan(job).steps}


def test_hermetics_are_tested_through_the_refrigerant() -> None:
    """A service training page (read): oil kits for serviceable compressors, the refrigerant for welded hermetics."""
    start = datetime.fromisoformat("2026-06-01T08:00")
    for construction, drawn in (("hermetic", False), ("semi-hermetic", True)):
        job = CleanupJob("R-22", 280.0, "mineral", start, "UTC", construction=construction)  # type: ignore[arg-type]
        assert any("Take an oil sample" in check.what for check in plan(job).checks) is drawn


@pytest.mark.parametrize("part", ["oil-separator", "accumulator"])
def test_spoiled_oil_condemns_separator_and_accumulator(part: str) -> None:
    """A VRF maker's service manual (read): spoiled lightly or heavily, drain and replace both."""
    assert {actions((part,), grade)[0].action for grade in (1, 2, 3)} == {"replace"}


def test_forty_mesh() -> None:
    """A published list of sieve sizes (read): particles larger than 0.420 mm stay on 40 mesh."""
    assert DEBRIS().place["suction-strainer"].opening == pytest.approx(0.420e-3, rel=0.02)


# AHRI Standard 700-2006 with addenda, Table 1B (read: columns of R-427A, R-434A, R-437A among others): water 10 ppm,
# acidity 1.0 ppm, high boiling residue 0.01 %, air and other non-condensables 1.5 % of the vapour, chloride and
# particulates passed. A figure equal to the limit is allowed.
TABLE_1B: dict[Impurity, float] = {
    "water": 10e-6,
    "acidity": 1e-6,
    "non_condensables": 0.015,
    "residue_volume": 0.0001,
}


@pytest.mark.parametrize("designation", ["R-427A", "R-434A", "R-437A"])
@pytest.mark.parametrize("figure", TABLE_1B)
def test_specification_of_refrigerants(designation: str, figure: Impurity) -> None:
    edge = {key: Measured(value) for key, value in TABLE_1B.items()}
    passed: dict[PurityCheck, CheckOutcome] = {"chloride": "pass", "particulates": "pass"}
    assert purity(designation, "to-be-charged", edge, passed).verdict == "measured values within limits"
    over = {**edge, figure: Measured(1.02 * TABLE_1B[figure])}
    assert purity(designation, "to-be-charged", over, passed).verdict == "do not charge"
    assert purity(designation, "to-be-charged", edge, {**passed, "chloride": "fail"}).verdict == "do not charge"


def test_new_refrigerant_is_the_target_of_drying() -> None:
    """The same table: what driers must bring the charge down to."""
    assert SIZING().dry_refrigerant.value == TABLE_1B["water"] * 1e6


def test_hydrocarbon_water_of_two_standards() -> None:
    """DIN 8960:1998 (read): 25 ppm, preliminary. AHRI 700 (memory): 10 ppm. Between the two the stricter decides."""
    (item,) = purity("R-290", "to-be-charged", {"water": Measured(20e-6)}, {}).items
    assert (item.standing, item.sources_disagree) == ("over", True)


def test_residue_of_recycled_refrigerant_for_vehicles() -> None:
    """SAE J2099:2012 as a page summarises it (read): 500 ppm of residue by weight; the remembered 100 is stricter."""
    (item,) = purity("R-134a", "to-be-charged", {"residue_mass": Measured(300e-6)}, {}).items
    assert (item.standing, item.sources_disagree) == ("over", True)
    assert 500 in {round(limit.value * 1e6) for limit in item.limits}
