"""One file a subject; each offers `router`."""

from witnessmark.api.routes import cleanup, knowledge, oil_quality, refrigerants, saturation

ROUTERS = (
    cleanup.router,
    knowledge.router,
    oil_quality.router,
    refrigerants.router,
    saturation.router,
)
