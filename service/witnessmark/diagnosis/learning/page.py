"""The page of what changed and why, in Markdown. It names no job, no day and no count below the least."""

from __future__ import annotations

import math
from collections.abc import Iterator

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.learning.figures import Key
from witnessmark.diagnosis.learning.learn import Learned, rules
from witnessmark.diagnosis.learning.scoring import Compared

HEAD = """# What closed jobs changed in the knowledge

Learned from {jobs} closed jobs, on knowledge `{version}`. Run the service with `witnessmark serve --knowledge`
and this folder; its answers then carry a version of their own.

## What this is, and is not
- An elicited figure p counts as 1 / (s^2 p (1 - p)) jobs, s at most {spread}: 50 % as {half:.0f}, 1 % as {rare:.0f}.
  How far elicited figures may be moved is told by the jobs themselves; here s is {spreads}.
- Nothing is replaced by fewer than {twice} jobs that tell of it; {refused} figures have some jobs, but too few,
  and stand as elicited. Counts are rounded to {step}, and any count below {least} is taken for one in keeping
  with the elicited figure: no single job can be read from this folder. Who runs this again after each job and
  compares still learns when a rounded count moves; hand the folder on only after many.
- **Selection.** Only jobs with a confirmed outcome are here, as a rule compressors that came back and were
  opened. That a sound one is rarer among them is weighed by the odds of the job's queue, elicited themselves;
  that some modes are opened more often than others is not, so rates are those of such jobs. Likelihoods of what
  is seen at the opened machine rest on opened ones alone.
- What defines a mode or cause (weighed, measured, seen) is a matter of words and is never learned, nor how
  reliable reports are.

## Is it better?
{scores}

## What changed ({changed} of {all} figures; the {shown} that moved most)
| figure | elicited | now | jobs |
| --- | --- | --- | --- |
{rows}

## Kinds of compressor
{kinds}
"""
SHOWN = 60


def page(learned: Learned, knowledge: Knowledge, version: str, jobs: int, scores: dict[str, Compared | None]) -> str:
    """The whole page."""
    figures = rules()
    moved = sorted(learned.changed, key=lambda key: -_shift(learned, key))[:SHOWN]
    kinds = [f"- {knowledge.name(c.target)}, {c.value}: odds x {c.odds_ratio}" for c in learned.kinds]
    return HEAD.format(
        jobs=_about(jobs),
        version=version,
        spread=figures.spread,
        spreads=", ".join(f"{value:.2f} ({group})" for group, value in learned.spreads.items()),
        half=4 / figures.spread**2,
        rare=1 / (figures.spread**2 * 0.01 * 0.99),
        twice=2 * figures.least,
        least=figures.least,
        step=figures.step,
        refused=len(learned.refused),
        scores="\n".join(_scores(scores)),
        changed=len(learned.changed),
        all=len(learned.figures.values),
        shown=len(moved),
        rows="\n".join(_row(learned, knowledge, key) for key in moved),
        kinds="\n".join(kinds) or "None differs so far that it could be told.",
    )


def _about(count: float) -> str:
    step = rules().step
    return f"about {round(count / step) * step}" if count >= rules().least else f"fewer than {rules().least}"


def _shift(learned: Learned, key: Key) -> float:
    before, after = (p / (1 - p) for p in (learned.elicited[key], learned.figures[key]))
    return abs(math.log(after / before))


def _scores(scores: dict[str, Compared | None]) -> Iterator[str]:
    for name, found in scores.items():
        if found is None or found.jobs < rules().least:
            yield f"- {name}: too few jobs to say."
        else:
            yield (
                f"- {name}, {_about(found.jobs)} jobs: loss {found.elicited:.2f} nats a job elicited, "
                f"{found.learned:.2f} learned; "
                f"change {found.low:+.2f} to {found.high:+.2f} (95 %): **{found.text}**."
            )


def _row(learned: Learned, knowledge: Knowledge, key: Key) -> str:
    jobs = _about(learned.counts[key].jobs)
    return f"| {_words(knowledge, key)} | {learned.elicited[key]:.3g} | {learned.figures[key]:.3g} | {jobs} |"


def _words(knowledge: Knowledge, key: Key) -> str:
    if key[0] == "prior":
        return f"rate of: {knowledge.name(key[1])}"
    if key[0] == "background":
        return f"without reason: {knowledge.name(key[1])} ({key[2]})"
    link = getattr(knowledge, key[0])[int(key[1])]
    return f"{knowledge.name(link.origin)} brings: {knowledge.name(link.target)} ({link.state})"
