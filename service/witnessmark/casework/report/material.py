"""What a report is written from: the case, what its parts came to, and what stands beside them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.report.blocks import Picture
from witnessmark.casework.report.pictures import Form
from witnessmark.casework.report.texts import Say
from witnessmark.casework.summary import Step
from witnessmark.casework.timeline import Entry

Result = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Material:
    """Plain JSON of a case and of the results of its parts.

    cautions: texts, those of the next step first. aside: by part, why it was not worked out. accuracy: in words, by set
    of readings (its position) and field. form: how pictures are drawn, None for words only.
    diagram: the pressure-enthalpy picture, if there is one.
    """

    case: Result
    results: Mapping[str, Result]
    say: Say
    step: Step | None
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    aside: Mapping[str, str]
    accuracy: Callable[[int, str], str]
    moments: tuple[Entry, ...]
    contradictions: tuple[str, ...]
    versions: Mapping[str, str]
    digest: str
    language: str = "en"
    form: Form | None = None
    diagram: Picture | None = None
    photographs: tuple[Picture, ...] = field(default=())

    def of(self, path: str) -> Any:
        """What a part came to, by dotted path: `diagnosis.verdict.text`; None where there is nothing."""
        return at(self.results, path)

    def told(self, path: str) -> Any:
        """What the case says at a dotted path."""
        return at(self.case, path)
