"""What is loaded and checked before the first request, so that no request pays for it and no fault waits in a file."""

from __future__ import annotations

from contextlib import suppress
from functools import cache

from witnessmark import data, heavy
from witnessmark.api.bulk import compute
from witnessmark.api.openapi import examples
from witnessmark.api.rehearsal import rehearse
from witnessmark.calculations.cycle import cycle
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue as readings
from witnessmark.diagnosis.notes.vocabulary import vocabulary
from witnessmark.refrigerants import states


def warm_up() -> None:
    """Load every register and table; a fault in a data file stops the start.

    Libraries that are kept out of this process (`heavy`) are loaded by `load_heavy` where they are let in.
    """
    data.check()
    examples()
    data.version()
    knowledge()
    readings()
    vocabulary()
    _compress()
    rehearse()
    with suppress(heavy.KeptOutError):
        load_heavy()


def load_heavy() -> None:
    """What only a process for slow work needs: the property library, fonts, and what rests on them."""
    states.warm()
    _draw()
    rehearse()


@cache
def _compress() -> None:
    """A row thrown away, once a process: the lines of a compression are written before the first request for one."""
    compute.warm()


@cache
def _draw() -> None:
    """A picture thrown away, once a process: fonts are found and read before the first request for one."""
    from witnessmark.calculations.cycle import diagram  # noqa: PLC0415 - where pictures are drawn alone

    readings = cycle.CycleReadings(Measured(300e3, 3e3), Measured(1e6, 1e4))
    diagram.draw("R-134a", cycle.solve("R-134a", readings), "png")
