"""What is kept of a scoring of the cases written blind: counts, never a case. One scoring a release."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, NonNegativeInt

from tests.evaluation.described.described import Layer
from tests.evaluation.vacuum.score import Share
from witnessmark.diagnosis.evaluation.rates import Rate

FILE = Path(__file__).with_name("totals.json")
LATER = Path(__file__).with_name("published-totals.json")
"""Of the published descriptions found later."""
FURTHER = Path(__file__).with_name("further-totals.json")
"""Of those found last."""


class _Kept(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Hits(_Kept):
    """Of the cases of a group whose label names a mode (cause): one of the named ones stands first, among three."""

    group: str
    who: str
    layer: Layer
    asked: NonNegativeInt
    first: NonNegativeInt
    among_three: NonNegativeInt

    def share(self, place: str) -> Share:
        """`first` or `among_three`, as a share."""
        return Share(getattr(self, place), self.asked)


class Told(_Kept):
    """Cases of one truth that ended in one verdict, and how many of them were told to stop."""

    truth: str
    verdict: str
    cases: NonNegativeInt
    stopped: NonNegativeInt


class Rates(_Kept):
    """Counts of the five rates of a group, cases with a compressor fault and without apart."""

    group: str
    faulty: dict[Rate, NonNegativeInt]
    sound: dict[Rate, NonNegativeInt]


class Release(_Kept):
    """One scoring. decides: digest of the data that decide a diagnosis; cases: how many a group has."""

    version: str
    knowledge: str
    decides: str
    day: date
    cases: dict[str, NonNegativeInt]
    hits: tuple[Hits, ...]
    told: tuple[Told, ...]
    rates: tuple[Rates, ...]

    def hit(self, group: str, who: str, layer: Layer) -> Hits:
        """The counts of one who answers, in one group and layer."""
        (found,) = (one for one in self.hits if (one.group, one.who, one.layer) == (group, who, layer))
        return found


class Releases(_Kept):
    """All scorings, the newest last."""

    releases: tuple[Release, ...] = Field(default=())

    def with_new(self, version: str, score: Callable[[], Release]) -> Releases:
        """These and one more. Raises ValueError, before anything is asked, where that version was scored already."""
        if any(one.version == version for one in self.releases):
            raise ValueError(f"version {version} was scored once, which is all that a release gets")
        return Releases(releases=(*self.releases, score()))


def read(file: Path = FILE) -> Releases:
    """The scorings that are kept; none where there is no file."""
    return Releases.model_validate_json(file.read_bytes()) if file.exists() else Releases()


def write(releases: Releases, file: Path = FILE) -> None:
    """Keep them."""
    file.write_text(releases.model_dump_json(indent=1) + "\n", "utf-8")
