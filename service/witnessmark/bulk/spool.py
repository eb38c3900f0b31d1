"""The folder that one large request waits in, within a bounded volume, emptied at its end and after a crash."""

from __future__ import annotations

import errno
import fcntl
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

PREFIX = "witnessmark-rows-"
LOCK = "in-use"


FULL = frozenset({errno.ENOSPC, errno.EDQUOT})


class NoRoomError(Exception):
    """The volume is full, or the disk below it."""


@contextmanager
def room() -> Iterator[None]:
    """NoRoomError where the disk is full, whatever of the volume is left."""
    try:
        yield
    except OSError as fault:
        if fault.errno in FULL:
            raise NoRoomError from None
        raise


@dataclass(slots=True)
class Spool:
    """All folders of one process. most: bytes that they hold together."""

    most: int
    place: Path = field(default_factory=lambda: Path(tempfile.gettempdir()))
    used: int = 0
    _swept: bool = False

    @contextmanager
    def folder(self) -> Iterator[Folder]:
        """A folder of its own while the block runs."""
        if not self._swept:
            self._swept = sweep(self.place)
        with room():
            path = Path(tempfile.mkdtemp(prefix=PREFIX, dir=self.place))
        folder = Folder(self, path)
        try:
            with room():
                lock = (path / LOCK).open("wb")
            with lock:
                fcntl.flock(lock, fcntl.LOCK_EX)
                yield folder
        finally:
            shutil.rmtree(path, ignore_errors=True)
            self.used -= folder.used


@dataclass(slots=True)
class Folder:
    """Where a request waits."""

    spool: Spool
    path: Path
    used: int = 0
    answer: int = 0

    def measure(self, file: Path) -> None:
        """Count a growing file. NoRoomError."""
        size = file.stat().st_size if file.exists() else 0
        self.take(size - self.answer)
        self.answer = size

    def take(self, size: int) -> None:
        """So many bytes more. NoRoomError where the volume does not hold them."""
        if self.spool.used + size > self.spool.most:
            raise NoRoomError
        self.spool.used += size
        self.used += size

    def write(self, file: IO[bytes], block: bytes) -> None:
        """Append a block."""
        self.take(len(block))
        file.write(block)


def sweep(place: Path) -> bool:
    """Remove the folders of processes that are no more: theirs are locked by nobody."""
    for path in place.glob(f"{PREFIX}*"):
        try:
            with (path / LOCK).open("rb") as lock:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(path, ignore_errors=True)
        except OSError:  # in use, or just being made
            continue
    return True
