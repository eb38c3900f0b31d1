"""What oil and refrigerant samples share at the edge."""

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import MassFraction
from witnessmark.api.routes.sample_items import optional_sample, sample_reading, shown_item
from witnessmark.api.schemas.oil_quality import OilItemResult
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import SampleLimit, judge_sample


def test_a_reading_without_uncertainty_is_said_to_be_taken_as_exact() -> None:
    context = RequestContext()
    known = sample_reading(context, MassFraction(value=9, unit="mg/kg", uncertainty=1), "water", (0, 1))
    assert (known.uncertainty, context.assumptions) == (1e-6, [])
    bare = sample_reading(context, MassFraction(value=9, unit="mg/kg"), "water", (0, 1))
    assert bare == Measured(9e-6)
    assert context.assumptions[0].startswith("water: no uncertainty given, taken as exact")


def test_a_log_says_it_once() -> None:
    context = RequestContext()
    assert optional_sample(context, None, "readings.0.acid_number", (0, 1), "Acid numbers") is None
    for k in range(3):
        bare = MassFraction(value=9, unit="mg/kg")
        assert optional_sample(context, bare, f"readings.{k}", (0, 1), "Acid numbers") == Measured(9e-6)
    known = MassFraction(value=9, unit="mg/kg", uncertainty=2)
    assert optional_sample(context, known, "readings.3", (0, 1), "Acid numbers") == Measured(9e-6, 2e-6)
    assert [text.split(":")[0] for text in context.assumptions] == ["Acid numbers"]


def test_a_looser_makers_limit_is_warned_of_and_all_sources_are_cited() -> None:
    context = RequestContext()
    published = SampleLimit("water", "act", 10e-6, "din-8960", note="n")
    shown = shown_item(
        context, judge_sample("water", Measured(12e-6), (published,), 20e-6), ("mg/kg", 1e-6), OilItemResult
    )
    assert shown.looser_than_published
    assert (shown.reading, shown.act and shown.act.limit, shown.limits[0].limit) == (12.0, 20.0, 10.0)
    notes = context.notes()
    assert [c.id for c in notes["cautions"]] == ["maker-limit-looser"]
    assert {s.id for s in notes["sources"]} == {"maker-limit", "din-8960"}
