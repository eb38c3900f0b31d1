"""The verdicts of the decay test on the standing curves, by kind, with intervals, beside two rules of thumb."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from scipy.stats import beta

from tests.evaluation.vacuum.curves import KINDS, Drawn, Sample, draw
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.calculations.tightness.evacuation import DecayTest, decay, default_scatter
from witnessmark.calculations.tightness.vacuum_levels import VACUUM, allowed_rise, vacuum_levels
from witnessmark.vocabulary import Oil, words

LIMIT = VACUUM().leak.rule().value
GOOD = "tight and dry"
MOST_WRONG = 0.005
LEAST_RECOGNISED = 0.80
Rule = Callable[[Sample], str]


@dataclass(frozen=True)
class Share:
    """So many of so many."""

    part: int
    whole: int

    @property
    def value(self) -> float:
        """The share."""
        return self.part / self.whole

    @property
    def bounds(self) -> tuple[float, float]:
        """Clopper and Pearson's interval of 95 %."""
        k, n = self.part, self.whole
        low = float(beta.ppf(0.025, k, n - k + 1)) if k else 0.0
        return low, float(beta.ppf(0.975, k + 1, n - k)) if k < n else 1.0

    def __str__(self) -> str:
        """`3 of 400, 0.8 % (0.2 to 2.2)`."""
        low, high = self.bounds
        return f"{self.part} of {self.whole}, {self.value:.2%} ({low:.2%} to {high:.2%})"


def test_of(sample: Sample) -> DecayTest:
    """What the technician of the sample tells: no scatter, no accuracy of the gauge, but the step of its display."""
    oil: Oil | None = next((known for known in words(Oil) if known == sample.oil), None)
    readings = tuple(
        DecayReading(t, Measured(p, default_scatter(p, sample.step_pa)))
        for t, p in zip(sample.times_s, sample.pressures_pa, strict=True)
    )
    return DecayTest(
        readings, Measured(sample.coldest_k, 1.0), oil=oil, volume=sample.volume_m3, gauge_step=sample.step_pa
    )


def rule(sample: Sample) -> str:
    """The verdict of the service."""
    return decay(test_of(sample)).verdict


def shown_tight(sample: Sample) -> bool:
    """Whether the service says that a leak is bounded below the limit, dry enough or not."""
    return "climbs less than an allowed leak" in decay(test_of(sample)).reasons


def bound_holds(one: Drawn) -> bool:
    """Whether the true climb of the leak lies below the bound at 95 % that the answer tells."""
    climb = decay(test_of(one.sample)).climb.value
    true = one.circuit.leak_pa_m3_s / one.circuit.volume_m3 * 3600
    return true <= climb.value + COVERAGE * climb.uncertainty


def never(_sample: Sample) -> str:
    """The rule that says nothing."""
    return "cannot tell"


def low_at_the_end(sample: Sample) -> str:
    """The rule of thumb: the last reading is below the limit."""
    return GOOD if sample.pressures_pa[-1] <= _level(sample) else "cannot tell"


def seen(one: Drawn) -> bool:
    """Whether a leak at the limit would show: a rise of twice the gauge's step, and of twice its scatter."""
    sample = one.sample
    rise = allowed_rise(sample.volume_m3).value / 3600 * sample.times_s[-1]
    return rise >= 2 * max(sample.step_pa, one.gauge.scatter * sample.pressures_pa[-1])


def low(sample: Sample) -> bool:
    """Whether it ends below the level that every source allows."""
    return sample.pressures_pa[-1] <= _level(sample)


def long(sample: Sample) -> bool:
    """Whether there are 6 readings over half an hour."""
    return len(sample.times_s) >= 6 and sample.times_s[-1] >= 1800


def _level(sample: Sample) -> float:
    oil: Oil | None = next((known for known in words(Oil) if known == sample.oil), None)
    return vacuum_levels(oil).after_hold.rule().value


@dataclass(frozen=True)
class Score:
    """What a rule said of every sample."""

    judged: Sequence[tuple[Drawn, str]]

    @classmethod
    def of(cls, drawn: Iterable[Drawn], by: Rule = rule) -> Score:
        """Ask the rule."""
        return cls([(one, by(one.sample)) for one in drawn])

    def share(self, among: Callable[[Drawn], bool], verdicts: frozenset[str] = frozenset({GOOD})) -> Share:
        """How many of some samples got one of some verdicts."""
        chosen = [verdict in verdicts for one, verdict in self.judged if among(one)]
        return Share(sum(chosen), len(chosen))

    @property
    def wrong(self) -> Share:
        """Leaks of at least twice the limit, or wet, that are called tight and dry."""
        return self.share(lambda one: one.sample.truth.bad)

    def recognised(self, among: Callable[[Drawn], bool] = lambda _one: True) -> Share:
        """Good circuits, long enough watched, that are called tight and dry."""
        return self.share(lambda one: one.sample.truth.group == "good" and long(one.sample) and among(one))

    def rows(self) -> dict[str, Counter[str]]:
        """Verdicts by kind."""
        rows: dict[str, Counter[str]] = {}
        for one, verdict in self.judged:
            rows.setdefault(one.sample.truth.kind, Counter())[verdict] += 1
        return rows


def drawn(seed: int, part: int = 1) -> list[Drawn]:
    """The standing curves at the limit of the service's table; part: every so many of each kind."""
    return [draw(seed, place, index, LIMIT) for place, kind in enumerate(KINDS) for index in range(0, kind.count, part)]


def page(seed: int) -> str:
    """Everything as text."""
    several = drawn(seed)
    score = Score.of(several)
    lines = [f"seed {seed}, {len(several)} curves, allowed leak {LIMIT:g} Pa m3/s"]
    for kind, verdicts in score.rows().items():
        total = verdicts.total()
        good = Share(verdicts[GOOD], total)
        lines.append(f"  {kind:22} {', '.join(f'{v} {n}' for v, n in verdicts.most_common())}")
        lines.append(f"  {'':22} {GOOD}: {good}")
    lines.append(f"leaking or wet called {GOOD}: {score.wrong}; at most {MOST_WRONG:.1%} is asked")
    leaks = [one for one in several if one.circuit.water is None and one.sample.truth.leak_ratio > 0][::4]
    lines.append(f"a fourth of the leaks, below the bound of 95 %: {Share(sum(map(bound_holds, leaks)), len(leaks))}")
    lines += _good(score)
    for name, by in (("always cannot tell", never), ("last reading below the limit", low_at_the_end)):
        other = Score.of(several, by)
        lines.append(f"rule '{name}': wrong {other.wrong}; recognised {other.recognised()}")
    return "\n".join(lines)


def _shown_tight(score: Score) -> Share:
    good = [one.sample for one, _ in score.judged if one.sample.truth.group == "good" and long(one.sample)]
    return Share(sum(map(shown_tight, good)), len(good))


def _good(score: Score) -> list[str]:
    return [
        f"good ones recognised, all: {score.recognised()}; {LEAST_RECOGNISED:.0%} is asked",
        f"  of those below the level that is asked: {score.recognised(lambda one: low(one.sample))}",
        f"  of those where an allowed leak would show: {score.recognised(seen)}",
        f"  of those where both holds: {score.recognised(lambda one: low(one.sample) and seen(one))}",
        f"  shown to have no leak, dry enough or not: {_shown_tight(score)}",
    ]
