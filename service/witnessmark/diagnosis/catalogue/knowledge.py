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

from witnessmark import data
from witnessmark.diagnosis.catalogue.checks import faults
from witnessmark.diagnosis.catalogue.files import FOLDER, PACKAGE, read
from witnessmark.diagnosis.catalogue.rows import (
    NO_FAULT,
    Advice,
    Applies,
    Cause,
    CheckRow,
    ConflictPair,
    Context,
    Finding,
    Knowledge,
    Link,
    Mention,
    Mode,
    Normal,
    SafetyRule,
)

__all__ = [
    "NO_FAULT",
    "Advice",
    "Applies",
    "Cause",
    "CheckRow",
    "ConflictPair",
    "Context",
    "Finding",
    "Knowledge",
    "Link",
    "Mention",
    "Mode",
    "Normal",
    "SafetyRule",
    "knowledge",
    "load",
    "shipped",
]


def shipped() -> Traversable:
    """Folder of the knowledge that ships with the service."""
    return files(PACKAGE).joinpath(FOLDER)


@cache
def knowledge() -> Knowledge:
    """The shipped knowledge, loaded and checked once. Raises DataError with every fault."""
    return load()


@data.checked
def check_knowledge() -> None:
    """The shipped files agree with one another. Raises DataError."""
    knowledge()


def load(folder: Traversable | None = None) -> Knowledge:
    """Read and check a folder (findings.toml, modes.toml, …), by default the shipped. Raises DataError, every fault."""
    loaded = read(folder)
    if wrong := faults(loaded):
        raise data.DataError(wrong)
    return loaded
