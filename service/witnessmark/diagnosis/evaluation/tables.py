"""The tables of what was measured, in Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import get_args

from witnessmark.diagnosis.evaluation.estimates import Estimate, mean
from witnessmark.diagnosis.evaluation.outcomes import BINS, CLAIMED, RIGHT, By, Claims, Outcome, Sample
from witnessmark.diagnosis.evaluation.rates import HEAD, SOUND_HEAD
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, MINUTES


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table."""
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)])


def scenarios(sample: Sample) -> str:
    """Every scenario: calibration, and how often the answer is right."""
    head = ("scenario", "cases", "ECE modes", "ECE causes", "P ≥ 0.9 right", "top 1", "priors' top 1", "naive top 1")
    more = ("top 3", "called unfit", "wrong at ≥ 0.95")
    return table((*head, *more), (_scenario(name, outcome) for name, outcome in sample.outcomes.items()))


def _scenario(name: str, outcome: Outcome) -> tuple[str, ...]:
    modes, causes = outcome.claims("modes"), outcome.claims("causes")
    sure = modes.right_from(BINS - 1)
    return (
        name,
        f"{len(outcome.rank)}",
        _within(modes.calibration_error, ".4f"),
        _within(causes.calibration_error, ".4f"),
        sure.text(".0%") if sure.sample else "none claimed",
        outcome.within(1).text(".0%"),
        outcome.within(1, "priors").text(".0%"),
        outcome.within(1, "naive").text(".0%"),
        outcome.within(3).text(".0%"),
        outcome.rate("unfit").text(".1%") if EXPERIMENTS[name].fit else "not asked",
        outcome.rate("wrongly_sure").text(".1%"),
    )


def skills(sample: Sample) -> str:
    """What the answer is worth beside three that are cheaper, by squared error; and those three by the same measure."""
    head = (
        "scenario",
        "layer",
        "over the priors",
        "over naive Bayes",
        "over the commonest",
        "naive Bayes over the priors",
    )
    return table(head, (row for name, outcome in sample.outcomes.items() for row in _skills(name, outcome)))


def _skills(name: str, outcome: Outcome) -> Iterator[tuple[str, ...]]:
    for layer in ("modes", "causes"):
        answer, priors, naive, commonest = (outcome.claims(layer, by) for by in get_args(By))
        pairs = ((answer, priors), (answer, naive), (answer, commonest), (naive, priors))
        yield name, layer, *(_within(claims.skill(over), ".2f") for claims, over in pairs)


def rates(sample: Sample) -> str:
    """The five rates of the scenarios whose verdict was asked."""
    asked = {name: out for name, out in sample.outcomes.items() if EXPERIMENTS[name].fit}
    return table(("scenario", *HEAD, *SOUND_HEAD), ((name, *out.five_rates.cells()) for name, out in asked.items()))


def _within(estimate: Estimate, form: str) -> str:
    return f"{estimate.value:{form}} ({estimate.low:{form}} to {estimate.high:{form}})"


def reliability(layer: str, claims: Claims) -> str:
    """What was claimed of a layer and how often it came true, with the interval over whole cases."""
    gaps = [claims.gap(k, k + 1) for k in range(BINS)]
    held = zip(claims.reliability, (gap for gap in gaps if gap.sample), strict=True)
    rows = ((f"{c:.2f}", f"{t:.2f} ({_clipped(c - g.high)} to {_clipped(c - g.low)})", f"{n}") for (c, t, n), g in held)
    return table((f"{layer}: claimed", "came true", "claims"), rows)


def _clipped(share: float) -> str:
    """A claim less the end of an interval of its gap may lie beyond what a share can be."""
    return f"{min(max(share, 0.0), 1.0):.2f}"


def checks(sample: Sample) -> str:
    """The trials of the next checks."""
    return table(("trial of the next checks", "result"), _checks(sample))


def _checks(sample: Sample) -> Iterator[tuple[str, str]]:
    trials, minutes = sample.trials, f"{MINUTES:.0f} minutes"
    for name, after in (("the proposed", trials.proposed), ("random allowed", trials.random)):
        right, claimed = mean(after[:, RIGHT]), mean(after[:, CLAIMED])
        yield (
            f"leading mode right after {name} checks, {minutes}",
            f"{right.text('.1%')}; claimed {_within(claimed, '.1%')}",
        )
    yield "gain over random checks: right", trials.gain(RIGHT).text(".3f")
    yield "gain over random checks: claimed", trials.gain(CLAIMED).text(".3f")
    yield "gain of other random checks: right", trials.gain(RIGHT, by_chance=True).text(".3f")
    yield "proposed checks that break a rule", f"{sample.broken} in {sample.checked} cases"


def tables(sample: Sample) -> str:
    """All of them."""
    different = sample.different()
    layers = [reliability(layer, different.claims(layer)) for layer in ("modes", "causes")]
    return (
        "\n\n".join([scenarios(sample), skills(sample), rates(sample), "A different model:", *layers, checks(sample)])
        + "\n"
    )
