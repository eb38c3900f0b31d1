"""One file a subject; each offers `router`."""

from witnessmark.api.routes import refrigerants, saturation

ROUTERS = (
    refrigerants.router,
    saturation.router,
)
