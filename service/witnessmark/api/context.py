"""Where quantities become SI readings and results become quantities again, with what was assumed on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import version
from typing import Any, Self, TypedDict, TypeVar, cast

from pydantic import BaseModel, Field, ValidationError, model_validator

from witnessmark import __version__, data
from witnessmark.api import as_sent
from witnessmark.api.quantities import AirPressure, Length, Quantity, Wire
from witnessmark.api.units import THICKEST_AIR, Bare, Beside, Conversion
from witnessmark.calculations.metrology.atmosphere import pressure_at_altitude
from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.reference import Trust, caution, source
from witnessmark.refrigerants.told_mixtures import Mixed
from witnessmark.refrigerants.unserved import Guessed
from witnessmark.vocabulary import SystemOfUnits

PROPERTY_LIBRARY = f"CoolProp {version('CoolProp')}"

# Above this the "gauge" reading would need an air pressure no inhabited place has; below it no barometer works.
BAROMETER_RANGE = (30e3, THICKEST_AIR)


class Site(Wire):
    """Where the readings were taken: gauge pressures count from the local air pressure."""

    altitude: Length | None = Field(None, description="Height above sea level; the standard atmosphere gives the air.")
    barometer: AirPressure | None = None
    """Read on the spot. Weather services state it reduced to sea level: then give the altitude."""

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.altitude is None) == (self.barometer is None):
            raise ValueError("give either altitude or barometer")
        return self

    @property
    def knows_weather(self) -> bool:
        """Whether the air pressure was read on the spot."""
        return self.barometer is not None

    def air_pressure(self) -> float:
        """Local air pressure, Pa."""
        if self.altitude is not None:
            return pressure_at_altitude(self.altitude.to_si().value)
        assert self.barometer is not None  # noqa: S101 - the validator says so
        pressure = self.barometer.to_si().value
        if not BAROMETER_RANGE[0] <= pressure <= BAROMETER_RANGE[1]:
            raise OutOfRangeError("site.barometer", pressure, *BAROMETER_RANGE, "air_pressure")
        return pressure


class CautionNote(Wire):
    """A warning that belongs to the work at hand."""

    id: str = Field(description="Its id; more may come.")
    text: str = Field(description="What to be careful about.")


class SourceNote(Wire):
    """Where a figure or formula comes from, and how far to trust it."""

    id: str = Field(description="Its id, as results name it; more may come.")
    citation: str = Field(description="Standard, table, book or page.")
    trust: Trust = Field(description="How it is known.")
    note: str = Field(description="How far it was read, or what it does not cover; empty if there is nothing to add.")


class ModelVersion(Wire):
    """What decides the numbers: the same three give the same answer."""

    service: str = Field(description="Version of the service.")
    property_library: str = Field(description="Name and version of the library behind the saturation curves.")
    knowledge: str
    """State of all data files, ten hexadecimal digits; zeros in the examples of this document."""


class UncertaintyNote(Wire):
    """What the uncertainties of an answer mean."""

    coverage_factor: Bare = Field(description="Standard uncertainties that verdicts and intervals ask for.")
    meaning: str = Field(description="The same in words.")


class Request(Wire):
    """Base of every calculation request."""

    site: Site | None = Field(None, description="Altitude or barometer; without it sea-level air is assumed, and said.")
    report_in: SystemOfUnits = Field("SI", description="Units of the answer; `as-sent`: those of the request.")


class Answer(Wire):
    """Base of every answer: the result stands in `result`."""

    assumptions: list[str] = Field(description="What the service assumed because the request did not say.")
    cautions: list[CautionNote] = Field(description="What to be careful about.")
    sources: list[SourceNote] = Field(description="Where formulas and limits come from.")
    uncertainty: UncertaintyNote = Field(description="What an uncertainty in this answer means.")
    model_version: ModelVersion = Field(description="What decided the numbers.")


class Notes(TypedDict):
    """What stands beside the result of every answer."""

    assumptions: list[str]
    cautions: list[CautionNote]
    sources: list[SourceNote]
    uncertainty: UncertaintyNote
    model_version: ModelVersion


UNCERTAINTY = UncertaintyNote(
    coverage_factor=COVERAGE,
    meaning="Each uncertainty is one standard uncertainty (JCGM 100:2008). Verdicts and intervals reach two of them to "
    "either side, which holds about 95 % of what the true value may be.",
)


@cache
def model_version() -> ModelVersion:
    """The versions that decide the numbers."""
    return ModelVersion(service=__version__, property_library=PROPERTY_LIBRARY, knowledge=data.version())


A = TypeVar("A", bound=Answer)
W = TypeVar("W", bound=Wire)


@dataclass(slots=True)
class RequestContext(Conversion):
    """Turns quantities into readings and back for one request, and keeps what stands beside the result."""

    _sources: dict[str, None] = field(default_factory=dict)
    _cautions: dict[str, None] = field(default_factory=dict)

    @classmethod
    def of(cls, request: Request) -> RequestContext:
        """The context for a request; what was guessed in the name of a refrigerant is assumed, and said."""
        context = cls(request.report_in, request.site)
        if request.report_in == "as-sent":
            context.show_as(as_sent.units_of(request))
        for guess in _guesses(request):
            context.assume(guess.words)
            if isinstance(guess, Mixed):
                context.warn("unclassed-mixture")
        return context

    def show_as(self, units: dict[str, str]) -> None:
        """Show quantities in these units, by dimension, and others in the system in which most of these stand."""
        self.sent, self.system = units, as_sent.system(units)

    def cite(self, *ids: str) -> None:
        """Quote sources by id."""
        self._sources.update(dict.fromkeys(ids))

    def warn(self, *ids: str) -> None:
        """Quote cautions by id."""
        self._cautions.update(dict.fromkeys(ids))

    def below_air(self) -> None:
        """A low side stands below the air pressure of the site."""
        self.warn("air-drawn-in")

    def result(self, model: type[W], source: object, **beside: Any) -> W:
        """The model, read from what a calculation returned: SI numbers are shown as the request asks for.

        `beside` gives the fields that are not read from `source`. Errors: InputError where an estimate is too wide to
        say anything; ValidationError, a fault of the code, for a field that stands nowhere.
        """
        try:
            whole = Beside(source, beside) if beside else source
            return model.model_validate(whole, strict=False, from_attributes=True, context=self)
        except ValidationError as fault:
            for error in fault.errors():
                if isinstance(refusal := error.get("ctx", {}).get("error"), InputError):
                    raise refusal from None
            raise

    def answer(self, kind: type[A], source: object, **beside: Any) -> A:
        """The answer whose result is read as by `result`, with what stands beside it."""
        model = cast("type[Wire]", kind.model_fields["result"].annotation)
        shown = self.result(model, source, **beside)
        return kind(result=shown, **self.notes())  # type: ignore[call-arg] # every answer has a result

    def notes(self) -> Notes:
        """What goes beside the result of every answer."""
        if self._air is not None:
            self.cite("iso-2533")
        return Notes(
            assumptions=self.assumptions,
            cautions=[_caution_note(key) for key in self._cautions],
            sources=[_source_note(key) for key in self._sources],
            uncertainty=UNCERTAINTY,
            model_version=model_version(),
        )


def _guesses(part: BaseModel | list[Any]) -> Iterator[Guessed]:
    """The names of refrigerants anywhere below a request in which something was taken for granted."""
    for value in part.__dict__.values() if isinstance(part, BaseModel) else part:
        if isinstance(value, Guessed):
            yield value
        elif isinstance(value, list) or (isinstance(value, BaseModel) and not isinstance(value, Quantity)):
            yield from _guesses(value)


# Notes cannot be changed, so every answer may hold the same ones.
@cache
def _caution_note(key: str) -> CautionNote:
    return CautionNote(id=key, text=caution(key).text)


@cache
def _source_note(key: str) -> SourceNote:
    row = source(key)
    return SourceNote(id=key, citation=row.citation, trust=row.trust, note=row.note)
