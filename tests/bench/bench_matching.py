"""How fast a job note is read. Writes its table into README.md here.

Run: `python tests/bench/bench_matching.py`. Times are processor time and the best of several rounds; the notes are made
of the labelled sentences of tests/diagnosis/data/labelled_notes.toml.
"""

from __future__ import annotations

import platform
import re
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

from witnessmark.diagnosis.notes.matching import LONGEST, read_note, ruled_matches
from witnessmark.diagnosis.notes.model.store import shipped

README = Path(__file__).with_name("README.md")
NOTES = Path(__file__).parents[1] / "diagnosis" / "data" / "labelled_notes.toml"
BEGIN, END = "<!-- matching: begin -->", "<!-- matching: end -->"
ROUNDS = 5
THOUSAND = 1_000
HOSTILE = ("SH 2 K ", "amps 1/2/3 ", "not ", "oil black ", "no, ", "ﷺ", "½")
START = """
import time
from pathlib import Path
def resident():
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096 / 1e6
start, before = time.process_time(), resident()
from witnessmark.diagnosis.notes.matching import match
imported = time.process_time()
match("oil black")
print(imported - start, time.process_time() - imported, resident() - before)
"""


def best(call: Callable[[], object]) -> float:
    """Seconds a call: best of ROUNDS rounds of some 0.1 s."""
    call()
    start = time.process_time()
    call()
    count = max(1, int(0.1 / max(time.process_time() - start, 1e-7)))
    rounds = []
    for _ in range(ROUNDS):
        start = time.process_time()
        for _ in range(count):
            call()
        rounds.append((time.process_time() - start) / count)
    return min(rounds)


def notes(length: int) -> list[str]:
    """The labelled sentences strung together and cut to notes of this many characters."""
    text = ". ".join(note["text"] for note in tomllib.loads(NOTES.read_text("utf-8"))["note"])
    return [text[k : k + length] for k in range(0, max(len(text) - length, 1), length)]


def time_of_notes(length: int, reader: Callable[[str], object] = read_note) -> float:
    """Mean processor time, s, of reading one note of this many characters."""
    several = notes(length)[:20]
    return best(lambda: [reader(note) for note in several]) / len(several)


def worst() -> tuple[str, float]:
    """The slowest of the hostile texts of full length, and its processor time, s."""
    found = [(piece, best(lambda text=(piece * LONGEST)[:LONGEST]: read_note(text))) for piece in HOSTILE]  # type: ignore[misc]
    return max(found, key=lambda one: one[1])


def start_up() -> tuple[float, float, float]:
    """Of a new interpreter: seconds to import, seconds to compile the wording, MB of memory for both (Linux)."""
    done = subprocess.run([sys.executable, "-c", START], check=True, capture_output=True, text=True)  # noqa: S603
    imported, compiled, memory = map(float, done.stdout.split())
    return imported, compiled, memory


def report() -> str:
    """The table."""
    imported, compiled, memory = start_up()
    piece, slowest = worst()
    rows = [
        ("a line of 60 characters", time_of_notes(60)),
        ("a note of 1,000 characters", time_of_notes(THOUSAND)),
        ("the same line by the rules alone", time_of_notes(60, ruled_matches)),
        ("the same line by the learned reader alone", time_of_notes(60, shipped().hear)),
        ("the longest note, 20,000 characters", time_of_notes(LONGEST)),
        (f"the slowest hostile text of that length (`{piece.strip()}` repeated)", slowest),
        ("import, once", imported),
        ("compiling the wording, once", compiled),
    ]
    head = f"Python {platform.python_version()}, one core; processor time, best of {ROUNDS} rounds.\n"
    table = "\n".join(f"| {what} | {1e3 * seconds:.3g} ms |" for what, seconds in rows)
    return (
        f"{head}`python tests/bench/bench_matching.py`\n\n| what | processor time |\n| --- | --: |\n{table}\n\n"
        f"Memory of import and wording: {memory:.0f} MB, the numerical libraries of the engine included."
    )


def write(text: str, file: Path = README) -> None:
    """Put the table between its marks, or append them."""
    old = file.read_text("utf-8") if file.exists() else "# Measurements\n"
    if BEGIN not in old:
        old = f"{old.rstrip()}\n\n## Reading a job note\n\n{BEGIN}{END}\n"
    section = f"{BEGIN}\n\n{text}\n\n{END}"
    file.write_text(re.sub(f"{BEGIN}.*{END}", lambda _: section, old, flags=re.DOTALL), "utf-8")


if __name__ == "__main__":
    write(report())
