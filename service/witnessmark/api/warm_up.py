"""What is loaded and checked before the first request, so that no request pays for it and no fault waits in a file."""

from __future__ import annotations

from functools import cache

from witnessmark.api.knowledge_version import knowledge_version
from witnessmark.api.openapi import examples
from witnessmark.api.units import dimensions
from witnessmark.calculations.circuit import charge_rules as adders
from witnessmark.calculations.circuit import cycle, diagram, noncondensables, riser_rules, superheat
from witnessmark.calculations.compressor import accumulator_rules, compressor_types, liquid_rules
from witnessmark.calculations.electrical import motors, supply_unbalance, windings
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import evacuation, leak_rules, pressure_test
from witnessmark.cleanup.data_checks import check_data as check_cleanup
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evidence.readings import catalogue as readings
from witnessmark.diagnosis.notes.vocabulary import vocabulary
from witnessmark.reference import cautions, sources
from witnessmark.refrigerants import catalogue, states
from witnessmark.restart import after_run, gate, watch_list

_TABLES = (
    accumulator_rules.data,
    adders.data,
    compressor_types.limits,
    evacuation.TABLE,
    motors.TABLE,
    leak_rules.TABLE,
    liquid_rules.data,
    noncondensables.limits,
    pressure_test.TABLE,
    riser_rules.data,
    superheat.bands,
    supply_unbalance.TABLE,
    windings.TABLE,
    after_run.TABLE,
    gate.TABLE,
    watch_list.TABLE,
)


def warm_up() -> None:
    """Load every register and table; a fault in a data file stops the start."""
    dimensions()
    sources()
    cautions()
    examples()
    knowledge_version()
    knowledge()
    check_cleanup()
    readings()
    vocabulary()
    catalogue.designations()
    states.warm()
    for load in _TABLES:
        load()
    _draw()


@cache
def _draw() -> None:
    """A picture thrown away, once a process: fonts are found and read before the first request for one."""
    readings = cycle.Readings(Measured(300e3, 3e3), Measured(1e6, 1e4))
    diagram.draw("R-134a", cycle.solve("R-134a", readings), "png")
