"""The gates, each with what was measured and whether it holds. The figures stand here alone: nothing can move them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from tests.evaluation.measures import Found
from witnessmark.diagnosis.evaluation.calibration import SURE, Claims

ENOUGH = 20
"""Claims that a bin needs for its share to mean something."""
BANDS = ("5-9", "10-19", "25-39")
CHANNELS = ("job notes: what is normal goes unmentioned", "field forms", "teardown sheets")


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate. held: None where it could not be measured."""

    name: str
    bound: str
    measured: str
    held: bool | None


def gates(found: Found) -> tuple[Gate, ...]:
    """All gates, in the order of the evaluation protocol."""
    return (
        *_engine(found),
        *_own(found),
        *_other_worlds(found),
        *_descriptions(found),
        *_laboratory(found),
        *_checks(found),
        *of_times(found.speed),
    )


def _most(name: str, value: float, most: float, form: str = ".4f") -> Gate:
    return Gate(name, f"≤ {most:{form}}", f"{value:{form}}", value <= most)


def _least(name: str, value: float, least: float, form: str = ".2f") -> Gate:
    return Gate(name, f"≥ {least:{form}}", f"{value:{form}}", value >= least)


def _engine(found: Found) -> Iterator[Gate]:
    yield _most("engine against plain enumeration, 200 random networks", found.enumeration, 1e-9, ".1e")
    yield _most("engine against a general library (pyAgrum)", found.library, 1e-9, ".1e")
    yield Gate("same input, same bytes", "yes", "yes" if found.same else "no", found.same)


def _own(found: Found) -> Iterator[Gate]:
    for band in BANDS:
        out = found.worlds[f"own knowledge, {band} findings"]
        yield _most(f"own model, {band} findings: calibration error of modes", out.modes.calibration_error, 0.015)
        yield _most(f"own model, {band} findings: calibration error of causes", out.causes.calibration_error, 0.010)
    claims = [found.worlds[f"own knowledge, {band} findings"].modes for band in BANDS]
    right, number = Claims(
        np.concatenate([c.claimed for c in claims]), np.concatenate([c.true for c in claims])
    ).right_at(SURE)
    gate = _least("own model, all three bands: modes claimed with 0.9 or more are right", right, 0.92, ".1%")
    yield Gate(gate.name, gate.bound, f"{gate.measured} of {number}", gate.held)


def _other_worlds(found: Found) -> Iterator[Gate]:
    worlds = found.worlds
    shifted = worlds["every log-odds shifted, sd 1.0"]
    yield _most("every log-odds shifted, sd 1.0: calibration error of modes", shifted.modes.calibration_error, 0.03)
    for channel in CHANNELS:
        error = worlds[channel].modes.calibration_error
        yield _most(f"biased reporting, {channel}: calibration error of modes", error, 0.02)
    wrong = worlds["5 % of the reports wrong"]
    yield _most("5 % of the reports wrong: calibration error of modes", wrong.modes.calibration_error, 0.015)
    strange = worlds["an unmodelled mode turns 6 of 14 findings"]
    yield _least("an unmodelled mode: called unfit", strange.flagged, 0.25, ".1%")
    yield _most("an unmodelled mode: a wrong mode at 0.95 or more", strange.wrongly_sure, 0.06, ".1%")
    for layer, claims in found.different.items():
        worst = max(abs(said - was) for said, was, number in claims.reliability if number >= ENOUGH)
        yield _most(f"a different model: worst bin of ten, {layer}, claimed less true", worst, 0.10, ".3f")


def _descriptions(found: Found) -> Iterator[Gate]:
    published, everything = found.scores["published"], found.scores["all"]
    yield _least("published descriptions: an expected mode leads", published.top_1, 0.85)
    yield _least("published descriptions: an expected mode among three", published.top_3, 0.95)
    yield _least("all descriptions: an expected mode leads", everything.top_1, 0.85)
    yield _least("all descriptions: an expected mode among three", everything.top_3, 0.95)
    yield _least("two causes, both among the first four", everything.both_causes, 0.75)
    yield _least("out of scope, not diagnosed", everything.not_diagnosed, 0.90)
    yield _least("safety rules that must fire, fired", everything.safety, 1.00)


def _laboratory(found: Found) -> Iterator[Gate]:
    blocked, clean = "rooftop data, condenser 58 % blocked: it leads", "rooftop data, clean condenser: it leads"
    if found.rooftop is None:
        yield Gate(blocked, "≥ 80%", "the data are not here", None)
        yield Gate(clean, "≤ 10%", "the data are not here", None)
        return
    yield _least(blocked, found.rooftop["58"], 0.80, ".0%")
    yield _most(clean, found.rooftop["0"], 0.10, ".0%")


def _checks(found: Found) -> Iterator[Gate]:
    tested = found.trials
    broken = f"{tested.broken} in {tested.checked} cases"
    yield Gate("next checks against hazards and prerequisites", "0", broken, tested.broken == 0)
    ahead = tested.gain.proposed - tested.gain.random
    gate = _least("next checks ahead of random ones at equal minutes, points", 100 * ahead, 10, ".0f")
    yield Gate(gate.name, gate.bound, f"{gate.measured} over {tested.gain.cases} cases", gate.held)


def of_times(speed: Mapping[int, float]) -> Iterator[Gate]:
    """The gates that hang on the machine that measures."""
    for size, most in ((8, 5.0), (25, 15.0)):
        gate = _most(f"ranking, {size} findings: median", speed[size], most, ".1f")
        yield Gate(gate.name, f"{gate.bound} ms", f"{gate.measured} ms", gate.held)
