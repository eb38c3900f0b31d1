"""The five rates on simulated readings of an air conditioner, by the usual ranges and against its own baseline.

Outside: which way each fault moves evaporating temperature, superheat, condensing temperature and subcooling is printed
(Rossi & Braun 1997, HVAC&R Research 3(1), fixed-orifice rooftop unit, as reproduced in Li & Braun). How far is ours:
the sizes of the directions test at full severity, half of that at half. Units differ from one another, instruments err
by normals of their stated uncertainty, so a half fault often lies within what sound units differ by.

`python -m tests.evaluation.units [UNITS]` prints the table.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np
from scipy.optimize import brentq

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.answer.dispatch import causes
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.verdict import sound
from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.rates import HEAD, SOUND_HEAD, FiveRates, Rate, rate
from witnessmark.diagnosis.evaluation.tables import table
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.refrigerants import saturation

MACHINE = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
REFRIGERANT, ZERO, OUTDOOR = "R-410A", 273.15, 32.0
SOUND_UNIT = (8.0, 9.0, 44.0, 6.0)
"""Evaporating temperature, superheat, condensing temperature, subcooling; °C and K."""
FAULTS = {
    "refrigerant leak": ("undercharge", (4.0, 17.0, 41.0, 2.0)),
    "compressor valve leak": ("internal-bypass", (13.0, 4.0, 40.0, 2.0)),
    "liquid line restriction": ("expansion-starved", (3.0, 18.0, 41.0, 10.0)),
    "condenser fouling": ("condenser-heat-rejection", (10.0, 5.0, 51.0, 4.0)),
    "evaporator fouling": ("low-airflow", (4.0, 5.0, 42.0, 6.0)),
}
UNLIKE = (1.5, 1.5, 1.5, 1.0)
"""Standard deviations between sound units, K."""
ERRORS = (5e3, 0.5, 1e4, 0.5, 0.3)
"""Standard uncertainties: suction pressure Pa, suction line K, discharge pressure Pa, liquid line K, outdoor air K."""
SEVERITIES, UNITS, SEED = (0.5, 1.0), 20, 41
REFERENCES = ("usual ranges", "own baseline")
State = tuple[float, ...]


@cache
def _pressures() -> tuple[Sequence[float], Sequence[float]]:
    """Bubble temperature in °C and pressure in Pa; a table, since thousands are asked for."""
    celsius = np.linspace(-30.0, 62.0, 93)
    found = [
        brentq(lambda p, t=t: saturation.bubble_temperature(REFRIGERANT, p) - ZERO - t, 1e5, 45e5) for t in celsius
    ]
    return celsius.tolist(), np.log(found).tolist()


def readings(state: State, rng: np.random.Generator) -> FieldReadings:
    """What instruments show of a unit in this state."""
    evaporating, superheat, condensing, subcooling = state
    low, high = (float(np.exp(np.interp(t, *_pressures()))) for t in (evaporating, condensing))
    true = (low, evaporating + superheat + ZERO, high, condensing - subcooling + ZERO, OUTDOOR + ZERO)
    shown = [
        Measured(value + error * float(rng.standard_normal()), error) for value, error in zip(true, ERRORS, strict=True)
    ]
    return FieldReadings(
        running=True,
        suction_pressure=shown[0],
        suction_temperature=shown[1],
        discharge_pressure=shown[2],
        liquid_temperature=shown[3],
        outdoor_temperature=shown[4],
    )


def judged(now: FieldReadings, baseline: Baseline | None, expected: str) -> Rate:
    """Which of the five; expected: the fault, empty for a sound unit."""
    derived = derive(REFRIGERANT, now, machine=MACHINE, condenser="air-cooled", baseline=baseline)
    inquiry = inquire(knowledge(), Case(MACHINE, readings=derived.readings, ran=True, want=RANKING_ONLY))
    named = acted_on(inquiry)
    right = expected in named[:1]
    return rate(fault=bool(expected), named=bool(named), right=right, cleared=not named and sound(inquiry))


def acted_on(inquiry: Inquiry) -> list[str]:
    """Causes and modes that the answer acts on, most probable first."""
    least = inquiry.decisions.verdict.leading
    modes = [inquiry.net.nodes[node] for node in inquiry.modes if inquiry.answer.probability[0, node] >= least]
    return sorted({*causes(inquiry), *modes}, key=inquiry.probability, reverse=True)


def units(count: int) -> Iterator[tuple[str, float, State, State]]:
    """Fault, severity, state of the sound unit and of the unit now; fault empty: it is still sound."""
    rng = np.random.default_rng(SEED)
    for fault, (_, full) in FAULTS.items():
        for severity in SEVERITIES:
            for _ in range(count):
                own = tuple((np.array(SOUND_UNIT) + np.array(UNLIKE) * rng.standard_normal(4)).tolist())
                moved = np.array(own) + severity * (np.array(full) - np.array(SOUND_UNIT))
                yield fault, severity, own, tuple(moved.tolist())
    for _ in range(count * len(SEVERITIES)):
        own = tuple((np.array(SOUND_UNIT) + np.array(UNLIKE) * rng.standard_normal(4)).tolist())
        yield "", 0.0, own, own


@cache
def outcomes(count: int) -> tuple[tuple[str, float, str, Rate], ...]:
    """(fault, severity, held against, rate) of so many units a fault and severity."""
    rng, found = np.random.default_rng(SEED + 1), []
    for fault, severity, own, now in units(count):
        held, shown = readings(own, rng), readings(now, rng)
        expected = FAULTS[fault][0] if fault else ""
        for name, baseline in zip(REFERENCES, (None, Baseline(held, same_instruments=False)), strict=True):
            found.append((fault, severity, name, judged(shown, baseline, expected)))
    return tuple(found)


def rates(count: int, reference: str, severity: float = 0.0, fault: str = "") -> FiveRates:
    """Of the units held against this reference; the sound ones with the faults of one severity, or of one fault."""
    chosen = [
        (bool(of), which)
        for of, at, name, which in outcomes(count)
        if name == reference and (not of or ((not severity or at == severity) and (not fault or of == fault)))
    ]
    return FiveRates.of(chosen)


def lines(count: int = UNITS) -> str:
    """The table: every reference and severity over all faults, then each fault at full severity."""
    rows = [
        (f"{severity:.0%}, all faults", name, *rates(count, name, severity).cells())
        for severity in SEVERITIES
        for name in REFERENCES
    ]
    rows += [
        (f"100%, {fault}", name, *rates(count, name, 1.0, fault).cells()[: len(HEAD)], *[""] * len(SOUND_HEAD))
        for fault in FAULTS
        for name in REFERENCES
    ]
    return table(("severity", "held against", *HEAD, *SOUND_HEAD), rows)


if __name__ == "__main__":
    sys.stdout.write(lines(int(sys.argv[1]) if len(sys.argv) > 1 else UNITS) + "\n")
