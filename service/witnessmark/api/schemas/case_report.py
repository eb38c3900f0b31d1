"""The report of a case, as it is asked for."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from witnessmark.api.plain_text import ONE_LINE, shape
from witnessmark.api.quantities import Wire
from witnessmark.api.schemas.case_document import CaseDocument
from witnessmark.casework.report.blocks import Paper
from witnessmark.language.catalogue import Language
from witnessmark.vocabulary import SystemOfUnits

MOST_PHOTOGRAPHS, LONGEST_DATA, LONGEST_WORDS = 6, 700_000, 300
Words = Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_WORDS, pattern=ONE_LINE)]

_BASE64 = shape("^[A-Za-z0-9+/]+={0,2}$", "a picture in base64, in one piece without line breaks")


class Photograph(Wire):
    """A photograph. Only its pixels are kept: place, time and device that a camera writes into it are dropped."""

    data: Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_DATA, pattern=_BASE64)]
    """A JPEG or PNG of at most 500 kB, in base64."""
    caption: Words = Field(description="What stands below it.")
    alt: Words = Field(description="What it shows, for whoever cannot see it.")


class ReportRequest(Wire):
    """A case to be reported."""

    case: CaseDocument = Field(description="Everything known of the job.")
    report_in: SystemOfUnits = Field("SI", description="Units of results; readings stay in the units they came in.")
    language: Language | None = Field(
        None, description="Language of the report; where it is left out, the header `Accept-Language` decides."
    )
    paper: Paper = Field("A4", description="Sheet of the PDF.")
    photographs: list[Photograph] = Field([], max_length=MOST_PHOTOGRAPHS, description="Photographs to show.")
