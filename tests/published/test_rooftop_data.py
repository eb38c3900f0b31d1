"""Real readings of a rooftop unit with its condenser air blocked: the diagnosis must name the condenser, and only then.

Outside: open laboratory data of an R-410A rooftop unit, 0 / 28 / 58 % of the condenser face blocked (Oak Ridge National
Laboratory, flexible research platform; licence beside the data, not shipped). Gate: the condenser is the first cause in
at least 80 % of the rows at 58 % and in at most 10 % of the baseline rows.

Twelve baseline rows, all the quarter hours from 7:00 to 9:45 of 2 September, show condensing temperatures 22 to 28 K
over ambient, as high as the blocked runs; they are counted as false alarms all the same.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.case import Case, Machine, Reading
from witnessmark.diagnosis.catalogue.knowledge import knowledge

FILE = "ornl_frp_condfoul_statepoints.csv"
FOLDER = Path(os.environ.get("WITNESSMARK_DATA", Path(__file__).resolve().parents[3] / "shared" / "data"))
RANKINE = 459.67

pytestmark = pytest.mark.skipif(
    not (FOLDER / FILE).is_file(), reason="the laboratory data may not be shipped; not found here"
)


def inquiries(level: str) -> list[Inquiry]:
    with (FOLDER / FILE).open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["level"] == level]
    return [inquire(knowledge(), _case({key: float(row[key]) for key in _USED})) for row in rows]


_USED = ("SH", "SC", "CTOA", "DSH", "Tdis", "ratio")


def _case(row: dict[str, float]) -> Case:
    """Readings in K from °F, with the uncertainty of good field probes."""
    kelvin = {key: row[key] / 1.8 for key in ("SH", "SC", "CTOA", "DSH")}
    readings = (
        Reading("suction-superheat", kelvin["SH"], 1.0),
        Reading("subcooling", kelvin["SC"], 1.0),
        Reading("condensing-over-ambient", kelvin["CTOA"], 1.0),
        Reading("discharge-superheat", kelvin["DSH"], 1.0),
        Reading("discharge-temperature", (row["Tdis"] + RANKINE) / 1.8, 1.0),
        Reading("compression-ratio", row["ratio"], 0.05),
    )
    machine = Machine("scroll", "low-side", "fixed-speed")
    return Case(machine, readings=readings, circumstances=(("equipment", "rooftop"),), conditions=("compressor-runs",))


def share(found: list[Inquiry]) -> float:
    return sum(str(q.net.nodes[q.causes[0]]) == "condenser-heat-rejection" for q in found) / len(found)


def test_the_blocked_condenser_is_named() -> None:
    assert share(inquiries("58")) >= 0.80


def test_a_clean_condenser_is_not() -> None:
    assert share(inquiries("0")) <= 0.10


def test_the_vanished_superheat_points_to_floodback() -> None:
    """At 58 % the measured superheat is gone: a blocked condenser is a road to floodback on this unit."""
    found = inquiries("58")
    first = sum(q.net.nodes[q.modes[0]] == "liquid-floodback" for q in found) / len(found)
    assert first >= 0.8
    clean = [q.probability("liquid-floodback") for q in inquiries("0")]
    blocked = [q.probability("liquid-floodback") for q in found]
    assert sorted(blocked)[len(blocked) // 2] > 5 * sorted(clean)[len(clean) // 2]
