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
from itertools import product

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.checks import faults
from witnessmark.diagnosis.catalogue.files import read
from witnessmark.diagnosis.catalogue.rows import (
    MACHINE_WORDS,
    NO_FAULT,
    Advice,
    Applies,
    Cause,
    CheckRow,
    ConflictPair,
    Context,
    Finding,
    Knowledge,
    KnowledgeError,
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
    "KnowledgeError",
    "Link",
    "Mention",
    "Mode",
    "Normal",
    "SafetyRule",
    "completions",
    "knowledge",
    "load",
    "shipped",
]


def completions(machine: Machine) -> tuple[Machine, ...]:
    """Every fully known machine that this one can be; itself where nothing is open."""
    choices = [
        (given,) if given is not None else MACHINE_WORDS[part]
        for part, given in (("compressor", machine.compressor), ("shell", machine.shell), ("drive", machine.drive))
    ]
    return tuple(Machine(*parts) for parts in product(*choices))  # type: ignore[arg-type]


def shipped() -> Traversable:
    """Folder of the knowledge that ships with the service."""
    return files("witnessmark").joinpath("diagnosis/knowledge")


@cache
def knowledge() -> Knowledge:
    """The shipped knowledge, loaded and checked once. Raises KnowledgeError with every fault."""
    return load(shipped())


def load(folder: Traversable) -> Knowledge:
    """Read and check the files of a folder (findings.toml, modes.toml, …). Raises KnowledgeError with every fault."""
    held = read(folder)
    if found := faults(held):
        raise KnowledgeError(found)
    return held
