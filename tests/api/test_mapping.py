"""Requests become dataclasses of the core, results of the core become models: by name and type."""

from dataclasses import dataclass, fields
from typing import Annotated, Any, get_args

import pytest
from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import From, Span, mark, note, reading, taken
from witnessmark.api.quantities import Length, Mass, Pressure, Quantity, Shown, Wire
from witnessmark.api.schemas import accumulator, cleanup, debris_balance, filter_log, leak_rate, liquid_ingestion
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor import accumulator as vessel
from witnessmark.calculations.compressor import liquid_ingestion as pocket
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import leak_rate as leaks
from witnessmark.cleanup import debris_balance as core
from witnessmark.cleanup import debris_places, filters, job, log_readings, severity
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.cleanup.notes import Notes
from witnessmark.errors import InputError, OutOfRangeError, TooUncertainError


class PieceFields(Wire):
    mass: Annotated[Mass, Span(0.0, 1.0, sample="Masses")]
    length: Annotated[Length | None, Span(0.0, 2.0)] = None
    colour: float | None = None


class HeapFields(Wire):
    pieces: list[PieceFields] = Field([])
    kinds: list[str] = Field([])
    gauge: Annotated[Pressure | None, Span(0.0, 1e9)] = None
    scale: Annotated[Mass | None, Span(0.0, 1.0, instrument="fragment-scale")] = None


@dataclass(frozen=True)
class Piece:
    mass: Measured
    length: float = 7.0
    colour: Measured | None = None

    def __post_init__(self) -> None:
        if self.length == 0:
            raise InputError("length", "nothing", "something")


@dataclass(frozen=True)
class Heap:
    pieces: tuple[Piece, ...]
    kinds: frozenset[str]
    name: str
    gauge: float | None = None
    scale: Measured | None = None


def heap(**given: object) -> HeapFields:
    return HeapFields.model_validate(given, strict=False)


GRAM = {"value": 1, "unit": "g", "uncertainty": 0.1}


def test_parts_lists_and_quantities_become_the_cores_own() -> None:
    context = RequestContext()
    body = heap(pieces=[{"mass": GRAM}, {"mass": GRAM, "length": {"value": 1, "unit": "mm"}}], kinds=["b", "a", "b"])
    made = taken(context, Heap, body, name="this")
    assert made == Heap((Piece(Measured(1e-3, 1e-4)), Piece(Measured(1e-3, 1e-4), 1e-3)), frozenset("ab"), "this")
    assert context.assumptions == []


def test_what_is_taken_as_exact_is_said() -> None:
    context = RequestContext()
    bare = {"mass": {"value": 1, "unit": "g"}, "colour": 3.0}
    made = taken(context, Heap, heap(pieces=[bare, bare]), name="this")
    assert made.pieces[1].colour == Measured(3.0)
    assert [text.partition(":")[0] for text in context.assumptions] == ["Masses", "pieces.0.colour", "pieces.1.colour"]


def test_a_gauge_reading_counts_from_the_air_and_an_instrument_lends_its_accuracy() -> None:
    """1 % of 100 g and a division of 1 g, evenly likely: 2 g / sqrt 3."""
    context = RequestContext()
    body = heap(gauge={"value": 0, "unit": "kPag"}, scale={"value": 100, "unit": "g"})
    made = taken(context, Heap, body, name="this")
    assert made.gauge == 101_325.0
    assert made.scale is not None
    assert made.scale.uncertainty == pytest.approx(0.002 / 3**0.5)


@pytest.mark.parametrize(
    ("piece", "kind", "field"),
    [
        ({"mass": {"value": 2, "unit": "kg"}}, OutOfRangeError, "pieces.0.mass"),
        ({"mass": {"value": 1, "unit": "g", "uncertainty": 2000}}, TooUncertainError, "pieces.0.mass"),
        ({"mass": GRAM, "length": {"value": 0, "unit": "m"}}, InputError, "pieces.0.length"),
    ],
)
def test_a_fault_names_its_field_in_the_request(piece: dict[str, object], kind: type[InputError], field: str) -> None:
    with pytest.raises(kind) as caught:
        taken(RequestContext(), Heap, heap(pieces=[piece]), name="this")
    assert caught.value.field == field


class ShareFields(Wire):
    share: Ratio
    sampled: Annotated[Ratio | None, Span(0.0, 1.0, sample="Samples")] = None


@dataclass(frozen=True)
class Shares:
    share: float
    sampled: Measured | None = None


def test_a_ratio_is_a_reading_or_a_number_as_the_core_asks() -> None:
    context = RequestContext()
    body = ShareFields(share=Ratio(value=0.5, uncertainty=0.1), sampled=Ratio(value=0.2, uncertainty=0.01))
    assert taken(context, Shares, body) == Shares(0.5, Measured(0.2, 0.01))
    assert reading(context, body, "share") == Measured(0.5, 0.1)
    assert context.assumptions == []
    assert taken(context, Shares, ShareFields(share=Ratio(value=1), sampled=Ratio(value=0))) == Shares(1, Measured(0))
    assert reading(context, ShareFields(share=Ratio(value=1)), "share") == Measured(1)
    assert [text.partition(":")[0] for text in context.assumptions] == ["Samples"]


def test_one_reading_is_named_by_its_field_and_null_where_it_was_left_out() -> None:
    body = heap(scale={"value": 2, "unit": "kg"})
    assert reading(RequestContext(), body, "gauge") is None
    with pytest.raises(OutOfRangeError) as caught:
        reading(RequestContext(), body, "scale", "heaps.0.")
    assert caught.value.field == "heaps.0.scale"


class PieceResult(Shown):
    mass: Annotated[Mass, From(units=("g", "oz"))] = Field(description="In small units.")
    length: Length


class HeapResult(Shown):
    first: Annotated[PieceResult | None, From("best.piece")] = Field(description="From further in.")
    share: Annotated[Mass, From("best.piece.mass", ("kg", "lb"))] = Field(description="Both.")
    pieces: list[PieceResult]
    kinds: list[str]
    name: str = Field(min_length=1)


@dataclass(frozen=True)
class Best:
    piece: Piece


@dataclass(frozen=True)
class Found:
    best: Best
    pieces: tuple[Piece, ...]
    kinds: tuple[str, ...]


@pytest.mark.parametrize(("system", "unit", "value"), [("SI", "g", 28.349523125), ("IP", "oz", 1.0)])
def test_results_are_shown_in_the_units_asked_for(system: str, unit: str, value: float) -> None:
    """The ounce of 1959: 28.349523125 g, a sixteenth of a pound."""
    piece = Piece(Measured(0.028349523125), 1.0)
    context = RequestContext(system)  # type: ignore[arg-type]
    shown = context.result(HeapResult, Found(Best(piece), (piece,), ("a",)), name="this")
    mass, length = shown.pieces[0].mass, shown.pieces[0].length
    assert mass.unit == unit
    assert mass.value == pytest.approx(value)
    assert length == context.show(Length, 1.0)
    assert shown.first == shown.pieces[0]
    assert shown.share.unit == {"SI": "kg", "IP": "lb"}[system]
    assert shown.share.value == pytest.approx({"SI": 0.028349523125, "IP": 1 / 16}[system])
    assert (shown.kinds, shown.name) == (["a"], "this")
    fields = HeapResult.model_json_schema()["properties"]
    assert (list(fields)[:2], fields["first"]["description"]) == (["first", "share"], "From further in.")


def test_one_attribute_is_not_a_path() -> None:
    with pytest.raises(ValueError, match="AliasChoices"):
        From("best")


def test_notes_of_the_core_stand_in_the_answer() -> None:
    context, notes = RequestContext(), Notes()
    notes.assume("Something.")
    notes.warn("licensed")
    notes.cite("coolprop")
    note(context, notes)
    said = context.notes()
    assert said["assumptions"] == ["Something."]
    assert [caution.id for caution in said["cautions"]] == ["licensed"]
    assert [source.id for source in said["sources"]] == ["coolprop"]


REQUESTS: list[tuple[type[Wire], Any]] = [
    (cleanup.CleanupPlanRequest, job.CleanupJob),
    (cleanup.Signs, severity.Signs),
    (cleanup.OilCharge, job.OilCharge),
    (cleanup.RatedFilter, filters.RatedFilter),
    (cleanup.AcidCapacity, filters.AcidCapacity),
    (cleanup.MakerPlanLimits, MakerLimits),
    (filter_log.FilterLogRequest, log_readings.FilterLogCase),
    (filter_log.LogReading, log_readings.FilterReading),
    (cleanup.MakerLimits, MakerLimits),
    (debris_balance.DebrisBalanceRequest, core.DebrisCase),
    (debris_balance.BrokenPart, core.BrokenPart),
    (debris_balance.RecoveredFragment, debris_places.Fragment),
    (debris_balance.DebrisCircuit, debris_places.DebrisCircuit),
    (debris_balance.PlaceOnPath, debris_places.PlaceOnPath),
    (accumulator.AccumulatorVessel, vessel.Vessel),
    (accumulator.WetReturnInput, vessel.WetReturn),
    (accumulator.ChargeInput, vessel.CircuitCharge),
    (accumulator.RampInput, vessel.LoadRamp),
    (liquid_ingestion.RampToSpeed, pocket.SpeedRamp),
    (leak_rate.RefrigerantAddition, leaks.Addition),
]


@pytest.mark.parametrize(("part", "kind"), REQUESTS)
def test_nothing_that_a_request_may_say_is_lost(part: type[Wire], kind: Any) -> None:
    """Fields belong together by name: each of the request has one in the core, and each quantity its span."""
    assert set(part.model_fields) - {"site", "report_in"} <= {field.name for field in fields(kind)}
    quantities = {name: field for name, field in part.model_fields.items() if is_quantity(field.annotation)}
    assert [name for name, field in quantities.items() if mark(field) is None] == []


def is_quantity(annotation: Any) -> bool:
    kinds = (annotation, *get_args(annotation))
    return any(isinstance(kind, type) and issubclass(kind, Quantity) for kind in kinds)
