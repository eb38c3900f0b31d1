"""What a process and those that it started hold: memory, descriptors, threads (Linux, proc(5))."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path


def family(process: int) -> list[int]:
    """The process and all below it that are alive."""
    found = [process]
    for one in found:
        try:
            tasks = list(Path(f"/proc/{one}/task").iterdir())
            found += [int(child) for task in tasks for child in (task / "children").read_text("ascii").split()]
        except OSError:  # it has ended meanwhile
            continue
    return found


def memory(process: int) -> float:
    """MB of all of them together: what several share is counted once (proportional set size)."""
    return summed(process, _proportional) / 1e6


def descriptors(process: int) -> int:
    """Open descriptors of all of them together."""
    return summed(process, lambda one: sum(1 for _ in os.scandir(f"/proc/{one}/fd")))


def threads(process: int) -> int:
    """Threads of all of them together."""
    return summed(process, lambda one: sum(1 for _ in os.scandir(f"/proc/{one}/task")))


def processor(process: int) -> float:
    """Seconds of processor time of all of them together (fields 14 and 15 of stat)."""
    return summed(process, _ticks) / os.sysconf("SC_CLK_TCK")


def _ticks(process: int) -> int:
    fields = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
    return int(fields[11]) + int(fields[12])


def summed(process: int, of: Callable[[int], int]) -> int:
    """A number of each of them, added up; whoever ends meanwhile counts for nothing."""
    total = 0
    for one in family(process):
        try:
            total += of(one)
        except OSError:
            continue
    return total


def _proportional(process: int) -> int:
    lines = Path(f"/proc/{process}/smaps_rollup").read_text("ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("Pss:")) * 1024
