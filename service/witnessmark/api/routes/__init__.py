"""One file a subject; a file that offers `router` is served."""

from importlib import import_module
from pkgutil import iter_modules

from fastapi import APIRouter


def routers() -> tuple[APIRouter, ...]:
    """The router of every file that has one: all are imported only when asked for, since some need others of them."""
    modules = [import_module(f"{__name__}.{module.name}") for module in iter_modules(__path__)]
    return tuple(module.router for module in modules if hasattr(module, "router"))
