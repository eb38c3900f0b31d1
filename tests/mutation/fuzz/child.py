"""The fuzzer itself, in a process of its own: `python -m tests.mutation.fuzz.child TARGET [OPTION ...]`.

Needs atheris (requirements/fuzz.txt).
"""

from __future__ import annotations

import logging
import sys
import warnings

import atheris  # type: ignore[import-untyped, import-not-found, unused-ignore]
import structlog

INCLUDED = ["witnessmark.api", "witnessmark.bulk", "witnessmark.diagnosis.notes", "h11", "json"]
"""What is watched for branches; the learned reader's sums have none that hang on the bytes."""
EXCLUDED = ["witnessmark.diagnosis.notes.model", "witnessmark.api.schemas", "witnessmark.api.routes"]


def main() -> None:
    """Fuzz one target until the fuzzer's own limits end it."""
    warnings.simplefilter("ignore")
    with atheris.instrument_imports(include=INCLUDED, exclude=EXCLUDED):
        from tests.mutation.fuzz.seeds import seeds  # noqa: PLC0415 - as below
        from tests.mutation.fuzz.targets import TARGETS  # noqa: PLC0415 - watched only where imported here
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.CRITICAL))
    target, *rest = sys.argv[1:]
    for seed in seeds(target):  # what is compiled once is compiled before the time of an input counts
        TARGETS[target](seed)
    atheris.Setup([sys.argv[0], *rest], TARGETS[target])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
