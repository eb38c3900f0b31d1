"""How far a long run is: a bar where the library for it is installed and somebody looks on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Tell = Callable[[int, int], None]
"""Called with the bytes of the file that are done, and the rows."""


@contextmanager
def progress(size: int | None, *, quiet: bool) -> Iterator[Tell]:
    """Tells how far it is while the block runs. size: bytes of the whole, None where nobody knows."""
    if quiet or not sys.stderr.isatty():
        yield lambda _bytes, _rows: None
        return
    try:
        from rich import progress as bars  # noqa: PLC0415 - an extra of the package
        from rich.console import Console  # noqa: PLC0415
    except ModuleNotFoundError:
        yield lambda _bytes, rows: print(f"{rows:,} rows", file=sys.stderr)  # noqa: T201 - what it is for
        return
    columns = (
        bars.BarColumn(), bars.TaskProgressColumn(), bars.TextColumn("{task.fields[rows]:,} rows"),
        bars.TimeRemainingColumn(),
    )  # fmt: skip
    with bars.Progress(*columns, console=Console(stderr=True)) as shown:
        task = shown.add_task("", total=size, rows=0)
        yield lambda done, rows: shown.update(task, completed=done, rows=rows)
