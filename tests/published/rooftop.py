"""Quarter hours of a real rooftop unit with its condenser air blocked on purpose, and what the diagnosis makes of them.

Open laboratory data of an R-410A unit, 0, 28 and 58 % of the condenser face blocked (Oak Ridge National Laboratory,
flexible research platform; licence beside the data, not shipped). Four days in all: two without a fault, one at each
level, so days cannot be split within a level. Hours are, by the hash of day and hour: rows of the hours *looked at* may
be studied one by one, of the *sealed* ones only totals are read. Neighbouring hours are alike, so the sealed part
guards against fitting single rows, not against fitting this unit.

The five rates are those of Yuill & Braun 2013, HVAC&R Research 19(7) (from memory): no response, correct, false alarm,
missed, misdiagnosis. They are of the cause that the answer acts on. Rows of one hour repeat one another, so intervals
are Wilson's with the hours as the sample.
"""

from __future__ import annotations

import csv
import hashlib
import os
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import median
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.answer.dispatch import causes
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.verdict import sound
from witnessmark.diagnosis.case import Case, Machine, Reading
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.estimates import Estimate, share
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

FILE = "ornl_frp_condfoul_statepoints.csv"
FOLDER = Path(os.environ.get("WITNESSMARK_DATA", Path(__file__).resolve().parents[3] / "shared" / "data"))
FAULT = "condenser-heat-rejection"
LEVELS = ("0", "28", "58")
RATES = ("correct", "no response", "false alarm", "missed", "misdiagnosis")
PARTS = ("looked at", "sealed")
BASELINE_DAY = "9/1/17"
"""Its rows are the sound machine; what is held against them is of other days."""
Rate = Literal["correct", "no response", "false alarm", "missed", "misdiagnosis"]
Row = Mapping[str, str]
_WET = "liquid-floodback"
_RANKINE, _PSI = 459.67, 6894.757
_MACHINE = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
_NOBODY_CALLED = (("equipment", "rooftop"), ("queue", "monitoring"))


@dataclass(frozen=True, slots=True)
class Judged:
    """What was said of one row. named: the cause acted on, empty where none is; chance: that of the fault made.

    cleared: the compressor is called sound, and no cause is named. wet: whether floodback leads the modes, and its
    chance.
    """

    level: str
    hour: str
    named: str
    chance: float
    cleared: bool
    wet: tuple[bool, float]

    @property
    def rate(self) -> Rate:
        """Which of the five it is."""
        if self.level == "0":
            return "false alarm" if self.named else "correct" if self.cleared else "no response"
        if self.named:
            return "correct" if self.named == FAULT else "misdiagnosis"
        return "missed" if self.cleared else "no response"


def here() -> bool:
    """Whether the data are there."""
    return (FOLDER / FILE).is_file()


@cache
def rows() -> tuple[Row, ...]:
    """All of them, in the order of the file."""
    with (FOLDER / FILE).open(newline="") as file:
        return tuple(csv.DictReader(file))


def hour_of(row: Row) -> str:
    """Day and hour of a row."""
    return row["t"].partition(":")[0]


def looked_at(hour: str) -> bool:
    """Whether rows of this hour may be studied one by one."""
    return hashlib.sha256(hour.encode()).digest()[0] % 2 == 0


def by_usual_ranges(row: Row) -> Inquiry:
    """The printed numbers alone, with the uncertainty of good field probes."""
    kelvin = {key: float(row[key]) / 1.8 for key in ("SH", "SC", "CTOA", "DSH")}
    readings = (
        Reading("suction-superheat", kelvin["SH"], 1.0),
        Reading("subcooling", kelvin["SC"], 1.0),
        Reading("condensing-over-ambient", kelvin["CTOA"], 1.0),
        Reading("discharge-superheat", kelvin["DSH"], 1.0),
        Reading("discharge-temperature", (float(row["Tdis"]) + _RANKINE) / 1.8, 1.0),
        Reading("compression-ratio", float(row["ratio"]), 0.05),
    )
    return _inquired(readings)


def against_the_sound_day(row: Row) -> Inquiry:
    """Pressures and temperatures against those of the quarter hour of the sound day that is nearest in outdoor air."""
    same = [r for r in rows() if r["t"].startswith(BASELINE_DAY) and r["circ"] == row["circ"]]
    base = min(same or _of_day(BASELINE_DAY), key=lambda r: abs(float(r["Tout"]) - float(row["Tout"])))
    held = Baseline(_measured(base), same_instruments=True)
    derived = derive("R-410A", _measured(row), machine=_MACHINE, condenser="air-cooled", baseline=held)
    return _inquired(derived.readings)


def _of_day(day: str) -> list[Row]:
    return [row for row in rows() if row["t"].startswith(day)]


def _inquired(readings: tuple[Reading, ...]) -> Inquiry:
    case = Case(_MACHINE, readings=readings, circumstances=_NOBODY_CALLED, conditions=("compressor-runs",))
    return inquire(knowledge(), case)


def _measured(row: Row) -> FieldReadings:
    def kelvin(fahrenheit: float) -> Measured:
        return Measured((fahrenheit + _RANKINE) / 1.8, 0.5)

    return FieldReadings(
        running=True,
        suction_pressure=Measured(float(row["Ps"]) * _PSI, 7e3),
        suction_temperature=kelvin(float(row["Tevap"]) + float(row["SH"])),
        discharge_pressure=Measured(float(row["Pd"]) * _PSI, 15e3),
        discharge_temperature=kelvin(float(row["Tdis"])),
        liquid_temperature=kelvin(float(row["LLT"])),
        outdoor_temperature=kelvin(float(row["Tout"])),
    )


def judged(some: Iterable[Row], asked: Callable[[Row], Inquiry]) -> list[Judged]:
    """What the answers come to."""
    return [_judged(row, asked(row)) for row in some]


def _judged(row: Row, inquiry: Inquiry) -> Judged:
    acted_on = causes(inquiry)
    cleared = not acted_on and sound(inquiry)
    wet = inquiry.net.nodes[inquiry.modes[0]] == _WET, inquiry.probability(_WET)
    named = acted_on[0] if acted_on else ""
    return Judged(row["level"], hour_of(row), named, inquiry.probability(FAULT), cleared, wet)


@cache
def usual() -> tuple[Judged, ...]:
    """All rows by the usual ranges."""
    return tuple(judged(rows(), by_usual_ranges))


@cache
def held() -> tuple[Judged, ...]:
    """All rows of other days against the sound day."""
    return tuple(judged((row for row in rows() if not row["t"].startswith(BASELINE_DAY)), against_the_sound_day))


def of_level(some: Sequence[Judged], level: str) -> list[Judged]:
    """Those of one level."""
    return [one for one in some if one.level == level]


def rate(some: Sequence[Judged], which: str) -> Estimate:
    """Share of rows with a rate; the interval is that of as many cases as there are hours."""
    hours = len({one.hour for one in some})
    found = sum(one.rate == which for one in some) / len(some)
    return share(round(found * hours), hours)


def skill(some: Sequence[Judged]) -> float:
    """Least share named at 58 % less the greatest share of false alarms; 0 for who always names the fault, or never."""
    return rate(of_level(some, "58"), "correct").low - rate(of_level(some, "0"), "false alarm").high


def told(some: Sequence[Judged]) -> tuple[str, ...]:
    """Cells: rows, hours, the five rates, the causes named, the chance of the fault (lower tenth, middle, upper)."""
    counts: Counter[str] = Counter(one.rate for one in some)
    named = Counter(one.named for one in some if one.named)
    chances = sorted(one.chance for one in some)
    tenth = len(chances) // 10
    spread = f"{chances[tenth]:.2f} {median(chances):.2f} {chances[-1 - tenth]:.2f}"
    words = ", ".join(f"{cause} {count}" for cause, count in named.most_common())
    hours = len({one.hour for one in some})
    return (f"{len(some)}", f"{hours}", *(f"{counts[key]}" for key in RATES), words or "-", spread)


def table() -> list[tuple[str, ...]]:
    """Every level by the usual ranges and against the sound day, hours looked at and sealed."""
    both = (("usual ranges", usual()), ("sound day", held()))
    parts = [(level, how, part, _part(some, level, part)) for how, some in both for level in LEVELS for part in PARTS]
    return [(f"{level} %", how, part, *told(some)) for level, how, part, some in parts if some]


def _part(some: Sequence[Judged], level: str, part: str) -> list[Judged]:
    return [one for one in of_level(some, level) if looked_at(one.hour) == (part == PARTS[0])]
