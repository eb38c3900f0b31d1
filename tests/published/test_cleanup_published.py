"""Cleanup against figures from outside the project. Beside each: where it comes from, and whether it was read.

Read means: an excerpt of the page was read. `memory` marks what was recalled and not found in print; `common practice`
a rule of the trade without one source.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import fluids
import pytest
from chemicals.elements import molecular_weight

from tests.cleanup.units import PSI, kelvin
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.refrigerant_quality import Impurity
from witnessmark.calculations.samples.refrigerant_quality import judge as purity
from witnessmark.cleanup.calendar import calendar
from witnessmark.cleanup.contaminants import koh_equivalent
from witnessmark.cleanup.drop_limits import penalty
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.oil_changes import changes_needed
from witnessmark.cleanup.particles import Fluid, drag_coefficient, settling_velocity
from witnessmark.cleanup.plan import plan
from witnessmark.cleanup.schedule import checks, instant, zone
from witnessmark.cleanup.sizing_rules import SIZING, Acid


def test_penalty_of_three_psi_of_r410a() -> None:
    """Derived elsewhere from the slope of the dew curve: 3 psi at 40 degF cost 1.32 degF; the chord a little more."""
    assert penalty("R-410A", kelvin(40), 3 * PSI) * 9 / 5 == pytest.approx(1.32, rel=0.015)


@pytest.mark.parametrize(
    ("left_each_time", "target", "changes"),
    [
        # UNEP, Alternatives to HCFCs (2010), 1.6.6 (read): 20 to 50 % stays behind; 5 % is acceptable, 1 % ideal.
        (0.50, 0.05, 5),
        (0.50, 0.01, 7),
        (0.20, 0.05, 2),
        (0.20, 0.01, 3),
    ],
)
def test_number_of_oil_changes(left_each_time: float, target: float, changes: int) -> None:
    assert changes_needed(1.0, 1 - left_each_time, target) == changes
    assert left_each_time**changes <= target < left_each_time ** (changes - 1)


@pytest.mark.parametrize(
    ("reynolds", "measured"),
    [
        # Measured drag of spheres, listed by a university's course page on drag (read).
        (0.1585, 169.8),
        (0.4786, 58.88),
        (3.020, 10.86),
        (7.015, 5.623),
        (15.49, 3.388),
        (57.54, 1.479),
        (144.5, 0.9204),
        (264.9, 0.7194),
        (512.9, 0.5623),
        (1000.0, 0.4786),
        (1862.0, 0.4365),
        (3162.0, 0.4074),
        (4764.0, 0.3890),
        (8375.0, 0.3981),
        (34_670.0, 0.4775),
        (58_880.0, 0.4732),
    ],
)
def test_drag_of_spheres(reynolds: float, measured: float) -> None:
    """Within 9 %: the correlation's own scatter, and figures that were read off a curve."""
    assert drag_coefficient(reynolds, 1.0) == pytest.approx(measured, rel=0.09)


@pytest.mark.parametrize(
    ("diameter", "solid", "density", "viscosity"),
    [
        (70e-6, 2600.0, 1000.0, 1e-3),  # sand in water, the worked example of the library's documentation
        (1e-3, 7850.0, 998.2, 1.002e-3),
        (3e-3, 7200.0, 90.0, 14e-6),
        (0.2e-3, 8930.0, 30.0, 12e-6),
        (5e-3, 2700.0, 1000.0, 1.5e-4),
    ],
)
def test_settling_against_an_independent_library(
    diameter: float, solid: float, density: float, viscosity: float
) -> None:
    """`fluids.v_terminal` with its own drag correlation for spheres: within 6 %."""
    expected = fluids.v_terminal(D=diameter, rhop=solid, rho=density, mu=viscosity)
    assert settling_velocity(diameter, solid, Fluid(density, viscosity)) == pytest.approx(expected, rel=0.06)


def test_stokes_law_at_the_slow_end() -> None:
    """Stokes 1851: v = g d² (rho_s - rho) / (18 mu); at Re = 4e-5 the correlation must have come down to it."""
    diameter, viscosity = 5e-6, 1e-2
    stokes = 9.80665 * diameter**2 * (2600 - 1000) / (18 * viscosity)
    assert settling_velocity(diameter, 2600.0, Fluid(1000.0, viscosity)) == pytest.approx(stokes, rel=0.01)


def test_equivalents_of_acid() -> None:
    """Molar masses from the atomic weights of an independent library (IUPAC): KOH, HCl, oleic acid C18H34O2."""
    row = SIZING().molar_mass.value
    assert row["KOH"] == pytest.approx(molecular_weight({"K": 1, "O": 1, "H": 1}), rel=1e-4)
    assert row["HCl"] == pytest.approx(molecular_weight({"H": 1, "Cl": 1}), rel=1e-3)
    assert row["oleic"] == pytest.approx(molecular_weight({"C": 18, "H": 34, "O": 2}), rel=1e-3)


def test_acid_of_hydrocarbons_as_hydrogen_chloride() -> None:
    """DIN 8960:1998 as a compressor maker's guide prints it (read): total acid number 0.02 mg KOH/g.

    As HCl by the atomic weights of an independent library: 0.02 g/kg of KOH is 0.3565 mmol/kg, 13.0 mg/kg of HCl.
    """
    koh, hcl = molecular_weight({"K": 1, "O": 1, "H": 1}), molecular_weight({"H": 1, "Cl": 1})
    limit = 0.02e-3 / koh * hcl
    assert limit * 1e6 == pytest.approx(13.0, abs=0.05)
    (item,) = purity("R-290", "to-be-charged", {"acidity": Measured(limit)}, {}).items
    (ours,) = [row.value for row in item.limits if row.source == "din-8960"]
    assert ours == pytest.approx(limit, rel=0.004)


def test_a_laboratory_report_that_calls_for_cleaning() -> None:
    """A forum's report of an R-114 chiller (read): acid 4.9 ppm, water 169 ppm, residue 1.70 %.

    The laboratory asked for recycling the charge and new driers. R-114 is not catalogued; its limits, quoted there as
    1 ppm, 10 ppm and 0.01 %, are those of other fluorocarbons.
    """
    found: dict[Impurity, Measured] = {"acidity": Measured(4.9e-6), "water": Measured(169e-6)}
    assert purity("R-134a", "in-service", found, {}).verdict == "clean or replace"
    charged = purity("R-134a", "to-be-charged", {**found, "residue_volume": Measured(0.017)}, {})
    assert charged.verdict == "do not charge"
    assert {item.standing for item in charged.items} == {"over"}


@pytest.mark.parametrize(
    ("acid", "parts"),
    # Milligrams of acid that neutralise as much as 1 mg of KOH, by the atomic weights of an independent library.
    [("HCl", {"H": 1, "Cl": 1}), ("oleic", {"C": 18, "H": 34, "O": 2})],
)
def test_a_core_rated_in_another_acid(acid: Acid, parts: dict[str, int]) -> None:
    koh = molecular_weight({"K": 1, "O": 1, "H": 1})
    assert koh_equivalent(1.0, acid) == pytest.approx(koh / molecular_weight(parts), rel=1e-3)


def test_summer_time_ends_as_the_directive_says() -> None:
    """Directive 2000/84/EC: last Sunday of October, 01:00 UTC. 17:00 in Madrid on the 24th plus 48 h is 16:00."""
    site = zone("Europe/Madrid")
    start = instant(datetime.fromisoformat("2026-10-24T17:00"), site)
    second = next(check for check in checks(start, site, 2, None) if check.id == "day-2")
    assert second.local.hour == 16
    assert second.at - start == timedelta(hours=48)


def test_daylight_time_begins_as_the_act_says() -> None:
    """Energy Policy Act of 2005: second Sunday of March, 2 a.m. 14:00 in Chicago on 7 March plus 48 h is 15:00."""
    site = zone("America/Chicago")
    start = instant(datetime.fromisoformat("2026-03-07T14:00"), site)
    second = next(check for check in checks(start, site, 2, None) if check.id == "day-2")
    assert second.local.hour == 15


def test_text_of_the_calendar_reads_back_by_the_rules_of_rfc_5545() -> None:
    """RFC 5545, 3.1 unfolding and 3.3.11 escapes, undone here by hand: every check's words come back whole."""
    start = datetime.fromisoformat("2026-06-01T08:00")
    job = CleanupJob("R-22", 280.0, "mineral", start, "UTC", reference="Unit 1, roof; north\\east")
    made = plan(job)
    raw = calendar(made, job, "")
    unfolded = re.sub(r"\r\n[ \t]", "", raw.decode("utf-8")).split("\r\n")
    named = {"\\\\": "\\", "\\;": ";", "\\,": ",", "\\n": "\n", "\\N": "\n"}
    plain = [re.sub(r"\\[\\;,nN]", lambda found: named[found.group()], line) for line in unfolded]
    for check in made.checks:
        assert any(line.startswith("DESCRIPTION:") and check.what in line for line in plain), check.id
    assert any(line.startswith("SUMMARY:Unit 1, roof; north\\east") for line in plain)


def test_calendar_stream_as_rfc_5545_writes_it() -> None:
    """RFC 5545: 3.1 lines of at most 75 octets ending in CRLF; 3.3.5 form 2 `19980119T070000Z`; 3.6 required names."""
    job = CleanupJob("R-22", 280.0, "mineral", datetime.fromisoformat("2026-06-01T08:00"), "UTC")
    raw = calendar(plan(job), job, "")
    lines = raw.split(b"\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    starts = [line for line in lines if line.startswith(b"DTSTART")]
    assert starts
    assert all(re.fullmatch(rb"DTSTART:\d{8}T\d{6}Z", line) for line in starts)
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert {b"VERSION:2.0"} <= set(lines)
    assert (
        sum(line.startswith(b"UID:") for line in lines)
        == len(starts)
        == sum(line.startswith(b"DTSTAMP:") for line in lines)
    )
