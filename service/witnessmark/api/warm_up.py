"""What is loaded and checked before the first request, so that no request pays for it and no fault waits in a file."""

from __future__ import annotations

from witnessmark.api.knowledge_version import knowledge_version
from witnessmark.api.openapi import examples
from witnessmark.api.units import dimensions
from witnessmark.cleanup.data_checks import check_data as check_cleanup
from witnessmark.diagnosis.knowledge import knowledge
from witnessmark.diagnosis.matching_phrases import vocabulary
from witnessmark.diagnosis.readings import catalogue as readings
from witnessmark.reference import cautions, sources
from witnessmark.refrigerants import catalogue, states


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
