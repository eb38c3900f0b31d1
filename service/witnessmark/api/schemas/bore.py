"""A pipe on the wire: a tube by its trade size, or a bore."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Length, Wire
from witnessmark.api.schemas.listed import Listed
from witnessmark.calculations.circuit.tubes import Tube, TubeSeries, tube, tubes
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, located

BORES = (5e-4, 1.0)


def sizes() -> tuple[str, ...]:
    """Every size of every series, each once."""
    return tuple(dict.fromkeys(size for series in tubes().values() for size in series))


class TubeSize(Wire):
    """Copper tube by its outside diameter as the trade names it: inches (`7/8`), or mm in the metric series."""

    series: TubeSeries = Field("acr-hard", description="Drawn lengths or annealed coils by inches, or metric tube.")
    size: Annotated[str, *Listed.field("tube size", sizes)] = Field(description="Outside diameter.")


class Pipe(Wire):
    """Either a tube by its size or the bore."""

    tube: TubeSize | None = Field(None, description="The tube by its size; instead of the bore.")
    bore: Length | None = Field(None, description="Inside diameter, where the tube is not one of the listed.")


def bore_of(context: RequestContext, pipe: Pipe, field: str = "") -> tuple[Measured, Tube | None]:
    """The bore and, where it was given by size, the tube; ConflictError unless exactly one of them was given."""
    dot = f"{field}." if field else ""
    if (pipe.tube is None) == (pipe.bore is None):
        raise ConflictError((f"{dot}tube", f"{dot}bore"), "give one of tube and bore", "either a tube size or a bore")
    if pipe.bore is not None:
        return context.read(pipe.bore, f"{dot}bore", *BORES), None
    assert pipe.tube is not None  # noqa: S101 - one of them was given
    with located(f"{dot}tube"):
        listed = tube(pipe.tube.size, pipe.tube.series)
    context.cite(listed.source)
    return listed.bore, listed
