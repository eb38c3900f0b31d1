"""The page: gates first, then the tables with what each number means and what it does not."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from tests.evaluation.gates import ENOUGH, Gate, gates, of_times
from tests.evaluation.measures import Found, Notes
from witnessmark import __version__, data
from witnessmark.diagnosis.evaluation import calibration as evaluation
from witnessmark.diagnosis.evaluation import check_trials as trials
from witnessmark.diagnosis.evaluation.calibration import Claims
from witnessmark.diagnosis.evaluation.case_set import Scores

PAGE = Path(__file__).parents[2] / "docs" / "EVALUATION.md"
INTRODUCTION = """\
# How far the diagnosis can be trusted, as far as we can measure it

*Written by `{command}` (some ten minutes on two cores; the sizes can be made smaller); do not edit here.*

Service {service}, knowledge `{knowledge}`.

**No number on this page is accuracy in the field.** There are three kinds:

* *Simulated*: machines drawn from the knowledge itself, or from a deliberately different model. They measure whether
  the reasoning keeps its promises (what it calls 80 % likely comes true in 80 %), what biased and wrong reports do to
  it, and whether it holds back where it knows too little. They cannot show that the knowledge is right about real
  machines.
* *Textbook agreement*: described cases, published or constructed, and labelled notes. They show that the knowledge says
  what the trade writes. They are cleaner than real jobs, and the notes have the same author as the wording.
* *Laboratory*: readings of one real rooftop unit with its condenser blocked on purpose. One fault, one machine.
"""
WORLDS = """\
**ECE**: expected calibration error, the mean distance between what was claimed and what came true, over ten bins (0 is
perfect; it says nothing of how often the answer is right). **Brier**: mean squared error of the probabilities of all
modes, most of which are near zero. **P ≥ 0.9 right**: modes claimed with at least 0.9, and the share of them that were
there. **Top 1, top 3**: cases with a mode in which a true one is ranked so; low by nature here, since the findings are
drawn at random and most say little. **Called unfit**: cases answered with "does not fit"; in worlds like the knowledge
a false alarm. **Wrong at ≥ 0.95**: cases with a mode at 0.95 or more that was not there.
"""
RELIABILITY = """\
Every log-odds of the knowledge shifted by a standard deviation of 1.0 (odds wrong by a factor of 2.7 as a rule), and
findings of one disturbance alike beyond what the modes explain. Of the machines for which a mode (cause) was called so
likely, so many had it; bins of fewer than {enough} claims are left out of the gate.
"""
TRIALS = """\
A technician starts from what the owner tells and does one check after the other; the best proposed one, or any that is
allowed. The gain is over chance, on simulated machines, not over a good technician. The third row counts proposed
checks that a fired safety rule forbids, whose needs cannot be met together, or that lack their caution.
"""
SCORES = """\
Published cases retell tables, manuals and stories of the trade (sources beside each in KNOWLEDGE-CASES.md); constructed
ones follow trade reasoning. None was used to fit a number. **Abstained**: cases with an expected mode that did not end
in the verdict "diagnosed". **Right when diagnosed**: of the others, those whose leading mode was expected. **Brier**:
of the leading mode's probability.
"""
NOTES = """\
Finding and state together, micro average. *Development* notes may be looked at while wording is written, so their
figure says nothing; *held-out* and *late* ones never. Their author wrote the wording too: agreement with one reader.
"""


def render(found: Found, command: str) -> str:
    """The whole page."""
    head = INTRODUCTION.format(command=command, service=__version__, knowledge=data.version())
    parts = (
        head,
        "## Gates\n",
        *_gates(found),
        f"\n## Simulated machines\n\n{WORLDS}\n{evaluation.table(found.worlds)}",
        f"\n## A deliberately different model\n\n{RELIABILITY.format(enough=ENOUGH)}",
        *_reliability(found.different),
        f"\n## Next checks\n\n{TRIALS}\n{trials.table(found.trials)}",
        f"\n## Described cases\n\n{SCORES}",
        *case_table(found.scores),
        "\nCalibration of the leading mode over all described cases:\n",
        *_calibration(found.scores["all"]),
        f"\n## Job notes\n\n{NOTES}",
        *_notes(found.notes),
    )
    return "\n".join(parts).rstrip() + "\n"


def _gates(found: Found) -> Iterator[str]:
    yield "| gate | must be | measured | |\n| --- | --- | --- | --- |"
    yield from map(_gate, gates(found))
    yield "\nTimes are those of the machine that wrote this page, one core, the least of five runs of sixty cases;"
    yield "`python -m tests.evaluation times` measures them alone and anew. tests/bench/README.md has the others."


def _gate(gate: Gate) -> str:
    words = {True: "held", False: "**not held**", None: "not measured"}
    return f"| {gate.name} | {gate.bound} | {gate.measured} | {words[gate.held]} |"


def with_times(text: str, speed: Mapping[int, float]) -> str:
    """The page with the rows of the times replaced; all else is as it was measured."""
    for gate in of_times(speed):
        text = re.sub(rf"^\| {re.escape(gate.name)} \|.*$", _gate(gate), text, flags=re.MULTILINE)
    return text


def _reliability(different: dict[str, Claims]) -> Iterator[str]:
    for layer, claims in different.items():
        yield f"| {layer}: claimed | came true | claims |\n| --- | --- | --- |"
        yield from (f"| {said:.2f} | {was:.2f} | {number} |" for said, was, number in claims.reliability)
        yield ""


def case_table(scores: dict[str, Scores]) -> Iterator[str]:
    """Scores of the case set by origin."""
    yield "| origin | cases | top 1 | top 3 | cause top 1 | cause top 3 | Brier | abstained | right when diagnosed |"
    yield "|" + " --- |" * 9
    for name, s in scores.items():
        shares = (s.top_1, s.top_3, s.cause_1, s.cause_3, s.brier, s.abstained, s.right_when_diagnosed)
        yield f"| {name} | {s.cases} | " + " | ".join(f"{value:.2f}" for value in shares) + " |"


def _calibration(scores: Scores) -> Iterator[str]:
    yield "| stated | right | cases |\n| --- | --- | --- |"
    yield from (f"| {stated:.2f} | {right:.2f} | {number} |" for stated, right, number in scores.calibration)


def _notes(notes: dict[str, Notes]) -> Iterator[str]:
    yield "| part | notes | precision | recall |\n| --- | --- | --- | --- |"
    yield from (f"| {name} | {n.notes} | {n.precision:.2f} | {n.recall:.2f} |" for name, n in notes.items())
