"""The command line: `witnessmark serve | make-key | demo | check-knowledge | knowledge learn | trace-mixture`."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from witnessmark import __version__
from witnessmark.settings import SettingError, Settings, read, value

EPILOG = """examples:
  witnessmark serve --port 8000            answer on http://127.0.0.1:8000 (reference at /docs)
  witnessmark make-key van-7               make a key and its row for the file of keys
  witnessmark demo                         work out an invented case, print what was found, write its report
  witnessmark demo --list                  name the cases (then --case NAME, --full)
  witnessmark check-knowledge              lint the knowledge files
  witnessmark check-knowledge --against OLD --cases tests/diagnosis/cases
                                           and show which verdicts on the cases differ from the knowledge in OLD
  witnessmark knowledge learn JOBS.jsonl --out DIR
                                           learn from closed jobs; then: witnessmark serve --knowledge DIR
  witnessmark trace-mixture "R-32/125 (60/40)" --out DIR
                                           full curves of a mixture; then: witnessmark serve --mixtures DIR
"""


def parser() -> argparse.ArgumentParser:
    """The parser of the command line."""
    top = argparse.ArgumentParser(
        prog="witnessmark",
        description="Why a compressor died, how to clean its circuit, and whether the next one may start.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"witnessmark {__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    serve = commands.add_parser("serve", help="run the service", usage="witnessmark serve [-h] [--SETTING VALUE ...]")
    for row in fields(Settings):
        help_text = f"{row.metadata['text']} (default {row.default!r})"
        flag = f"--{row.name.replace('_', '-')}"
        metavar = "N" if "low" in row.metadata else "TEXT"
        serve.add_argument(flag, type=_setting(row.name), default=argparse.SUPPRESS, metavar=metavar, help=help_text)
    key = commands.add_parser("make-key", help="make a key: its row for the file of keys, and once the key itself")
    key.add_argument("name", type=_name, metavar="NAME", help="letters, digits, dots, dashes; shown to nobody")
    _add_demo(commands)
    check = commands.add_parser("check-knowledge", help="lint the knowledge files")
    check.add_argument(
        "folder", nargs="?", type=_folder, metavar="FOLDER", help="knowledge to lint (default: the shipped)"
    )
    check.add_argument("--against", type=_folder, metavar="FOLDER", help="compare verdicts with another version")
    check.add_argument("--cases", type=_folder, metavar="FOLDER", help="case set to compare on (tests/diagnosis/cases)")
    _knowledge_parser(commands.add_parser("knowledge", help="learn from closed jobs"))
    trace = commands.add_parser("trace-mixture", help="full saturation curves of a mixture, for `serve --mixtures`")
    trace.add_argument("mixture", nargs="+", metavar="MIXTURE", help="such as 'R-32/125 (60/40)', per cent by mass")
    trace.add_argument("--out", type=Path, required=True, metavar="FOLDER", help="where the curves are written")
    return top


def _add_demo(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    demo = commands.add_parser("demo", help="work out an invented case end to end against a server of its own")
    demo.add_argument("--list", action="store_true", help="name the cases and stop")
    demo.add_argument("--case", metavar="NAME", help="which case (default: the first)")
    demo.add_argument("--full", action="store_true", help="print evidence, plan, gate, cautions and assumptions too")
    demo.add_argument("--json", action="store_true", help="print the answer as JSON and write no report")
    demo.add_argument(
        "--report",
        type=Path,
        default=Path("demo-report"),
        metavar="FOLDER",
        help="where its report goes (default %(default)s)",
    )
    demo.add_argument("--url", help="use a running service instead")


def _knowledge_parser(knowledge: argparse.ArgumentParser) -> None:
    verbs = knowledge.add_subparsers(dest="verb", required=True, metavar="VERB", help="what to do")
    learn = verbs.add_parser("learn", help="write a knowledge folder that closed jobs have changed")
    learn.add_argument("jobs", type=Path, metavar="JOBS", help="closed jobs, one JSON object a line")
    learn.add_argument("--out", type=Path, required=True, metavar="FOLDER", help="where the knowledge is written")


def _setting(name: str) -> Callable[[str], Any]:
    def read_one(text: str) -> Any:
        try:
            return value(name, text)
        except SettingError as fault:
            raise argparse.ArgumentTypeError(str(fault)) from None

    return read_one


def _name(text: str) -> str:
    if re.fullmatch("[A-Za-z0-9._-]{1,60}", text):
        return text
    raise argparse.ArgumentTypeError("1 to 60 letters, digits, dots, dashes or underscores")


def _folder(text: str) -> Path:
    """The path of a folder that is there."""
    if Path(text).is_dir():
        return Path(text)
    raise argparse.ArgumentTypeError(f"{text!r}: there is no such folder")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit code."""
    top = parser()
    options = top.parse_args(arguments)
    if options.command == "check-knowledge" and (options.against is None) != (options.cases is None):
        top.error("--against and --cases go together: the version to compare with, and what to compare on")
    return int(_COMMANDS[options.command](options))


def _serve(options: argparse.Namespace) -> int:
    from witnessmark.data import DataError  # noqa: PLC0415 - the other commands need no server
    from witnessmark.serving import serve  # noqa: PLC0415

    try:
        settings = read(os.environ, {name: given for name, given in vars(options).items() if name != "command"})
    except SettingError as fault:
        sys.stderr.write(f"witnessmark serve: {fault}\n")
        return 2
    try:
        return serve(settings)
    except SettingError as fault:
        sys.stderr.write(f"witnessmark serve: {fault}\n")
        return 2
    except DataError as error:
        faults = "".join(f"\n  {fault}" for fault in error.faults)
        sys.stderr.write(f"witnessmark serve: not started, the data files cannot be used:{faults}\n")
        return 1


def _demo(options: argparse.Namespace) -> int:
    try:
        from witnessmark.demo.run import Wish, run  # noqa: PLC0415 - the only command that needs the client
    except ModuleNotFoundError as missing:
        text = f"needs {missing.name}, which is not installed: pip install 'witnessmark[demo]'"
        sys.stderr.write(f"witnessmark demo: {text}\n")
        return 1
    wish = Wish(options.case, options.full, options.json, options.list, options.url, options.report)
    return run(wish)


def _check_knowledge(options: argparse.Namespace) -> int:
    from witnessmark import data  # noqa: PLC0415 - the others need no knowledge
    from witnessmark.diagnosis.catalogue.knowledge import shipped  # noqa: PLC0415
    from witnessmark.diagnosis.review.comparison import check  # noqa: PLC0415

    try:
        text, sound = check(options.folder or shipped(), options.against, options.cases)
    except data.DataError as error:
        text, sound = "\n".join(f"error in {options.against}: {fault}" for fault in error.faults), False
    if options.folder is None:
        text = f"knowledge version: {data.version()}\n{text}"
    sys.stdout.write(text + "\n")
    return 0 if sound else 1


def _make_key(options: argparse.Namespace) -> int:
    from witnessmark.api.edge import keys  # noqa: PLC0415 - only here

    key, row = keys.made(options.name)
    sys.stderr.write(f"the key, shown this once: {key}\n")
    sys.stdout.write(row)
    return 0


def _learn(options: argparse.Namespace) -> int:
    from witnessmark.data import DataError  # noqa: PLC0415 - the others need nothing of it
    from witnessmark.diagnosis.learning.run import run  # noqa: PLC0415

    try:
        said = run(options.jobs, options.out)
    except (DataError, OSError, UnicodeDecodeError) as error:
        faults = "".join(f"\n  {fault}" for fault in getattr(error, "faults", (error,)))
        sys.stderr.write(f"witnessmark knowledge learn: nothing written:{faults}\n")
        return 1
    sys.stdout.write(said)
    return 0


def _trace(options: argparse.Namespace) -> int:
    from witnessmark.errors import InputError  # noqa: PLC0415 - the others need no curves
    from witnessmark.refrigerants import build_curves, compositions, names  # noqa: PLC0415

    status = 0
    for number, wanted in enumerate(options.mixture):
        build_curves.progress(number, len(options.mixture), wanted)
        try:
            mixture = names.resolve(wanted)
            if compositions.parse(mixture) is None:
                sys.stdout.write(f"{wanted}: {mixture} is catalogued, its curves are shipped\n")
                continue
            file, built = build_curves.mixture(mixture, options.out)
        except (InputError, RuntimeError, ValueError, OSError) as error:
            sys.stderr.write(f"\nwitnessmark trace-mixture: {wanted}: {error}\n")
            status = 1
            continue
        span = f"{built.t_min - 273.15:.1f} to {built.t_max - 273.15:.1f} degC"
        sys.stdout.write(f"{file}: {mixture}, {span}\n")
    build_curves.progress(len(options.mixture), len(options.mixture), "done")
    return status


_COMMANDS = {
    "make-key": _make_key,
    "serve": _serve,
    "demo": _demo,
    "check-knowledge": _check_knowledge,
    "knowledge": _learn,
    "trace-mixture": _trace,
}

if __name__ == "__main__":
    sys.exit(main())
