"""What oil and refrigerant samples share at the edge."""

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import MassFraction
from witnessmark.api.routes.sample_items import sample_readings, shown_item
from witnessmark.api.schemas.oil_quality import OilItemResult, OilSampleFields
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.refrigerant_quality import RefrigerantQualityRequest
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.oil_quality import RANGES as OIL_RANGES
from witnessmark.calculations.samples.refrigerant_quality import RANGES
from witnessmark.calculations.samples.sample_limits import MakerLimit, SampleLimit, judge_sample


def test_a_reading_without_uncertainty_is_said_to_be_taken_as_exact() -> None:
    context = RequestContext()
    water = MassFraction(value=9, unit="mg/kg", uncertainty=1)
    body = RefrigerantQualityRequest(
        refrigerant="R-22", use="in-service", water=water, non_condensables=Ratio(value=0.01, uncertainty=0.001)
    )
    assert sample_readings(context, body, RANGES) == {
        "water": Measured(9e-6, 1e-6),
        "non_condensables": Measured(0.01, 0.001),
    }
    assert context.assumptions == []
    bare = body.model_copy(update={"water": MassFraction(value=9, unit="mg/kg"), "non_condensables": Ratio(value=0.01)})
    assert sample_readings(context, bare, RANGES) == {"water": Measured(9e-6), "non_condensables": Measured(0.01)}
    assert [text.split(":")[0] for text in context.assumptions] == ["water", "non_condensables"]
    assert context.assumptions[0].startswith("water: no uncertainty given, taken as exact")


def test_figures_without_a_unit_are_taken_as_exact_too() -> None:
    context = RequestContext()
    assert sample_readings(context, OilSampleFields(oil="POE", colour=3.5), OIL_RANGES) == {"colour": Measured(3.5)}
    assert [text.split(":")[0] for text in context.assumptions] == ["colour"]


def test_a_looser_makers_limit_is_warned_of_and_all_sources_are_cited() -> None:
    context = RequestContext()
    published = SampleLimit("water", "act", 10e-6, "din-8960", note="n")
    maker = MakerLimit(20e-6, "Guide 7, page 2")
    shown = shown_item(
        context, judge_sample("water", Measured(12e-6), (published,), maker), ("mg/kg", 1e-6), OilItemResult
    )
    assert shown.looser_than_published
    assert (shown.reading, shown.act and shown.act.limit, shown.limits[0].limit) == (12.0, 20.0, 10.0)
    notes = context.notes()
    assert [c.id for c in notes["cautions"]] == ["maker-limit-looser"]
    assert {s.id for s in notes["sources"]} == {"maker-limit", "din-8960"}
