"""What an operator may set: by flag, else by environment (`WITNESSMARK_` and the name in capitals), else as here."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from functools import cache
from typing import Any

PREFIX = "WITNESSMARK_"
ELSEWHERE = {"data", "container", "container_minutes"}
"""Names with the same beginning that the tests read."""

LEVELS = {"info": 20, "warning": 30, "error": 40}
"""Names of levels of the log, as numbers of the standard library."""


class SettingError(ValueError):
    """A setting that cannot be used; the text names it and says what can."""


def _number(default: float, low: float, high: float, text: str) -> Any:
    return field(default=default, metadata={"low": low, "high": high, "text": text})


def _text(default: str, text: str) -> Any:
    return field(default=default, metadata={"text": text})


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting, with its default and its bounds."""

    host: str = _text("127.0.0.1", "address to listen on")
    port: int = _number(8000, 1, 65_535, "port to listen on")
    workers: int = _number(1, 1, 256, "processes; one a core is usual")
    pause_seconds: float = _number(
        1.0, 0.0, 60.0, "told to stop: still answering, no longer ready, before the port closes"
    )
    drain_seconds: float = _number(7.0, 0.5, 300.0, "then: what is under way is answered, or refused at the end")
    body_seconds: float = _number(20.0, 1.0, 300.0, "for a body to arrive")
    head_seconds: float = _number(10.0, 1.0, 300.0, "for the head of a request to arrive, and for an idle connection")
    largest_body: int = _number(1_000_000, 10_000, 10_000_000, "bytes")
    largest_head: int = _number(32_768, 4_096, 1_048_576, "bytes of the head of a request, or of trailers")
    most_connections: int = _number(1_000, 10, 100_000, "at once, a process")
    queue_seconds: float = _number(10.0, 1.0, 300.0, "of slow work that may wait; more is turned away")
    piece_seconds: float = _number(5.0, 0.5, 300.0, "of processor time for one piece of slow work")
    slow_processes: int = _number(
        1,
        0,
        64,
        "that do slow work, beside each process that answers; 0: a thread of it does (as where none can be had)",
    )
    rows_processes: int = _number(1, 1, 64, "that work on many rows at once, beside each process that answers")
    rows_body: int = _number(600_000_000, 1_000_000, 100_000_000_000, "bytes of a body of many rows")
    rows_folder: str = _text("", "where bodies of many rows wait (default: the folder for temporary files)")
    rows_volume: int = _number(3_000_000_000, 10_000_000, 1_000_000_000_000, "bytes that bodies and answers hold there")
    rows_waiting: int = _number(8, 1, 1_000, "requests with many rows at once; more are turned away")
    rows_seconds: float = _number(
        600.0, 1.0, 86_400.0, "for a body of many rows to arrive, and again for the work on it"
    )
    keys_file: str = _text("", "file of the hashes of keys (default: no key is asked for)")
    origins: str = _text("", "exact origins whose pages may call, with blanks between (default: none)")
    knowledge: str = _text("", "folder of the knowledge to answer by (default: the shipped)")
    mixtures: str = _text("", "folder of curves that `witnessmark trace-mixture` wrote (default: none)")
    telemetry: str = _text("", "`otlp`: spans to where the OTEL_EXPORTER_OTLP_ variables say (default: none are made)")
    log_level: str = _text("info", "info, warning or error: what is below is not logged, at warning no line a request")
    root_path: str = _text("", "where a proxy puts the service, such as /witnessmark")


def value(name: str, text: str) -> Any:
    """What the text of a setting stands for. SettingError where it cannot be used."""
    row = _ROWS[name]
    if "low" in row.metadata:
        return _bounded(text, row)
    if name == "host" and not text.strip():
        raise SettingError("empty, which would listen on every address: give an address, such as 0.0.0.0")
    if name == "log_level" and text not in LEVELS:
        raise SettingError(f"{text[:40]!r}: give {', '.join(LEVELS)}")
    if name == "telemetry" and text not in {"", "otlp"}:
        raise SettingError(f"{text[:40]!r}: give otlp, or nothing")
    if name == "origins" and not all(_ORIGIN.fullmatch(origin) for origin in text.split()):
        raise SettingError("give origins as a browser sends them, such as https://forms.example.org")
    return text


def _bounded(text: str, row: Any) -> Any:
    low, high, whole = row.metadata["low"], row.metadata["high"], isinstance(row.default, int)
    if (_WHOLE if whole else _DECIMAL).fullmatch(text):
        number = int(text) if whole else float(text)
        if low <= number <= high:
            return number
    raise SettingError(f"{text[:40]!r}: give a {'whole ' if whole else ''}number from {low} to {high}")


_ROWS = {row.name: row for row in fields(Settings)}
_ORIGIN = re.compile(r"https?://([a-z0-9._-]+|\[[0-9a-f:]+\])(:[0-9]{1,5})?")
_WHOLE, _DECIMAL = re.compile("[0-9]{1,13}"), re.compile("[0-9]{1,9}([.][0-9]{1,6})?")


def read(environment: Mapping[str, str], flags: Mapping[str, Any]) -> Settings:
    """The settings. SettingError for one that cannot be used, or a name in the environment that is none."""
    given = {}
    for key, text in environment.items():
        name = key.removeprefix(PREFIX).lower()
        if key.startswith(PREFIX) and name not in ELSEWHERE:
            given[name] = _from_environment(key, name, text)
    return Settings(**given | dict(flags))


def _from_environment(key: str, name: str, text: str) -> Any:
    if name not in _ROWS:
        raise SettingError(f"{key[:60]}: there is no such setting")
    try:
        return value(name, text)
    except SettingError as fault:
        raise SettingError(f"{key}: {fault}") from None


def handed_on(settings: Settings) -> dict[str, str]:
    """The environment in which a worker process reads the same."""
    return {PREFIX + name.upper(): str(kept) for name, kept in asdict(settings).items()}


@cache
def current() -> Settings:
    """The settings of this process, read once."""
    return read(os.environ, {})
