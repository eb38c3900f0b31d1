"""One file a subject; each offers `router`."""

from witnessmark.api.routes import cleanup, compression, knowledge, oil_quality, refrigerants, saturation

ROUTERS = (
    cleanup.router,
    compression.router,
    knowledge.router,
    oil_quality.router,
    refrigerants.router,
    saturation.router,
)
