"""Freed memory is kept, as far as is told, where the C library can be told."""

import platform
import resource
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from witnessmark.api.edge import memory


class Library:
    """Takes what it is told, or not."""

    def __init__(self, *, takes: bool) -> None:
        self.takes, self.told = takes, dict[int, int]()

    def mallopt(self, name: int, value: int) -> int:
        self.told[name] = value
        return int(self.takes)

    def malloc_trim(self, left: int) -> int:
        assert left == 0
        return int(self.takes)


@pytest.mark.parametrize("takes", [True, False])
def test_both_thresholds_are_set(*, takes: bool) -> None:
    library = Library(takes=takes)
    assert memory.keep(library) is takes
    assert memory.hand_back(library) is takes
    assert library.told == {-1: memory.KEPT, -3: memory.LARGEST}


def test_another_library_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "libc_ver", lambda: ("", ""))
    assert memory.keep() is False
    assert memory.hand_back() is False


def _tables() -> int:
    """Pages that the kernel had to clear for twenty tables of 4 MB, one after another."""
    before = resource.getrusage(resource.RUSAGE_THREAD).ru_minflt
    for _ in range(20):
        table = np.ones(1 << 19)
        table = table * table
        del table
    return resource.getrusage(resource.RUSAGE_THREAD).ru_minflt - before


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="another C library")
def test_tables_come_out_of_memory_that_is_there_also_in_another_thread() -> None:
    """Two tables of 4 MB have 2048 pages of 4 kB; twenty pairs that are each handed back would need 40,960."""
    assert memory.keep()
    with ThreadPoolExecutor(1) as thread:
        thread.submit(_tables).result()
        assert thread.submit(_tables).result() < 2048
