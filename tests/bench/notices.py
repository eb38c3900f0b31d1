"""The notices of third parties, and whether the bill of materials is whole: the last step of `make bill`.

Reads the metadata of the packages that were installed from requirements/run.txt into a folder of their own. Writes a
text with name, version, licence and the licence's own words of each. Fails where bill and lock name other packages,
where a package states no licence, or where the bill tells where it was made.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable, Iterator
from importlib.metadata import Distribution, distributions
from pathlib import Path
from typing import Any

_LOCKED = re.compile(r"^([A-Za-z0-9._-]+)==([^ ;\\]+)", re.MULTILINE)
_TEXTS = re.compile(r"(licen[cs]e|copying|notice|authors)", re.IGNORECASE)
_MADE_AT = re.compile(r'file:/|"/[a-z]')


class BillError(Exception):
    """The bill is not whole, or tells too much."""


def locked(text: str) -> dict[str, str]:
    """Version by name of a lock."""
    return {plain(name): version for name, version in _LOCKED.findall(text)}


def plain(name: str) -> str:
    """The one form of a package's name (packaging specification, name normalization)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def licence(package: Distribution) -> str:
    """What a package states: an expression, the classifiers, or a line of its own. Empty where it states nothing."""
    stated: Any = package.metadata
    listed = [c.rpartition(" :: ")[2] for c in stated.get_all("Classifier", []) if c.startswith("License ::")]
    own = (stated.get("License") or "").strip().partition("\n")[0]
    return str(stated.get("License-Expression") or ", ".join(listed) or own)


def texts(package: Distribution) -> Iterator[str]:
    """The words of its licences, as it ships them."""
    for file in package.files or ():
        if ".dist-info" in str(file) and _TEXTS.search(file.name):
            yield Path(str(file.locate())).read_text("utf-8", "replace").strip()


def notices(packages: Iterable[Distribution]) -> str:
    """The whole text. BillError where a package states no licence and ships none."""
    parts = []
    for package in sorted(packages, key=lambda one: plain(one.name)):
        words = list(texts(package))
        stated = licence(package)
        if not (stated or words):
            raise BillError(f"{package.name}: states no licence")
        title = f"{package.name} {package.version}: {stated or 'see below'}"
        parts.append("\n\n".join([title, "=" * len(title), *words]))
    return "\n\n\n".join(["What this service is built on, with the licences of each.", *parts]) + "\n"


def check(bill: str, lock: dict[str, str], installed: Iterable[str]) -> None:
    """BillError where the bill names other packages than were installed, one that is not locked, or a place."""
    named = {plain(part["name"]): part["version"] for part in json.loads(bill)["components"]}
    if faults := sorted(set(installed) ^ named.keys()):
        raise BillError(f"in the bill or installed, not both: {', '.join(faults)}")
    if faults := sorted(name for name, version in named.items() if lock.get(name) != version):
        raise BillError(f"not as locked: {', '.join(faults)}")
    if told := _MADE_AT.search(bill):
        raise BillError(f"the bill tells where it was made: {told[0]}")


def main(words: list[str]) -> int:
    """`python -m tests.bench.notices BILL LOCK PACKAGES OUT`; the exit code."""
    bill, lock, folder, out = map(Path, words)
    packages = list(distributions(path=[str(folder)]))
    try:
        check(bill.read_text("utf-8"), locked(lock.read_text("utf-8")), (plain(one.name) for one in packages))
        out.write_text(notices(packages), "utf-8")
    except BillError as fault:
        sys.stderr.write(f"bill: {fault}\n")
        return 1
    sys.stdout.write(f"bill: {len(packages)} packages, notices in {out.name}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
