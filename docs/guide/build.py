"""Builds the guide: `python -m docs.guide.build FOLDER`. Whoever builds the wheel builds it (hatch_build.py beside it).

Pages written by hand stand in docs/guide/pages; those of the knowledge are made from its data; measured figures are the
pages of docs/. A link that would lead out of the guide becomes its words, so that all of it works without a network.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service"
TARGET = SERVICE / "witnessmark" / "guide"
"""Where the service looks for it, and where a wheel takes it from."""
MEASURED = {"ACCURACY": "saturation", "EVALUATION": "diagnosis", "NOTES": "notes", "DISPATCH-CHECKS": "dispatch"}
"""Pages of docs/, and what they are called in the guide."""
SCRIPTS = ("documentation_options", "doctools", "sphinx_highlight", "searchtools", "language_data")
MADE_FROM = "made-from.txt"
_LINK = re.compile(r"!?\[([^\]]*)\]\(([^)\s]+)\)")


def build(target: Path = TARGET) -> None:
    """Build the guide into `target`, unless what is there was made from the same."""
    made_from, note = _digest(), target / MADE_FROM
    if note.is_file() and note.read_text("utf-8") == made_from:
        return
    with TemporaryDirectory() as folder:
        source, made = Path(folder) / "source", Path(folder) / "made"
        _call_it_installed(Path(folder))
        _gather(source, Path(folder))
        _generate(source, made, Path(folder))
        _prune(made)
        (made / MADE_FROM).write_text(made_from, "utf-8")
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(made, target)


def _inputs() -> Iterator[Path]:
    """Every file that the guide could depend on."""
    for folder in (ROOT / "docs" / "guide", SERVICE / "witnessmark"):
        found = (
            path
            for path in sorted(folder.rglob("*"))
            if path.suffix in {".py", ".toml", ".json", ".md", ".html", ".css"}
        )
        yield from (path for path in found if TARGET not in path.parents)
    yield from (ROOT / "docs" / f"{name}.md" for name in MEASURED)


def _digest() -> str:
    total = hashlib.sha256()
    for path in _inputs():
        total.update(f"{path.relative_to(ROOT)}\n".encode() + hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()


def _version() -> str:
    version: str = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    return version


def _call_it_installed(folder: Path) -> None:
    """What a package asks of its installation, its version: the guide is built before there is one."""
    about = folder / f"witnessmark-{_version()}.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: witnessmark\nVersion: {_version()}\n", "utf-8")


def _gather(source: Path, folder: Path) -> None:
    """Everything that the generator reads, in one folder."""
    shutil.copytree(ROOT / "docs" / "guide" / "pages", source)
    shutil.copytree(ROOT / "docs" / "guide" / "theme", source / "theme")
    shutil.copy(ROOT / "docs" / "guide" / "conf.py", source)
    (source / "measured").mkdir(exist_ok=True)
    for name, called in MEASURED.items():
        text = (ROOT / "docs" / f"{name}.md").read_text("utf-8")
        (source / "measured" / f"{called}.md").write_text(inside(text), "utf-8")
    _run(folder, "-m", "witnessmark.diagnosis.page", str(source / "knowledge"))


def inside(text: str) -> str:
    """The text with its links and pictures as words, but those to a place of the page itself.

    >>> inside("see [that](../x.md) and [below](#y)")
    'see that and [below](#y)'
    """
    return _LINK.sub(lambda found: found[0] if found[2].startswith("#") else found[1], text)


def _generate(source: Path, made: Path, folder: Path) -> None:
    options = ("-W", "--keep-going", "-q", "-b", "html", "-D", f"release={_version()}")
    _run(folder, "-m", "sphinx", *options, str(source), str(made))


def _run(folder: Path, *arguments: str) -> None:
    """Run a module that finds the service, and in `folder` what is told of its installation."""
    paths = (str(folder), str(SERVICE), os.environ.get("PYTHONPATH", ""))
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, paths))}
    subprocess.run([sys.executable, *arguments], check=True, env=environment, cwd=ROOT)  # noqa: S603 - this interpreter


def _prune(made: Path) -> None:
    """Leave pages, the search and its scripts, and the style."""
    kept = {f"_static/{name}.js" for name in SCRIPTS} | {"_static/guide.css", "searchindex.js"}
    for path in sorted(made.rglob("*"), reverse=True):
        name = path.relative_to(made).as_posix()
        if path.is_dir():
            if not any(path.iterdir()):
                path.rmdir()
        elif name not in kept and path.suffix != ".html":
            path.unlink()


if __name__ == "__main__":  # pragma: no cover
    build(Path(sys.argv[1]) if len(sys.argv) > 1 else TARGET)
