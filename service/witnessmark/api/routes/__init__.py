"""One file a subject; each offers `router`."""

from witnessmark.api.routes import saturation

ROUTERS = (saturation.router,)
