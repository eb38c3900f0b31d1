"""The command line: `witnessmark-client bulk superheat readings.csv --out checked.csv`."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from witnessmark_client._exceptions import TransportError, UnavailableError, WitnessmarkError
from witnessmark_client._files import FORMS, FileError, form_of, is_packed, overwritable, spare, unwritten
from witnessmark_client._hours import SOUND, Looked, suspect_hours, told, write
from witnessmark_client._parts import Asked, Outcome, begun, checked
from witnessmark_client._progress import progress
from witnessmark_client._senders import Local, Sender, Service
from witnessmark_client._trend_command import add_trend
from witnessmark_client._trend_command import run as run_trend

DONE, ROWS_FAILED, REFUSED, UNREACHED, INTERRUPTED = 0, 1, 2, 3, 130
EPILOG = """examples:
  witnessmark-client bulk superheat readings.csv --out checked.csv --same refrigerant=R-410A
      The header of readings.csv names columns like the fields of the request, the unit in brackets:
          pressure[psig],temperature[degF]
  witnessmark-client bulk superheat log.csv --out checked.csv --keep time,unit \\
          --rename "Suct P=pressure[psig]" --rename "Suct T=temperature[degF]" --same compressor=scroll
      Other columns come back as they are (--keep); headers of a logger get the names of the service (--rename).
  witnessmark-client bulk compression day.parquet --out checked.parquet --local
      Without a server, where the service is installed on this machine.
  witnessmark-client bulk superheat year.csv --out checked.csv --same refrigerant=R-410A \\
          --keep time,machine --hours time
      Lists in checked.csv.hours.csv the hours, by machine, in which a tenth of the rows or more are suspect.
  zcat log.csv.gz | witnessmark-client bulk subcooling - --out - --same refrigerant=R-32 > checked.csv
  witnessmark-client columns superheat
      What a calculation takes, with its units.

A run that broke off goes on where it was when the same command is given again (not with `-`).
A file that is there already is replaced with --overwrite alone.

exit codes: 0 every row was answered   1 some rows have an error_code   2 the command or the file cannot be used
            3 the service was not reached or too busy
            130 interrupted (the same command goes on), or whoever read the output has gone
"""


def parser() -> argparse.ArgumentParser:
    """The parser of the command line."""
    top = argparse.ArgumentParser(
        prog="witnessmark-client",
        description="Check many readings at once with the Witnessmark service, or the log of one machine.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    bulk = commands.add_parser(
        "bulk", help="many rows through one calculation", epilog=EPILOG, formatter_class=top.formatter_class
    )
    bulk.add_argument(
        "calculation", help="such as saturation, superheat, subcooling, compression, wet-suction, dispatch"
    )
    bulk.add_argument("file", help=f"{', '.join(FORMS)}, the first three packed (.gz) too; - for the standard input")
    bulk.add_argument(
        "--out", required=True, metavar="FILE", help="where the answer goes, by its ending; - for the output"
    )
    overwritable(bulk)
    bulk.add_argument("--form", choices=sorted({*FORMS.values()}), help="of - (default csv)")
    bulk.add_argument("--same", action="append", default=[], metavar="NAME=VALUE", help="a field for every row")
    bulk.add_argument("--rename", action="append", default=[], metavar="OLD=NEW", help="a header of the file")
    bulk.add_argument("--keep", default="", metavar="A,B", help="columns that come back as they are")
    bulk.add_argument("--report-in", choices=("SI", "IP", "bar"), default="SI", help="units of the answer (default SI)")
    bulk.add_argument("--part", type=int, default=4, metavar="MB", help="sent at a time (default 4)")
    bulk.add_argument(
        "--hours", metavar="TIME", help="a column that was kept, of ISO stamps: lists suspect hours in OUT.hours.csv"
    )
    bulk.add_argument("--sound", default=",".join(SOUND), metavar="A,B", help="verdicts that are not (%(default)s)")
    bulk.add_argument("--share", type=float, default=0.1, help="of an hour's rows that must be suspect (%(default)s)")
    bulk.add_argument("--quiet", action="store_true", help="no progress, no summary")
    _place(bulk)
    add_trend(commands)
    columns = commands.add_parser("columns", help="what a calculation takes and answers")
    columns.add_argument("calculation")
    _place(columns)
    return top


def _place(command: argparse.ArgumentParser) -> None:
    command.add_argument("--url", default="http://127.0.0.1:8000", help="of the service (default %(default)s)")
    command.add_argument("--local", action="store_true", help="without a server: the service is installed here")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit code. `trend` has codes of its own, see its help."""
    options = parser().parse_args(arguments)
    try:
        return _run(options)
    except BrokenPipeError:  # whoever read the output has gone, such as `head`: what is left goes nowhere
        with suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return INTERRUPTED


def _run(options: argparse.Namespace) -> int:
    try:
        if options.command == "trend":
            code = run_trend(options)
            sys.stdout.flush()
            return code
        sender = Local() if options.local else Service(options.url)
        return _columns(options, sender) if options.command == "columns" else _bulk(options, sender)
    except (UnavailableError, TransportError) as error:
        return _told(UNREACHED, error)
    except BrokenPipeError:
        raise
    except (WitnessmarkError, FileError, OSError) as error:
        return _told(REFUSED, error)
    except KeyboardInterrupt:
        return _told(INTERRUPTED, "interrupted; the same command goes on where it was")


def _told(code: int, text: object) -> int:
    sys.stderr.write(f"witnessmark-client: {text}\n")
    return code


def _bulk(options: argparse.Namespace, sender: Sender) -> int:
    hours = [f"{options.out}.hours.csv"] if options.hours else []
    spare(options.file, options.out, f"{options.out}.parts", *hours)
    asked = Asked(
        calculation=options.calculation,
        file=options.file,
        out=options.out,
        takes=form_of(options.file, options.form, packed=True),
        gives=form_of(options.out, options.form),
        same=_pairs(options.same),
        rename=_pairs(options.rename),
        keep=options.keep,
        report_in=options.report_in,
        part=max(1, options.part) << 20,
    )
    if not options.overwrite:
        unwritten(*hours, *([] if begun(asked) else [options.out]))
    with progress(_size(options.file), quiet=options.quiet) as tell:
        outcome = checked(asked, sender, tell)
    if not options.quiet:
        sys.stderr.write(summary(outcome, options.out))
    if options.hours:
        _hours(options, asked)
    return ROWS_FAILED if outcome.failed else DONE


def _hours(options: argparse.Namespace, asked: Asked) -> None:
    """The suspect hours of an answer that is there, beside it."""
    if asked.out == "-":
        raise FileError("--hours wants an answer in a file; give --out a name")
    others = tuple(name for name in asked.keep.split(",") if name and name != options.hours)
    looked = Looked(options.hours, others, tuple(options.sound.split(",")), options.share)
    found, out = suspect_hours(asked.out, asked.gives, looked), f"{asked.out}.hours.csv"
    write(found, looked, out)
    if not options.quiet:
        sys.stderr.write(told(found, out))


def _size(file: str) -> int | None:
    if file == "-" or is_packed(file) or not Path(file).is_file():
        return None
    return Path(file).stat().st_size


def _pairs(texts: Sequence[str]) -> dict[str, str]:
    if odd := [text for text in texts if "=" not in text]:
        raise FileError(f"{odd[0]!r}: give a name, an equals sign and a value")
    return dict(text.split("=", 1) for text in texts)


def summary(outcome: Outcome, out: str) -> str:
    """What came of it, for a person."""
    lines = [f"{outcome.rows:,} rows, {outcome.failed:,} of them with an error" + ("" if out == "-" else f": {out}")]
    lines += [f"  {count:,} × {code}" for code, count in sorted(outcome.errors.items(), key=lambda pair: -pair[1])]
    lines += [f"  row {row}: {text}" for row, text in outcome.first_bad]
    lines += [f"  assumed: {text}" for text in outcome.notes.get("assumptions", ())]
    lines += [f"  {name}: {', '.join(ids)}" for name in ("cautions", "sources") if (ids := outcome.notes.get(name))]
    return "".join(f"{line}\n" for line in lines)


def _columns(options: argparse.Namespace, sender: Sender) -> int:
    described = sender.described(options.calculation)
    sys.stdout.write(f"{options.calculation} takes (at most {described['most_rows']:,} rows at once):\n")
    for column in described["takes"]:
        units = f"[{' | '.join(column['units'])}]" if column["units"] else ""
        needed = " (required)" if column["required"] else ""
        sys.stdout.write(f"  {column['name']}{units}{needed}\n")
    sys.stdout.write("and answers:\n")
    sys.stdout.writelines(f"  {column['name']}\n" for column in described["gives"])
    sys.stdout.flush()
    return DONE


if __name__ == "__main__":
    sys.exit(main())
