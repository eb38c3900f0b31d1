"""What a report is written from: the case, what its parts came to, and what stands beside them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.open_questions import answered
from witnessmark.casework.orders import DIAGNOSED, lost, sure_causes, suspected
from witnessmark.casework.report import numbers
from witnessmark.casework.report.blocks import Form, Picture
from witnessmark.casework.report.texts import Say
from witnessmark.casework.summary import NO_FAULT, Step
from witnessmark.casework.timeline import Entry
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.language.catalogue import Language, localized, translator

Result = Mapping[str, Any]


def raised(text: str) -> str:
    """A text with a capital letter first.

    >>> raised("not pumping")
    'Not pumping'
    """
    return text[:1].upper() + text[1:]


@dataclass(frozen=True, slots=True)
class Material:
    """Plain JSON of a case and of the results of its parts, these in the language of the report.

    danger: orders of what endangers people or must stop now. repaired: the failed compressor is open or out. settled:
    it was repaired and read since, so that nothing of before is open. unproved: it runs and was
    never proved fit to start. runs: it runs as it was found. saving: what saves goods or people who depend
    on it; empty where nobody does. cautions: texts, those
    of the next step first. aside: by part, why it was not worked out. accuracy: in words, by set of readings (its
    position) and field. undated: what the document tells without a time. form: how pictures are drawn, None for words
    only. diagram: the pressure-enthalpy picture. questions: the first that are open. not_begun: parts of which the case
    says nothing. insulation: what was asked of the insulation, as measured. senseless: parts that would say nothing of
    this machine, so that nobody misses them.
    """

    case: Result
    results: Mapping[str, Result]
    say: Say
    step: Step | None
    danger: tuple[str, ...]
    repaired: bool
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    aside: Mapping[str, str]
    accuracy: Callable[[int, str], str]
    moments: tuple[Entry, ...]
    contradictions: tuple[str, ...]
    versions: Mapping[str, str]
    digest: str
    language: Language = "en"
    form: Form | None = None
    diagram: Picture | None = None
    photographs: tuple[Picture, ...] = field(default=())
    settled: bool = False
    unproved: bool = False
    runs: bool = False
    saving: str = ""
    undated: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    not_begun: tuple[str, ...] = ()
    insulation: Result = field(default_factory=dict)
    senseless: tuple[str, ...] = ()

    def of(self, path: str) -> Any:
        """What a part came to, by dotted path: `diagnosis.verdict.text`; None where there is nothing."""
        return at(self.results, path)

    def likelihood(self, share: object) -> str:
        """The word of a probability, by the one table of words."""
        return self.word(decisions().word(float(str(share))))

    def word(self, text: object) -> str:
        """An English text of the knowledge in the language of the report."""
        return translator(self.language)(str(text))

    def checks(self) -> list[Any]:
        """What would still settle the diagnosis; of a compressor that is out no trial by running."""
        if self.settled:
            return []
        found = [c for c in self.of("diagnosis.next_checks.checks") or () if c["finding"] not in answered(self.case)]
        if not self.repaired:
            return found
        return [check for check in found if check["kind"] == "finding" and not is_danger(check["finding"])]

    @property
    def sound(self) -> bool:
        """Whether nothing wrong was found in the compressor."""
        return not self.repaired and self.of("diagnosis.verdict.state") == NO_FAULT

    @property
    def failed(self) -> bool:
        """Whether a failure is established, or the compressor is out or open: else nothing is to be replaced yet.

        A fault of the circuit that was established in a machine that runs on is no failure of its compressor.
        """
        if self.repaired or lost(self.results, self.case):
            return True
        return suspected(self.results) and not self.runs and not self.found

    @property
    def found(self) -> list[Any]:
        """Causes in the system that are as good as certain."""
        return [] if self.sound else sure_causes(self.results)

    @property
    def kept(self) -> bool:
        """Whether what is wrong was established, and it is not the compressor that failed."""
        return not self.failed and self.of("diagnosis.verdict.state") == DIAGNOSED

    def leading_mode(self) -> Any:
        """The explanation of the mode that leads, with its name; None where there is none, or nothing wrong."""
        if self.sound:
            return None
        told = next((e for e in self.of("diagnosis.explanations") or () if e["layer"] == "mode"), None)
        row = knowledge().modes.get(told["hypothesis"]) if told else None
        return None if told is None else {**told, "name": told["hypothesis"] if row is None else row.name}

    def quantity(self, value: Any, digits: int = 4) -> str:
        """A quantity in words, its numbers written as the language does."""
        text = numbers.quantity(value, digits)
        return localized(self.language, text) if any(map(str.isdecimal, text)) else self.word(text)

    def name(self, field: str) -> str:
        """The name of a field in words."""
        return self.word(numbers.name(field))

    def part(self, name: str) -> str:
        """The name of a part as a sentence begins with it."""
        return raised(self.name(name))

    def wanting(self, part: str) -> str:
        """The name of a part that is told to be wanting."""
        return self.word(numbers.part(part))

    def verdict(self, path: str) -> str:
        """A verdict as a sentence begins with it; empty where there is none."""
        return raised(str(self.of(path) or ""))

    def told(self, path: str) -> Any:
        """What the case says at a dotted path."""
        return at(self.case, path)
