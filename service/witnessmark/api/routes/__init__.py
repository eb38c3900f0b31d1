"""One file a subject; a file that offers `router` is served."""

from importlib import import_module
from pkgutil import iter_modules

_MODULES = [import_module(f"{__name__}.{module.name}") for module in iter_modules(__path__)]
ROUTERS = tuple(module.router for module in _MODULES if hasattr(module, "router"))
