"""One short word for the state of every reviewed data file that decides an answer."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files

_FOLDERS = (
    "diagnosis/knowledge",
    "cleanup",
    "restart",
    "calculations",
    "reference",
    "reference/sources",
    "reference/cautions",
)


@cache
def knowledge_version() -> str:
    """First ten hexadecimal digits of the SHA-256 over the data files, in a fixed order."""
    digest = hashlib.sha256()
    for folder in _FOLDERS:
        for file in sorted(files("witnessmark").joinpath(folder).iterdir(), key=lambda f: f.name):
            if file.name.endswith(".toml"):
                digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:10]
