"""Libraries that take seconds and tens of megabytes to load: kept out of a process that hands slow work on to others.

The property library and what draws and prints are needed by few requests. A process that answers many others and has
processes for slow work beside it loads none of them: whoever needs one asks here first, and where it is kept out the
request is handed on to a process that has it.
"""

from __future__ import annotations


class KeptOutError(Exception):
    """The work needs a library that another process has. No InputError: what sets readings aside lets it pass."""


_kept_out: set[str] = set()
EVERY = "every library that is heavy"


def keep_out() -> None:
    """From now on this process loads none."""
    _kept_out.add(EVERY)


def let_in() -> None:
    """This process loads what it needs."""
    _kept_out.clear()


def ask() -> None:
    """Before one is loaded or used. Raises KeptOutError where it is kept out."""
    if _kept_out:
        raise KeptOutError
