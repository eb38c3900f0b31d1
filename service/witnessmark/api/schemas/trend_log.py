"""The log of a machine on the wire."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator
from typing_extensions import TypeAliasType

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.plain_text import shape
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.cleanup import ZoneName
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.diagnosis import ReportedFinding
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.units import dimensions
from witnessmark.trend.assess import TrendVerdict
from witnessmark.trend.channels import LogChannel
from witnessmark.trend.episode import SeverityWord
from witnessmark.trend.rules import EpisodeKind
from witnessmark.trend.running import RunningFrom
from witnessmark.trend.stamps import StampForm
from witnessmark.trend.tables import PackedForm
from witnessmark.vocabulary import Application, Compressor, Cooling

LARGEST_LOG = 48_000_000
"""Bytes of a request: 32 MB of log, and what writing it as text adds."""
MOST_COLUMNS, MOST_ROWS_SHOWN, LARGEST_PICTURE = 100, 10_000, 5_000_000
ENVELOPE = (173.15, 473.15)
"""K, within which the corners of an envelope lie."""
Header = Annotated[str, StringConstraints(min_length=1, max_length=200)]
_DIMENSIONED = (*dimensions()["pressure"].units, *dimensions()["temperature"].units)
_UNITS = tuple(dict.fromkeys((*_DIMENSIONED, "A", "W", "kW", "%", "Hz", "rpm")))
LogUnit = TypeAliasType("LogUnit", Annotated[str, *Listed.field("unit", lambda: _UNITS)])
"""Units of the columns of a log; a speed without a unit is a share."""
_Number = Annotated[float, Field(strict=False, json_schema_extra={"x-unit": "that of its column"})]
Cell = Annotated[str, StringConstraints(max_length=100)] | _Number | bool | None


def _stamp(text: str) -> str:
    datetime.fromisoformat(text)
    return text


Stamp = Annotated[
    str,
    StringConstraints(
        pattern=shape(
            r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:\d{2})?$",
            "date and time, such as 2026-03-07T14:00 or 2026-03-07T14:00-06:00",
        )
    ),
    AfterValidator(_stamp),
    Field(description="ISO 8601 date and time; without an offset on the clock of the site."),
]


class LogColumn(Wire):
    """What a column of the log stands for."""

    header: Header = Field(description="The name that the log has for it.")
    quantity: LogChannel = Field(description="What it is.")
    unit: LogUnit | None = None
    """Needed for pressures (gauge or absolute) and temperatures. A speed counts as a share of its largest; a
    power, in W or kW, stands in for a current."""
    compressor: Annotated[int, Field(ge=0, le=20)] = 0
    """Which compressor it is of, where the log has several; 0: of the whole machine."""


LogColumns = TypeAliasType("LogColumns", Annotated[dict[Header, list[Cell]], Field(max_length=MOST_COLUMNS)])
"""Values by header."""


class LogContent(Wire):
    """The log itself, in one of three ways."""

    csv: Annotated[str, StringConstraints(max_length=LARGEST_LOG)] | None = None
    """Text whose first line names the columns, separated by comma, semicolon, tab or bar."""
    columns: LogColumns | None = None
    """Values by header, columns of equal length; null where nothing was read."""
    packed: Annotated[str, StringConstraints(max_length=LARGEST_LOG)] | None = None
    """A file in base64, packed with gzip or not; for large logs."""
    form: PackedForm = Field("csv", description="What `packed` is.")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if sum(part is not None for part in (self.csv, self.columns, self.packed)) != 1:
            raise ValueError("give one of csv, columns or packed")
        return self


class LoggedMachine(Wire):
    """What decides which limits hold, and what is normal for it."""

    compressor: Compressor | None = Field(None, description="How it compresses.")
    application: Application | None = Field(None, description="At which temperatures it works.")
    cooling: Cooling | None = Field(None, description="What cools the gas while it is compressed.")
    pump_down: bool = Field(default=False, description="Whether it pumps down at each stop, by a liquid solenoid.")
    turn_down: Annotated[Real, Field(gt=0, lt=1)] = 0.4
    """Share of its largest speed up to which it counts as lightly loaded."""


class EnvelopePoint(Wire):
    """A corner of the maker's envelope, dew temperatures."""

    evaporating: q.Temperature = Field(description="Evaporating.")
    condensing: q.Temperature = Field(description="Condensing.")


class TrendWanted(Wire):
    """What more is wanted."""

    picture: bool = Field(default=False, description="A picture (SVG) of the hours before the end.")
    hours: Annotated[Real, Field(ge=1, le=2000)] = Field(72.0, description="How many hours the picture shows.")
    series: Annotated[int, Field(ge=0, le=500)] = Field(0, description="Derived columns as medians of so many steps.")
    rows: bool = Field(default=False, description="The derived columns row by row, of logs of up to 10 000 rows.")


class TrendLogRequest(Request):
    """The log of one machine, what its columns are, and what is known of the machine."""

    refrigerant: Designation = Field(description="In the circuit.")
    log: LogContent = Field(description="The log.")
    time_column: Header = Field(description="Header of the times.")
    time_form: StampForm = Field("iso", description="How they are written.")
    time_zone: ZoneName | None = None
    """IANA zone of the clock. Needed where the times have no offset; the answer tells times on this clock."""
    columns: list[LogColumn] = Field(min_length=1, max_length=MOST_COLUMNS, description="What the columns stand for.")
    machine: LoggedMachine = Field(LoggedMachine(), description="The machine.")
    envelope: list[EnvelopePoint] | None = Field(None, min_length=3, max_length=40)
    """The maker's, by its corners in order."""
    want: TrendWanted = Field(TrendWanted(), description="What more is wanted.")


class LogQuality(Shown):
    """What was found on reading, and done. Counts are of rows unless they say otherwise."""

    rows: int = Field(description="Rows of the log.")
    kept: int = Field(description="Rows that were used.")
    unreadable: int = Field(description="Left out: too few fields or too many.")
    without_time: int = Field(description="Left out: no time that can be read.")
    repeated_hour: int = Field(description="In an hour that the clock shows twice, told apart by their order.")
    skipped_hour: int = Field(description="In an hour that the clock skips: taken as before the change.")
    jumps: int = Field(description="How often the clock went back otherwise.")
    overlapping: int = Field(description="Left out: times that had been there before such a jump.")
    resets: int = Field(description="How often the clock fell back by more than a month; what followed was joined on.")
    doubled: int = Field(description="Left out: the same time as the row before.")
    reordered: bool = Field(description="Whether the rows had no order and were sorted.")
    step: q.Time = Field(description="Usual time between rows.")
    gaps: int = Field(description="How many gaps.")
    gap_seconds: q.Time = Field(description="Their length together.")
    longest_gap: q.Time = Field(description="The longest of them.")
    first: datetime = Field(description="The first row.")
    last: datetime = Field(description="The last row.")


class ChannelQuality(Shown):
    """One channel of one compressor."""

    compressor: int = Field(description="Whose; 0 of the whole machine.")
    quantity: LogChannel = Field(description="What it is.")
    missing: Real = Field(description="Share of the rows without a usable reading.")


class RunningSummary(Shown):
    """How one compressor ran."""

    compressor: int = Field(description="Its number; 0 where there is one.")
    read_from: RunningFrom = Field(description="What told that it ran.")
    share: Real = Field(description="Share of the rows at which it ran.")
    starts: int = Field(description="Starts in the log.")
    hours: q.Time = Field(description="Running time.")


class DerivedSummary(Shown):
    """A derived column over the settled running of one compressor."""

    compressor: int = Field(description="Its number.")
    name: str = Field(description="Superheat, subcooling, ratio and so on; more may come.")
    unit: str = Field(description="Of the three figures; `1` for ratios and shares.")
    low: Real = Field(description="A twentieth lies below.")
    median: Real = Field(description="The middle.")
    high: Real = Field(description="A twentieth lies above.")
    rows: int = Field(description="Rows that it was worked out for.")


class EpisodeReading(Shown):
    """A reading that shows an episode: its median over it."""

    name: str = Field(description="What was read or worked out; more may come.")
    value: Real = Field(description="In the unit beside it.")
    unit: str = Field(description="`1` for ratios, shares and counts.")
    uncertainty: Real | None = Field(
        description="One standard uncertainty, in the same unit; null where it is a count."
    )


class EpisodeRule(Shown):
    """A figure that an episode goes by."""

    id: str = Field(description="Its id.")
    what: str = Field(description="What it is a figure of.")
    enter: Real = Field(description="From here on it counts, SI (K, Pa, s, shares).")
    leave: Real = Field(description="Here it ends, SI.")
    shortest: q.Time = Field(description="How long it must last.")
    join: q.Time = Field(description="Stretches closer together are one episode.")
    source: str = Field(description="Id of the source.")


class EpisodeShown(Shown):
    """Something that happened."""

    kind: EpisodeKind = Field(description="What.")
    title: str = Field(description="The same in words.")
    text: str = Field(description="What it means and where to look.")
    compressor: int = Field(description="Of which compressor.")
    start: datetime = Field(description="Its beginning.")
    end: datetime = Field(description="Its end.")
    within: q.Time = Field(description="By how much beginning and end may be off.")
    lasted: q.Time = Field(description="How long it held, without what lies between its parts.")
    parts: int = Field(description="In how many stretches.")
    severity: SeverityWord = Field(description="How far it goes.")
    severity_share: Real = Field(description="The same, 0 to 1.")
    certainty: Real = Field(description="That it was so, given the sensors and the rules, 0.5 to 0.99.")
    readings: list[EpisodeReading] = Field(description="What shows it.")
    sensors: list[LogChannel] = Field(description="Which sensors, where it is about them.")


class LogEpisodeKept(Wire):
    """An episode as a case document keeps it."""

    kind: EpisodeKind = Field(description="What happened.")
    at: Stamp = Field(description="Its beginning.")
    until: Stamp | None = Field(None, description="Its end.")
    severity: SeverityWord | None = Field(None, description="How far it went.")
    certainty: Annotated[Real, Field(ge=0.5, le=1)] | None = Field(None, description="That it was so.")


class LogRemark(Shown):
    """What no circuit can show, or what is no clean bill though nothing changed: no episode, told beside them."""

    id: str = Field(description="Which; more may come.")
    text: str = Field(description="What it means and what to check.")
    compressor: int = Field(description="Of which compressor.")
    start: datetime = Field(description="Its beginning.")
    end: datetime = Field(description="Its end.")
    whole: bool = Field(description="Whether half of the settled log or more is of it.")
    impossible: bool = Field(description="Whether these readings cannot all be right.")
    reading: EpisodeReading = Field(description="What shows it.")
    sensors: list[LogChannel] = Field(description="Which columns.")


class KindWatched(Shown):
    """Whether a kind of episode could be seen."""

    kind: EpisodeKind = Field(description="What.")
    compressor: int = Field(description="Of which compressor.")
    looked: bool = Field(description="False: the log lacks what it takes or is too short: its absence says nothing.")
    lacking: list[LogChannel] = Field(description="Channels without which it is not seen.")


class RulesOfKind(Shown):
    """The figures of one kind of episode that was found."""

    kind: EpisodeKind = Field(description="What.")
    rules: list[EpisodeRule] = Field(description="Its figures.")


class TrendSeries(Shown):
    """Derived columns in steps of time, medians of the running rows; null where it did not run."""

    compressor: int = Field(description="Its number.")
    times: list[datetime] = Field(description="Middle of each step, or of each row.")
    units: dict[str, str] = Field(description="Unit of each column.")
    columns: dict[str, list[Real | None]] = Field(description="Values by name.")


class TrendLogResult(Shown):
    """What the log says. Read `verdict` and `episodes` first."""

    refrigerant: str = Field(description="In the circuit.")
    verdict: TrendVerdict
    """`cannot tell`: nothing was found, but the log lacks what it takes to see liquid returning, or see `remarks`."""
    episodes: list[EpisodeShown] = Field(description="What happened, the most dangerous kinds first.")
    remarks: list[LogRemark] = Field(description="Readings that contradict each other, or stand where none should.")
    watched: list[KindWatched] = Field(description="What was looked for.")
    rules: list[RulesOfKind] = Field(description="The figures of the kinds that were found.")
    findings: list[ReportedFinding] = Field(description="Episodes as `findings` of a diagnosis or of a case.")
    log_episodes: list[LogEpisodeKept] = Field(description="Episodes as `log_episodes` of a case.")
    quality: LogQuality = Field(description="The log as it was read.")
    channels: list[ChannelQuality] = Field(description="Its channels.")
    running: list[RunningSummary] = Field(description="How the compressors ran.")
    derived: list[DerivedSummary] = Field(description="What was worked out.")
    series: list[TrendSeries] | None = Field(None, description="Where `want.series` or `want.rows` asks for it.")
    picture: Annotated[str, StringConstraints(max_length=LARGEST_PICTURE)] | None = None
    """SVG, where `want.picture` asks for it."""


class TrendLogAnswer(Answer):
    """Answer of POST /v1/trend-log."""

    result: TrendLogResult = Field(description="What the log says.")
