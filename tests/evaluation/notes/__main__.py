"""`python -m tests.evaluation.notes [open|page]`: totals of both parts; of the open one; docs/NOTES.md."""

from __future__ import annotations

import sys

from tests.evaluation.notes.notes import Score
from tests.evaluation.notes.page import PAGE, groups, page, row, table
from tests.evaluation.notes.readers import both

if __name__ == "__main__":
    if sys.argv[1:] == ["page"]:
        PAGE.write_text(page(), encoding="utf-8")
    elif sys.argv[1:] == ["open"]:
        for name, chosen in groups("open"):
            print(name, len(chosen), row(Score.of(chosen, both)))  # noqa: T201
    else:
        print("\n".join(table({"the service": both})))  # noqa: T201
