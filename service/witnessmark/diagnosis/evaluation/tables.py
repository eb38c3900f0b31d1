"""The tables of what was measured, in Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from witnessmark.diagnosis.evaluation.estimates import Estimate, mean
from witnessmark.diagnosis.evaluation.outcomes import BINS, CLAIMED, RIGHT, Claims, Outcome, Sample
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, MINUTES


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table."""
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)])


def scenarios(sample: Sample) -> str:
    """Every scenario with its figures."""
    head = ("scenario", "cases", "ECE modes", "ECE causes", "skill modes", "skill causes", "P ≥ 0.9 right")
    more = ("top 1", "priors' top 1", "top 3", "called unfit", "wrong at ≥ 0.95")
    return table((*head, *more), (_scenario(name, outcome) for name, outcome in sample.outcomes.items()))


def _scenario(name: str, outcome: Outcome) -> tuple[str, ...]:
    modes, causes = outcome.claims("modes"), outcome.claims("causes")
    sure = modes.right_from(BINS - 1)
    return (
        name,
        f"{len(outcome.rank)}",
        _within(modes.calibration_error, ".4f"),
        _within(causes.calibration_error, ".4f"),
        _within(modes.skill(outcome.claims("modes", before=True)), ".2f"),
        _within(causes.skill(outcome.claims("causes", before=True)), ".2f"),
        sure.text(".0%") if sure.sample else "none claimed",
        f"{outcome.within(1).value:.1%}",
        f"{outcome.within(1, before=True).value:.1%}",
        f"{outcome.within(3).value:.1%}",
        f"{outcome.rate('unfit').value:.1%}" if EXPERIMENTS[name].fit else "not asked",
        f"{outcome.rate('wrongly_sure').value:.1%}",
    )


def _within(estimate: Estimate, form: str) -> str:
    return f"{estimate.value:{form}} ({estimate.low:{form}} to {estimate.high:{form}})"


def reliability(layer: str, claims: Claims) -> str:
    """What was claimed of a layer and how often it came true."""
    rows = ((f"{claimed:.2f}", f"{true:.2f}", f"{number}") for claimed, true, number in claims.reliability)
    return table((f"{layer}: claimed", "came true", "claims"), rows)


def checks(sample: Sample) -> str:
    """The trials of the next checks."""
    return table(("trial of the next checks", "result"), _checks(sample))


def _checks(sample: Sample) -> Iterator[tuple[str, str]]:
    trials, minutes = sample.trials, f"{MINUTES:.0f} minutes"
    for name, after in (("the proposed", trials.proposed), ("random allowed", trials.random)):
        right, claimed = mean(after[:, RIGHT]).value, mean(after[:, CLAIMED]).value
        yield (
            f"leading mode right after {name} checks",
            f"{right:.1%} of {len(after)}, {minutes}; claimed {claimed:.1%}",
        )
    yield "gain over random checks: right", trials.gain(RIGHT).text(".3f")
    yield "gain over random checks: claimed", trials.gain(CLAIMED).text(".3f")
    yield "gain of other random checks: right", trials.gain(RIGHT, by_chance=True).text(".3f")
    yield "proposed checks that break a rule", f"{sample.broken} in {sample.checked} cases"


def tables(sample: Sample) -> str:
    """All of them."""
    different = sample.different()
    layers = [reliability(layer, different.claims(layer)) for layer in ("modes", "causes")]
    return "\n\n".join([scenarios(sample), "A different model:", *layers, checks(sample)]) + "\n"
