"""Learning from closed jobs: what a count makes of a figure, and what must never be read from the result."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache

import pytest
from tests.evaluation.learning import SCENARIO, closed, truth

from witnessmark.diagnosis.catalogue.checks import faults
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Mention
from witnessmark.diagnosis.evaluation.simulation import simulate
from witnessmark.diagnosis.learning import learn as learning
from witnessmark.diagnosis.learning.figures import FigureSet, put, taken
from witnessmark.diagnosis.learning.jobs import ClosedJob, JobMachine
from witnessmark.diagnosis.learning.learn import Learned, learn, rules

SCROLL = JobMachine(
    compressor="scroll", shell="low-side", drive="fixed-speed", construction="hermetic", phases="three-phase"
)
PISTON = JobMachine(
    compressor="reciprocating",
    shell="low-side",
    drive="fixed-speed",
    construction="semi-hermetic",
    phases="three-phase",
)
RATE = ("prior", "liquid-floodback")


def job(
    modes: Sequence[str] = (), machine: JobMachine = SCROLL, causes: Sequence[str] = (), **findings: str
) -> ClosedJob:
    named = {key.replace("_", "-"): state for key, state in findings.items()}
    return ClosedJob(
        day=date(2026, 1, 1),
        machine=machine,
        queue="monitoring",
        confirmed_modes=tuple(modes),
        confirmed_causes=tuple(causes),
        findings=named,  # type: ignore[arg-type]
    )


@cache
def many() -> tuple[ClosedJob, ...]:
    """Of a shop unlike the experts: so many that some figures are learned."""
    own = truth(3)
    return tuple(closed(own, simulate(own, SCENARIO, 400, 3)))


def link(learned: Learned, finding: str) -> float:
    """P(finding | liquid floodback alone)."""
    rows = learned.knowledge.mode_finding
    return next(row.probability for row in rows if (row.origin, row.target) == ("liquid-floodback", finding))


def test_rate_by_hand() -> None:
    """50 of 500 machines, nothing else: (prior count + 50) / (prior jobs + 500)."""
    learned = learn(knowledge(), [job(["liquid-floodback"])] * 50 + [job()] * 450)
    p = knowledge().modes["liquid-floodback"].prior
    weight = 1 / (learned.spreads["prior"] ** 2 * p * (1 - p))
    assert learned.knowledge.modes["liquid-floodback"].prior == pytest.approx((weight * p + 50) / (weight + 500))
    assert learned.spreads["prior"] == pytest.approx(rules().spread, rel=1e-4)


def test_figures_that_jobs_bear_out_hardly_move() -> None:
    """Worst wrong answer: a shop that is as the experts said is told otherwise by the luck of its jobs.

    The more jobs bear the figures out, the less they move them; what is learned from few is no worse beyond noise
    (tests/evaluation/test_learning.py).
    """
    jobs = closed(knowledge(), simulate(knowledge(), SCENARIO, 1000, 8))
    few, many = (learn(knowledge(), jobs[::step]).spreads["prior"] for step in (4, 1))
    assert many <= 0.2 * rules().spread
    assert many < few < rules().spread / 2


def test_where_no_figure_tells_of_the_spread_all_are_as_likely() -> None:
    """By hand: the mean of the spreads that are tried."""
    assert learning._spread([], 0.6) == pytest.approx(0.6 * sum(learning.PARTS) / len(learning.PARTS))  # noqa: SLF001


def test_likelihood_goes_where_the_jobs_are() -> None:
    """Seen in none of 200: the share comes down, and stays above what is seen without reason."""
    seldom = learn(knowledge(), [job(["liquid-floodback"], bearings_washed_bright="absent")] * 200)
    always = learn(knowledge(), [job(["liquid-floodback"], bearings_washed_bright="present")] * 200)
    assert link(seldom, "bearings-washed-bright") < 0.3
    assert link(always, "bearings-washed-bright") > 0.9
    assert knowledge().findings["bearings-washed-bright"].background < link(seldom, "bearings-washed-bright")


def test_another_reason_takes_its_share() -> None:
    """A child with two active parents says less of either than with one."""
    alone = learn(knowledge(), [job(["general-burnout", "ground-fault"])] * 200)
    both = learn(knowledge(), [job(["general-burnout", "spot-burn", "ground-fault"])] * 200)
    at = next(
        ("mode_mode", str(k))
        for k, row in enumerate(knowledge().mode_mode)
        if (row.origin, row.target) == ("general-burnout", "ground-fault")
    )
    assert both.figures[at] < alone.figures[at]


def test_too_few_are_refused() -> None:
    """Worst wrong answer: nine jobs overturn what experts said."""
    few = [job(["liquid-floodback"], bearings_washed_bright="absent")] * 9
    learned = learn(knowledge(), few)
    assert not learned.changed
    assert learned.refused
    assert learned.knowledge.modes == knowledge().modes
    assert learned.knowledge.mode_finding == knowledge().mode_finding


@pytest.mark.parametrize("number", range(0, 10, 3))
def test_nothing_of_fewer_than_the_least_is_told(number: int) -> None:
    """Whether none or nine of 300 jobs had a mode, and what they showed, cannot be told from its figures."""
    rest = [job()] * (300 - number)
    told = learn(knowledge(), rest + [job(["liquid-floodback"], bearings_washed_bright="present")] * number)
    other = learn(knowledge(), [job()] * 300)
    assert told.figures[RATE] == other.figures[RATE]
    assert link(told, "bearings-washed-bright") == link(other, "bearings-washed-bright")


def test_one_job_more_or_less_moves_no_figure_far() -> None:
    """Rounded counts can move by a step, never more: no odds of any figure double or halve for the sake of one job."""
    whole, without = (learn(knowledge(), jobs) for jobs in (many(), many()[1:]))
    for key, p in whole.figures.values.items():
        q = without.figures[key]
        assert 0.5 < p / (1 - p) / (q / (1 - q)) < 2, key


def test_what_defines_is_never_learned() -> None:
    learned = learn(knowledge(), [job(causes=["overcharge"], charge_over="absent")] * 300)
    for before, after in zip(knowledge().cause_finding, learned.knowledge.cause_finding, strict=True):
        assert not before.defines or before == after
    assert learned.knowledge.findings["charge-over"] == knowledge().findings["charge-over"]


def test_a_call_stands_for_more_sound_machines() -> None:
    """Sound ones are rarer among calls: the same list taken from calls means lower rates."""
    watched = [job(["liquid-floodback"])] * 40 + [job()] * 160
    called = [one.model_copy(update={"queue": "dispatch"}) for one in watched]
    assert learn(knowledge(), called).figures[RATE] < learn(knowledge(), watched).figures[RATE]


def test_kinds_are_drawn_together() -> None:
    """Floodback in 80 of 200 scrolls and 10 of 200 reciprocating: told apart, less far than the raw odds say."""
    jobs = [
        job(["liquid-floodback"] if k < number else [], machine)
        for machine, number in ((SCROLL, 80), (PISTON, 10))
        for k in range(200)
    ]
    odds = {c.value: c.odds_ratio for c in learn(knowledge(), jobs).kinds if c.target == "liquid-floodback"}
    raw = (80 / 120) / (10 / 190)
    assert 1.5 < odds["scroll"] / odds["reciprocating"] < raw
    assert not learn(knowledge(), jobs[:200]).kinds


def test_what_comes_out_is_knowledge() -> None:
    learned = learn(knowledge(), many())
    assert not faults(learned.knowledge)
    assert learned.changed
    for finding in learned.knowledge.findings.values():
        type(finding).model_validate(finding.model_dump())


def test_figures_taken_and_put_back() -> None:
    figures = taken(knowledge())
    back = put(knowledge(), figures, frozenset(figures.values))
    again = taken(back)
    assert again.values == pytest.approx(dict(figures.values), abs=2e-3)
    assert put(knowledge(), FigureSet(figures.values), frozenset()).findings == knowledge().findings


def test_silence_of_a_channel_says_something() -> None:
    """On a form that names what is absent too, not mentioned is half a no."""
    quiet = [job(["liquid-floodback"]).model_copy(update={"reported_by": "note"})] * 200
    assert link(learn(knowledge(), quiet), "suction-superheat") < link(learn(knowledge(), [job()]), "suction-superheat")


@pytest.mark.parametrize(
    ("state", "channel", "likelihood"),
    [
        ("low", "note", (0.05 * 0.2, 0.9 * 0.7, 0.05 * 0.7)),
        ("normal", "note", (0.9 * 0.2, 0.05 * 0.7, 0.05 * 0.7)),
        ("unknown", "note", (0.8, 0.3, 0.3)),
        ("high", None, (0.05, 0.05, 0.9)),
        ("unknown", None, None),
    ],
)
def test_what_a_channel_mentions_counts_by_how_often_it_does(
    state: str, channel: str | None, likelihood: tuple[float, ...] | None
) -> None:
    """By hand, for normal, low and high; reliability 0.9, mentioned in 20 % of notes where normal, else in 70 %.

    Told: P(right or wrong) x P(mentioned); silence in a channel: P(not mentioned); else silence says nothing.
    """
    row = knowledge().findings["suction-superheat"]
    mention = {"note": Mention(absent=0.2, present=0.7)}
    finding = row.model_copy(update={"reliability": 0.9, "mention": mention})
    told = job().model_copy(update={"findings": {row.id: state}, "reported_by": channel})
    found = learning._row(finding, told)  # noqa: SLF001
    assert found == (None if likelihood is None else pytest.approx(likelihood))
