"""What is loaded and checked before the first request, so that no request pays for it and no fault waits in a file."""

from __future__ import annotations

from functools import cache

from witnessmark import data
from witnessmark.api.openapi import examples
from witnessmark.api.unit_names import other_names
from witnessmark.calculations.cycle import cycle, diagram
from witnessmark.calculations.electrical import insulation, supply_unbalance, windings
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import evacuation, leak_rules, pressure_test
from witnessmark.cleanup.data_checks import check_data as check_cleanup
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evidence.readings import catalogue as readings
from witnessmark.diagnosis.notes.vocabulary import vocabulary
from witnessmark.refrigerants import states
from witnessmark.restart import after_run, gate, watch_list

_TABLES = (
    evacuation.data,
    insulation.data,
    leak_rules.data,
    pressure_test.data,
    supply_unbalance.data,
    windings.data,
    after_run.data,
    gate.data,
    watch_list.data,
)


def warm_up() -> None:
    """Load every register and table; a fault in a data file stops the start."""
    check_data()
    other_names()
    examples()
    data.version()
    knowledge()
    check_cleanup()
    readings()
    vocabulary()
    for load in _TABLES:
        load()
    states.warm()
    _draw()


def check_data() -> None:
    """Until every file is registered, `data.check()` but for the files that nobody registered."""
    try:
        data.check()
    except data.DataError as error:
        if faults := [fault for fault in error.faults if not fault.endswith("nobody reads this file")]:
            raise data.DataError(faults) from error


@cache
def _draw() -> None:
    """A picture thrown away, once a process: fonts are found and read before the first request for one."""
    readings = cycle.CycleReadings(Measured(300e3, 3e3), Measured(1e6, 1e4))
    diagram.draw("R-134a", cycle.solve("R-134a", readings), "png")
