"""How many faults of simulated logs are found, and how many episodes healthy machines are accused of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from scipy import stats

from tests.evaluation.trend.simulator import APPLICABLE, FAULTS, KINDS, simulate
from witnessmark.calculations.compressor.operating_limits import OperatingMachine
from witnessmark.trend import log as trend_log
from witnessmark.trend.assess import Assessment, assess
from witnessmark.trend.channels import Array, Column, LogChannel
from witnessmark.trend.episode import Episode, Plant
from witnessmark.trend.rules import EpisodeKind
from witnessmark.trend.stamps import Clock, StampForm
from witnessmark.vocabulary import Application

COLUMNS: Mapping[str, LogChannel] = {
    "suction_pressure_Pa": "suction_pressure",
    "discharge_pressure_Pa": "discharge_pressure",
    "suction_temperature_K": "suction_temperature",
    "discharge_temperature_K": "discharge_temperature",
    "liquid_temperature_K": "liquid_temperature",
    "outdoor_temperature_K": "ambient_temperature",
    "current_A": "current",
    "running": "running",
    "speed": "speed",
}
KIND_OF: Mapping[str, EpisodeKind] = {
    "liquid_return": "liquid-returning",
    "flooded_start": "flooded-start",
    "short_cycling": "short-cycling",
    "low_load_accumulation": "low-load-then-ramp",
    "high_pressure_ratio": "high-ratio",
    "high_discharge_temperature": "high-discharge-temperature",
    "vacuum_running": "vacuum-running",
    "no_pressure_difference": "no-pressure-difference",
    "charge_loss": "charge-loss",
    "condenser_fouling": "condenser-fouling",
    "sensor_stuck": "sensor-stuck",
    "sensor_swap": "sensors-swapped",
    "sensor_drift": "sensor-drift",
    "sensor_dropout": "sensor-drop-out",
    "fast_charge_loss": "charge-loss",
    "run_signal": "sensor-stuck",
}
APPLICATION: Mapping[str, Application] = {
    "freezer": "low-temperature",
    "cooler": "medium-temperature",
    "rooftop_ac": "air-conditioning",
    "heat_pump": "air-conditioning",
}
DAY = 86_400.0
YEAR, OF_FAULT = 365.0, 90.0
"""Days of a healthy log and of one with a fault."""
TUNING_SEEDS, PROOF_SEED = 100, 1_000
"""Seeds below the first are for whoever changes rules; the proof begins at the second."""


@dataclass(frozen=True, slots=True)
class Simulated:
    """A simulated log as a table."""

    columns: Mapping[str, Array]
    unreadable: int = 0

    @property
    def headers(self) -> tuple[str, ...]:
        return tuple(self.columns)

    @property
    def rows(self) -> int:
        return int(self.columns["time"].size)

    def numbers(self, header: str) -> Array:
        return np.asarray(self.columns[header], np.float64)

    def clock(self, header: str, form: StampForm) -> Clock:
        assert form == "epoch-seconds"
        return Clock(self.numbers(header), np.zeros(self.rows))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one log. plain: a good technician would see the fault, by the label of whoever wrote it."""

    kind: str
    fault: str | None
    seed: int
    days: float
    plain: bool = False
    found: bool = False
    severity: float = 0.0
    variant: str = ""
    others: list[str] = field(default_factory=list)


def read(log: Any) -> Assessment:
    """What the service makes of a simulated log, told what a caller knows of the machine."""
    columns = [Column(header, channel) for header, channel in COLUMNS.items()]
    logs = trend_log.read(Simulated(log.columns), "time", "epoch-seconds", None, columns)
    kind, refrigerant = str(log.meta["kind"]), str(log.meta["refrigerant"])
    operating = OperatingMachine(refrigerant, "scroll", APPLICATION[kind])
    return assess(logs, Plant(operating, pump_down=bool(log.meta["pump_down"])))


def outcome(kind: str, fault: str | None, seed: int, days: float) -> Outcome:
    """Simulate one machine and look what is found."""
    log = simulate(kind, fault, seed, days)
    episodes = read(log).episodes
    if fault is None:
        return Outcome(kind, None, seed, days, others=[e.kind for e in episodes])
    note = log.notes[0]
    hits = [e for e in episodes if _hits(e, note)]
    others = sorted({e.kind for e in episodes} - {KIND_OF[fault]})
    return Outcome(kind, fault, seed, days, note.plain, bool(hits), note.severity, note.variant, list(others))


def _hits(episode: Episode, note: Any) -> bool:
    """The right kind, at the time (a day to either side), and of the right sensors."""
    sensors = {COLUMNS[name] for name in note.channels}
    named = {sensor for sensor in (episode.sensor, episode.other) if sensor is not None}
    in_time = episode.start < note.end + DAY and episode.end > note.start - DAY
    if note.fault == "run_signal" and in_time:  # two columns of one signal; reported on while it stands pumps nothing
        equal = note.variant == "on_while_standing" and episode.kind == "no-pressure-difference"
        return equal or (episode.kind == KIND_OF[note.fault] and bool(named & sensors))
    return episode.kind == KIND_OF[note.fault] and in_time and named == sensors


def cases(first: int, healthy: int, each: int) -> Iterator[tuple[str, str | None, int, float]]:
    """Machines of all kinds in turn: so many healthy years, so many of each fault."""
    for place in range(max(healthy, each)):
        seed = first + place
        if place < healthy:
            yield KINDS[place % len(KINDS)], None, seed, YEAR
        for fault in FAULTS if place < each else ():
            able = [kind for kind in KINDS if fault in APPLICABLE[kind]]
            yield able[place % len(able)], fault, seed, OF_FAULT


def share(count: int, total: int) -> str:
    """A share with Wilson's 95 % interval."""
    if not total:
        return "none"
    low, high = stats.binomtest(count, total).proportion_ci(0.95, "wilson")
    return f"{count} of {total} = {count / total:.3f} ({low:.3f} to {high:.3f})"


def rate(count: int, years: float) -> str:
    """A rate a machine-year with the exact 95 % interval of a Poisson count."""
    low = stats.chi2.ppf(0.025, 2 * count) / 2 if count else 0.0
    high = stats.chi2.ppf(0.975, 2 * (count + 1)) / 2
    return f"{count} in {years:g} = {count / years:.3f} ({low / years:.3f} to {high / years:.3f})"


def page(outcomes: Iterable[Outcome]) -> str:
    """The tables."""
    done = list(outcomes)
    sound = [o for o in done if o.fault is None]
    lines = []
    if sound:
        years = sum(o.days for o in sound) / YEAR
        lines.append(f"false episodes a healthy machine-year: {rate(sum(len(o.others) for o in sound), years)}")
        accused = sum(bool(o.others) for o in sound)
        lines.append(f"healthy machine-years with any episode: {share(accused, len(sound))}")
        lines += [f"  {kind}: {rate(count, years)}" for kind, count in _counted(sound)]
    for fault in FAULTS:
        mine = [o for o in done if o.fault == fault]
        plain = [o for o in mine if o.plain]
        if mine:
            found = share(sum(o.found for o in plain), len(plain))
            whole = share(sum(o.found for o in mine), len(mine))
            beside = ", ".join(f"{kind} {count}" for kind, count in _counted(mine))
            lines.append(f"{fault}: plain ones {found}; all {whole}; beside it: {beside or 'nothing'}")
    return "\n".join(lines)


def _counted(outcomes: Iterable[Outcome]) -> list[tuple[str, int]]:
    counts: defaultdict[str, int] = defaultdict(int)
    for one in outcomes:
        for kind in one.others:
            counts[kind] += 1
    return sorted(counts.items(), key=lambda pair: -pair[1])


def as_row(one: Outcome) -> dict[str, Any]:
    """For keeping."""
    return asdict(one)
