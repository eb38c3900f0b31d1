"""The report of a case: one tree of blocks, written as a page, as Markdown or as PDF. Nothing reads a clock."""
