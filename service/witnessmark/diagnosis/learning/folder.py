"""Writes what was learned: a knowledge folder that the service can be run with, and a page of what changed and why."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from witnessmark import data
from witnessmark.diagnosis.catalogue.knowledge import shipped
from witnessmark.diagnosis.catalogue.rows import Context, Knowledge
from witnessmark.diagnosis.learning.figures import LINKS
from witnessmark.diagnosis.learning.learn import SOURCE, Learned

FILES = {
    "cause_mode": "links-cause-mode.toml",
    "mode_mode": "links-mode-mode.toml",
    "cause_finding": "links-cause-finding.toml",
    "mode_finding": "links-mode-finding.toml",
}
ROW, TABLE = re.compile(r"^  \{ ", re.MULTILINE), re.compile(r"^\[\[\w+\]\]$", re.MULTILINE)
Edit = Callable[[int, str], str]


def write(learned: Learned, out: Path, page: str) -> None:
    """Write the folder anew: the files of the knowledge, and the page as its README."""
    out.mkdir(parents=True, exist_ok=True)
    texts = {file.name: file.read_text("utf-8") for file in shipped().iterdir() if file.name.endswith(data.SUFFIXES)}
    for name, text in {**texts, **_edited(learned, texts)}.items():
        if name in _NEEDED:
            (out / name).write_text(text, "utf-8")
    (out / "README.md").write_text(page, "utf-8")


_NEEDED = {
    *FILES.values(),
    *(f"{stem}.toml" for stem in ("findings", "normals", "modes", "causes", "contexts")),
    *(f"{stem}.toml" for stem in ("safety", "conflicts", "dispatch")),
}


def _edited(learned: Learned, texts: Mapping[str, str]) -> dict[str, str]:
    after = learned.knowledge
    edited = {FILES[kind]: _each(ROW, texts[FILES[kind]], _probabilities(after, kind)) for kind in LINKS}
    for name, rows in (("modes.toml", after.modes), ("causes.toml", after.causes)):
        priors = [row.prior for row in rows.values()]
        edited[name] = _each(TABLE, texts[name], lambda k, part, priors=priors: _figure(part, "prior", priors[k]))  # type: ignore[misc]
    edited["findings.toml"] = _each(TABLE, texts["findings.toml"], _backgrounds(after))
    edited["contexts.toml"] = (
        texts["contexts.toml"].rstrip().removesuffix("]") + "".join(map(_row, learned.kinds)) + "]\n"
    )
    return edited


def _each(start: re.Pattern[str], text: str, edit: Edit) -> str:
    """The text with each of its rows edited, by number; what stands before the first row stays."""
    starts = [match.start() for match in start.finditer(text)]
    parts = [text[a:b] for a, b in zip(starts, [*starts[1:], len(text)], strict=True)]
    return text[: starts[0]] + "".join(edit(number, part) for number, part in enumerate(parts))


def _probabilities(after: Knowledge, kind: str) -> Edit:
    rows = getattr(after, kind)
    return lambda number, part: _figure(part, "probability", rows[number].probability)


def _backgrounds(after: Knowledge) -> Edit:
    rows = list(after.findings.values())

    def edit(number: int, part: str) -> str:
        row = rows[number]
        for name in ("background", "background_low", "background_high"):
            part = _figure(part, name, getattr(row, name))
        return part

    return edit


def _figure(part: str, key: str, value: float) -> str:
    """One row with a figure changed, and where it comes from; as it stands where the figure does."""
    pattern = re.compile(rf"(?m)(^|[{{,] ?)({key} = )([0-9.e-]+)")
    found = pattern.search(part)
    if found is None or float(found[3]) == value:
        return part
    part = part[: found.start(3)] + _digits(value) + part[found.end(3) :]
    return re.sub(r'source = "[\w-]+"', f'source = "{SOURCE}"', part, count=1)


def _digits(value: float) -> str:
    return f"{value:.4g}" if value >= 1e-4 else f"{value:.8f}"  # noqa: PLR2004 - below it the short form is no TOML of ours


def _row(context: Context) -> str:
    return (
        f'  {{ field = "{context.field}", value = "{context.value}", target = "{context.target}", odds_ratio = '
        f'{context.odds_ratio}, rationale = "{context.rationale}", source = "{SOURCE}", reviewed = "learned" }},\n'
    )
