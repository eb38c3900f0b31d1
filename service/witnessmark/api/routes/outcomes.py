"""POST /v1/outcomes/score."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.outcomes import PastAnswerInput, ScoreOutcomesAnswer, ScoreOutcomesRequest
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.review.outcome_scores import PastAnswer, score
from witnessmark.errors import ConflictError

router = version_one("diagnosis")
SHOWN = 60
"""Characters of an unknown id that an answer repeats."""


@calculation(router, "/outcomes/score", "How good past answers were, against confirmed outcomes")
def score_outcomes(body: ScoreOutcomesRequest) -> ScoreOutcomesAnswer:
    """Top 1, top 3, Brier score, calibration, skill over knowing nothing, and the costliest mistakes. Nothing is kept.

    Only jobs whose outcome somebody confirmed can stand here, which are seldom all: the figures hold for those alone.
    """
    context = RequestContext.of(body)
    for number, answer in enumerate(body.answers):
        _agrees(f"answers.{number}", answer)
    _one_layer(body.answers)
    _each_once(body.answers)
    scores = score([_past(answer) for answer in body.answers])
    context.cite("brier-1950", "wilson-1927")
    for line in _assumed(body.answers):
        context.assume(line)
    return context.answer(ScoreOutcomesAnswer, scores)


def _past(answer: PastAnswerInput) -> PastAnswer:
    ranked = tuple((claim.id, claim.probability) for claim in answer.ranked)
    return PastAnswer(
        answer.reference, ranked, frozenset(answer.confirmed), frozenset(answer.not_looked_for), answer.cost
    )


def _agrees(at: str, answer: PastAnswerInput) -> None:
    ids = [claim.id for claim in answer.ranked]
    if len(set(ids)) < len(ids):
        raise ConflictError((f"{at}.ranked",), "an id stands twice", "each id once")
    if _out_of_order(answer):
        fault = "a line stands behind one that is less likely"
        accepted = "failure modes in the order shown, the likeliest first: places are counted, not probabilities"
        raise ConflictError((f"{at}.ranked",), fault, accepted)
    if both := set(answer.confirmed) & set(answer.not_looked_for):
        fields = (f"{at}.confirmed", f"{at}.not_looked_for")
        raise ConflictError(fields, f"{min(both)} was confirmed and not looked for", "each id in one of the two")
    if set(ids) <= set(answer.not_looked_for):
        fields = (f"{at}.not_looked_for", f"{at}.ranked")
        raise ConflictError(fields, "nothing that was ranked was looked for", "an outcome of at least one ranked id")


def _out_of_order(answer: PastAnswerInput) -> bool:
    """Whether modes stand otherwise than by their probability; causes do so by right, standing by their part."""
    if any(claim.id in knowledge().causes for claim in answer.ranked):
        return False
    return any(after.probability > before.probability for before, after in pairwise(answer.ranked))


def _one_layer(answers: Sequence[PastAnswerInput]) -> None:
    """A cause confirmed where modes were ranked would count as a mistake, and is none."""
    known = knowledge()
    of_layer = [
        {f"answers.{number}": key for number, answer in enumerate(answers) for key in _ids(answer) if key in layer}
        for layer in (known.modes, known.causes)
    ]
    if all(of_layer):
        (mode_at, mode), (cause_at, cause) = (next(iter(found.items())) for found in of_layer)
        fault = f"{mode} is a failure mode and {cause} a cause"
        raise ConflictError(tuple(dict.fromkeys((mode_at, cause_at))), fault, "all failure modes, or all causes")


def _each_once(answers: Sequence[PastAnswerInput]) -> None:
    seen: dict[str, int] = {}
    for number, answer in enumerate(answers):
        if (first := seen.setdefault(answer.reference, number)) != number:
            fields = (f"answers.{number}.reference", f"answers.{first}.reference")
            raise ConflictError(fields, "the same job twice", "each job once, under a reference of its own")


def _ids(answer: PastAnswerInput) -> Iterator[str]:
    yield from (claim.id for claim in answer.ranked)
    yield from answer.confirmed


def _assumed(answers: Sequence[PastAnswerInput]) -> Iterator[str]:
    yield "What was not listed as confirmed or not looked for was taken as looked for and not there."
    yield "Only jobs with a confirmed outcome are scored; those are seldom like the ones never opened."
    known = knowledge()
    ids = {key for answer in answers for key in _ids(answer)}
    if unknown := sorted(key for key in ids if key not in known.modes and key not in known.causes):
        yield f"Not known to this version, taken as written: {', '.join(name[:SHOWN] for name in unknown[:20])}."
    costs = [answer.cost is not None for answer in answers]
    if any(costs) and not all(costs):
        yield "Answers without a cost stand behind those with one."
