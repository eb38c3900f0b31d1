"""What is known about compressors and their failures: causes -> failure modes -> findings, as reviewed data.

`load()` reads the TOML files of a folder, checks them as a whole and returns a frozen `Knowledge`. The figures are
conditional probabilities as an expert would state them, including the background; `network.py` turns them into link
strengths of a leaky noisy-OR in its "net" parametrisation (Díez 1993, "Parameter adjustment in Bayes networks: the
generalized noisy OR-gate", UAI-93).
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from operator import attrgetter

from witnessmark import data
from witnessmark.diagnosis.catalogue.action_rows import Advice, ConflictPair, SafetyRule
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.check_book import dangling as unknown_to_checks
from witnessmark.diagnosis.catalogue.checks import faults, unknown_to_readings
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE, RowReader, row_file
from witnessmark.diagnosis.catalogue.rows import (
    Cause,
    CauseFinding,
    CauseMode,
    Context,
    Finding,
    Knowledge,
    Mode,
    ModeFinding,
    ModeMode,
    Normal,
)
from witnessmark.diagnosis.catalogue.triage import dangling as unknown_to_triage
from witnessmark.diagnosis.catalogue.triage import triage

FINDINGS = row_file("findings", "finding", Finding)
NORMALS = row_file("normals", "normal", Normal)
MODES = row_file("modes", "mode", Mode)
CAUSES = row_file("causes", "cause", Cause)
MODE_FINDING = row_file("links-mode-finding", "link", ModeFinding)
CAUSE_FINDING = row_file("links-cause-finding", "link", CauseFinding)
CAUSE_MODE = row_file("links-cause-mode", "link", CauseMode)
MODE_MODE = row_file("links-mode-mode", "link", ModeMode)
CONTEXTS = row_file("contexts", "context", Context)
SAFETY = row_file("safety", "rule", SafetyRule)
CONFLICTS = row_file("conflicts", "pair", ConflictPair)
ADVICE = row_file("dispatch", "advice", Advice)


def shipped() -> Traversable:
    """Folder of the knowledge that ships with the service."""
    return files(PACKAGE).joinpath(FOLDER)


@cache
def knowledge() -> Knowledge:
    """The knowledge that is answered by, loaded and checked once. Raises DataError with every fault."""
    own = data.own_folder()
    if own is None:
        return load()
    if not own.is_dir():
        raise data.DataError([f"{own}: there is no such folder of knowledge"])
    return load(own)


@data.checked
def check_knowledge() -> None:
    """The files agree with one another: all that readings, checks and calls name is there. Raises DataError."""
    known = knowledge()
    readings = unknown_to_readings(known, catalogue().values())
    if wrong := [*readings, *unknown_to_checks(check_book(), known), *unknown_to_triage(triage(), known)]:
        raise data.DataError(wrong)


def load(folder: Traversable | None = None) -> Knowledge:
    """Read and check a folder (findings.toml, modes.toml, …), by default the shipped. Raises DataError, every fault."""
    loaded = read(folder)
    if wrong := faults(loaded):
        raise data.DataError(wrong)
    return loaded


def read(folder: Traversable | None = None) -> Knowledge:
    """The typed rows of a folder, of the shipped one by default. Raises DataError naming every row that is at fault."""
    reader = RowReader(folder)
    knowledge = Knowledge(
        findings=reader.by_id(FINDINGS),
        normals=reader.by_id(NORMALS),
        modes=reader.by_id(MODES),
        causes=reader.by_id(CAUSES),
        mode_finding=reader.rows(MODE_FINDING),
        cause_finding=reader.rows(CAUSE_FINDING),
        cause_mode=reader.rows(CAUSE_MODE),
        mode_mode=reader.rows(MODE_MODE),
        contexts=reader.rows(CONTEXTS),
        safety=reader.rows(SAFETY),
        conflicts=reader.rows(CONFLICTS),
        advice=reader.by_id(ADVICE, attrgetter("target")),
    )
    if reader.faults:
        raise data.DataError(reader.faults)
    return knowledge
