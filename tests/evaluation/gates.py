"""The gates, each with what was measured and whether it holds. The figures stand here alone: nothing can move them.

A gate on a sample asks the unfavourable end of a 95 % interval, never the figure itself, and every one is judged a
second time on what knows nothing: the priors alone, checks at random, an answer that is always the same. A gate that
this passes measures nothing, so it must fail.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from tests.evaluation.measures import Apart, Measured
from witnessmark.diagnosis.evaluation.estimates import Estimate, share
from witnessmark.diagnosis.evaluation.outcomes import BINS, CLAIMED, RIGHT, By, Sample, together
from witnessmark.diagnosis.evaluation.outcomes import joined as cases_of
from witnessmark.diagnosis.evaluation.scenarios import DIFFERENT

ENOUGH = 20
"""Claims that a bin needs for its share to mean something."""
FEW, SOME, MANY = "own knowledge, 5-9 findings", "own knowledge, 10-19 findings", "own knowledge, 25-39 findings"
USUAL, STRANGE = "own knowledge, 14 findings", "an unmodelled mode turns 6 of 14 findings"
WRONG, SHIFTED = "5 % of the reports wrong", "every log-odds shifted, sd 1.0"
NOTES, FORMS, SHEETS = "job notes: what is normal goes unmentioned", "field forms", "teardown sheets"
OWN = (FEW, SOME, MANY, NOTES, FORMS, SHEETS)
TRIALS, RULES = "trials", "rules"
EXACT = 3
"""Gates that come first: on the engine itself, not on a sample."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What was measured, in words, and whether it lies within the bound."""

    text: str
    held: bool


@dataclass(frozen=True, slots=True)
class Criterion:
    """A gate on a sample. judge: of a sample, or (blind) of what one would see there who knows nothing.

    needs: the scenarios that it looks at, or `TRIALS` or `RULES`. each: it must hold for every run on its own; else for
    all runs together.
    """

    name: str
    bound: str
    needs: tuple[str, ...]
    judge: Callable[[Sample, bool], Judged]
    each: bool = False


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate. held: None where it could not be measured. blind: what knows nothing gets; None where nothing can.

    seeds: runs it holds for on their own, where it must hold for each.
    """

    name: str
    bound: str
    measured: str
    held: bool | None
    blind: Judged | None = None
    seeds: str = ""


def gates(measured: Measured) -> tuple[Gate, ...]:
    """All gates, in the order of the evaluation protocol; without runs of simulated machines those on the rest."""
    return (
        *_engine(measured),
        *(statistical(measured.samples) if measured.samples else ()),
        *_descriptions(measured),
        *_laboratory(measured),
        *of_times(measured.speed),
    )


def statistical(samples: Sequence[Sample], criteria: Sequence[Criterion] | None = None) -> Iterator[Gate]:
    """The gates on simulated machines, over runs of different seeds. criteria: all of them, if none are named."""
    whole = together(samples)
    for criterion in criteria or CRITERIA:
        judged, blind = criterion.judge(whole, False), criterion.judge(whole, True)  # noqa: FBT003 - as declared
        each = [criterion.judge(sample, False).held for sample in samples] if criterion.each else []  # noqa: FBT003
        seeds = f"{sum(each)} of {len(each)}" if each else "together"
        yield Gate(criterion.name, criterion.bound, judged.text, judged.held and all(each), blind, seeds)


def _interval(estimate: Estimate, form: str) -> str:
    return f"{estimate.value:{form}} ({estimate.low:{form}} to {estimate.high:{form}})"


def _by(blind: bool) -> By:  # noqa: FBT001 - as declared in Criterion
    return "priors" if blind else "answer"


def calibrated(name: str, scenario: str, layer: str, most: float, *, each: bool = False) -> Criterion:
    """Calibrated, and better than the priors: those are calibrated too, but their skill is 0 by definition."""

    def judge(sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
        outcome = sample.outcomes[scenario]
        claims = outcome.claims(layer, _by(blind))
        error, skill = claims.calibration_error, claims.skill(outcome.claims(layer, "priors"))
        text = f"{_interval(error, '.4f')}, skill {_interval(skill, '.3f')}, {error.sample} cases"
        return Judged(text, error.high <= most and skill.low > 0)

    return Criterion(f"{name}: calibration error of {layer}", f"≤ {most:.4f}, skill > 0", (scenario,), judge, each)


def _sure(sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    outcome = cases_of(sample.outcomes[name] for name in OWN)
    right = outcome.claims("modes", _by(blind)).right_from(BINS - 1)
    return Judged(right.text(".1%"), right.low >= 0.92)


def _reliable(layer: str, sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    """The worst of the bins with enough claims; claims of a half and more must be among them."""
    claims = sample.different().claims(layer, _by(blind))
    bins = [gap for gap in (claims.gap(k, k + 1) for k in range(BINS)) if gap.sample >= ENOUGH]
    worst = max(bins, key=lambda gap: max(gap.high, -gap.low))
    text = f"{_interval(worst, '+.3f')}, {worst.sample} claims; {len(bins)} bins"
    return Judged(text, len(bins) >= BINS - 1 and max(worst.high, -worst.low) <= 0.10)


def _unfit(sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    """Who knows nothing calls as many unfit here as there."""
    strange, usual = (sample.outcomes[name].rate("unfit") for name in (STRANGE, USUAL))
    if blind:
        strange = usual
    text = f"{strange.text('.1%')}; false alarms {usual.text('.1%')}"
    return Judged(text, strange.low >= 0.25 and usual.high <= 0.10)


def _wrongly_sure(sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    """Who is always sure is wrong whenever the leading mode is not there."""
    rate = sample.outcomes[STRANGE].rate("first_absent" if blind else "wrongly_sure")
    return Judged(rate.text(".1%"), rate.high <= 0.06)


def _gain(column: int, least: float, sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    gain = sample.trials.gain(column, by_chance=blind)
    return Judged(gain.text(".3f"), gain.low > least)


def _rules(sample: Sample, blind: bool) -> Judged:  # noqa: FBT001 - as declared
    broken, cases = (sample.unheeding, sample.checked // 10) if blind else (sample.broken, sample.checked)
    most = share(min(broken, cases), cases).high
    return Judged(f"{broken} in {cases} cases (at most {most:.2%} of cases)", broken == 0)


CRITERIA = (
    calibrated("own model, 5-9 findings", FEW, "modes", 0.015, each=True),
    calibrated("own model, 5-9 findings", FEW, "causes", 0.010, each=True),
    calibrated("own model, 10-19 findings", SOME, "modes", 0.015, each=True),
    calibrated("own model, 10-19 findings", SOME, "causes", 0.010, each=True),
    calibrated("own model, 25-39 findings", MANY, "modes", 0.015),
    calibrated("own model, 25-39 findings", MANY, "causes", 0.010),
    Criterion("own model, all bands and channels: modes claimed with 0.9 or more are right", "≥ 92.0%", OWN, _sure),
    calibrated("every log-odds shifted, sd 1.0", SHIFTED, "modes", 0.03),
    calibrated(f"biased reporting, {NOTES}", NOTES, "modes", 0.02, each=True),
    calibrated(f"biased reporting, {FORMS}", FORMS, "modes", 0.02),
    calibrated(f"biased reporting, {SHEETS}", SHEETS, "modes", 0.02),
    calibrated(WRONG, WRONG, "modes", 0.015, each=True),
    Criterion(
        "an unmodelled mode: called unfit, and few false alarms",
        "≥ 25.0%; ≤ 10.0%",
        (STRANGE, USUAL),
        _unfit,
        each=True,
    ),
    Criterion("an unmodelled mode: a wrong mode at 0.95 or more", "≤ 6.0%", (STRANGE,), _wrongly_sure, each=True),
    *(
        Criterion(
            f"a different model: worst bin of ten, {layer}, claimed less true",
            "≤ 0.100",
            DIFFERENT,
            partial(_reliable, layer),
        )
        for layer in ("modes", "causes")
    ),
    Criterion("next checks against hazards and prerequisites", "0", (RULES,), _rules, each=True),
    Criterion(
        "next checks ahead of random ones, same minutes: right", "> 0.10", (TRIALS,), partial(_gain, RIGHT, 0.10)
    ),
    Criterion(
        "next checks ahead of random ones, same minutes: claimed",
        "> 0",
        (TRIALS,),
        partial(_gain, CLAIMED, 0.0),
        each=True,
    ),
)


def _engine(measured: Measured) -> Iterator[Gate]:
    yield _apart("engine against plain enumeration, 200 random networks", measured.enumeration)
    yield _apart("engine against a general library (pyAgrum)", measured.library)
    yield Gate("same input, same bytes", "yes", "yes" if measured.same else "no", measured.same)


def _apart(name: str, apart: Apart) -> Gate:
    engine, blind = (Judged(f"{value:.1e}", value <= 1e-9) for value in (apart.engine, apart.priors))
    return Gate(name, "≤ 1.0e-09", engine.text, engine.held, blind)


def _descriptions(measured: Measured) -> Iterator[Gate]:
    """On a fixed set: the interval says what another set of such cases might give; the gate is on the figure."""
    for group, name, field, least in (
        ("published", "published descriptions: an expected mode leads", "top_1", 0.85),
        ("published", "published descriptions: an expected mode among three", "top_3", 0.95),
        ("all", "all descriptions: an expected mode leads", "top_1", 0.85),
        ("all", "all descriptions: an expected mode among three", "top_3", 0.95),
        ("all", "two causes, both among the first four", "both_causes", 0.75),
        ("all", "out of scope, not diagnosed", "not_diagnosed", 0.90),
        ("all", "safety rules that must fire, fired", "safety", 1.00),
    ):
        cases = measured.asked[group][field]
        values = getattr(measured.scores[group], field), getattr(measured.blind_scores[group], field)
        texts = [Judged(share(round(v * cases), cases).text(".2f"), v >= least) for v in values]
        yield Gate(name, f"≥ {least:.2f}", texts[0].text, texts[0].held, texts[1])


def _laboratory(measured: Measured) -> Iterator[Gate]:
    """Both ends in one gate: who always names the condenser, or never, passes one of them."""
    heavy = "rooftop data: the condenser acted on where it is 58 % blocked; any cause where it is clean"
    light = "rooftop data, against a sound day: the condenser acted on where it is 28 % blocked; any other cause"
    found = measured.rooftop
    always, never = share(100, 100), share(0, 100)
    yield _both(heavy, (0.50, 0.25), (found.heavy, found.alarm) if found else None, (always, always))
    yield _both(light, (0.10, 0.25), (found.light, found.other) if found else None, (never, never))


def _both(
    name: str, bounds: tuple[float, float], found: tuple[Estimate, Estimate] | None, blind: tuple[Estimate, Estimate]
) -> Gate:
    bound = f"≥ {bounds[0]:.0%}; ≤ {bounds[1]:.0%}"
    if found is None:
        return Gate(name, bound, "the data are not here", None)
    judged, nothing = (_ends(pair, bounds) for pair in (found, blind))
    return Gate(name, bound, judged.text, judged.held, nothing)


def _ends(pair: tuple[Estimate, Estimate], bounds: tuple[float, float]) -> Judged:
    at_least, at_most = pair
    text = f"{at_least.text('.0%')}; {at_most.text('.0%')}"
    return Judged(text, at_least.low >= bounds[0] and at_most.high <= bounds[1])


def of_times(speed: Mapping[int, float]) -> Iterator[Gate]:
    """The gates that hang on the machine that measures."""
    for size, most in ((8, 5.0), (25, 15.0)):
        value = speed[size]
        yield Gate(f"ranking, {size} findings: median", f"≤ {most:.1f} ms", f"{value:.1f} ms", value <= most)
