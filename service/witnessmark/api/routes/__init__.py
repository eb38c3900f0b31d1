"""One file a subject; each offers `router`."""

from witnessmark.api.routes import cleanup, oil_quality, refrigerants, saturation

ROUTERS = (
    cleanup.router,
    oil_quality.router,
    refrigerants.router,
    saturation.router,
)
