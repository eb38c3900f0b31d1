"""The page of measurements: tables, and one section a bench between marks of its own."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterable, Sequence
from pathlib import Path

README = Path(__file__).with_name("README.md")


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table whose first column holds words and the others numbers."""
    lines = [f"| {' | '.join(head)} |", "| --- |" + " --: |" * (len(head) - 1)]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)])


def commit() -> str:
    """The commit that was measured."""
    where = Path(__file__).parent
    line = ["git", "-C", str(where), "rev-parse", "--short=10", "HEAD"]
    return subprocess.run(line, check=True, capture_output=True, text=True).stdout.strip()  # noqa: S603 - our own words


def write(name: str, title: str, text: str, file: Path = README) -> None:
    """Put the text between the marks of this name; add the section at the end where there is none."""
    begin, end = f"<!-- {name}: begin -->", f"<!-- {name}: end -->"
    section = f"{begin}\n\n{text}\n\n{end}"
    old = file.read_text("utf-8") if file.exists() else "# Measurements\n"
    if begin in old:
        new = re.sub(f"{re.escape(begin)}.*?{re.escape(end)}", lambda _: section, old, flags=re.DOTALL)
    else:
        new = f"{old.rstrip()}\n\n## {title}\n\n{section}\n"
    file.write_text(new, "utf-8")
