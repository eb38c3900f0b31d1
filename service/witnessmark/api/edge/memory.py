"""Memory that large tables leave: kept for the next ones, not given back and asked for again.

The tables of an exact ranking have up to 4 MB each and live for a millisecond. By its own rules the C library hands
such pieces back at once, and the kernel clears each page anew: 6,000 pages and 14 of 41 ms in a pass over 31 findings.
"""

from __future__ import annotations

import ctypes
import platform
from typing import Any

KEPT, LARGEST = 64 << 20, 32 << 20
"""Bytes that may stay at the end of an arena, and of a piece from which on it is handed back all the same."""
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""Numbers of mallopt(3), M_TRIM_THRESHOLD and M_MMAP_THRESHOLD."""


def hand_back(library: Any = None) -> bool:
    """What a start freed goes back to the kernel, some 25 MB, before processes are forked; whether there was any."""
    if library is None and platform.libc_ver()[0] != "glibc":
        return False
    return bool((library or ctypes.CDLL(None)).malloc_trim(0))


def keep(library: Any = None) -> bool:
    """Tell the C library so; whether it took it. Another library than the GNU one is left as it is."""
    if library is None and platform.libc_ver()[0] != "glibc":
        return False
    own = library or ctypes.CDLL(None)
    return all([own.mallopt(_TRIM_THRESHOLD, KEPT), own.mallopt(_MMAP_THRESHOLD, LARGEST)])
