"""One file a subject; each offers `router`."""

from witnessmark.api.routes import (
    accumulator,
    cleanup,
    compression,
    diagnosis,
    knowledge,
    leak_rate,
    line_charge,
    liquid_ingestion,
    oil_quality,
    oil_return,
    refrigerants,
    saturation,
)

ROUTERS = (
    accumulator.router,
    cleanup.router,
    compression.router,
    diagnosis.router,
    knowledge.router,
    leak_rate.router,
    line_charge.router,
    liquid_ingestion.router,
    oil_quality.router,
    oil_return.router,
    refrigerants.router,
    saturation.router,
)
