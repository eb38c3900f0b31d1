"""The page: gates first, then the tables with what each number means and what it does not."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from tests.evaluation.gates import ENOUGH, Gate, gates, of_times
from tests.evaluation.measures import Measured, Notes
from tests.published import rooftop
from witnessmark import __version__, data
from witnessmark.diagnosis.evaluation import tables
from witnessmark.diagnosis.evaluation.outcomes import together
from witnessmark.diagnosis.review.case_set import Scores

PAGE = Path(__file__).parents[2] / "docs" / "EVALUATION.md"
DECIDES = "diagnosis/"
"""Data that decide a diagnosis: when they change the page is out of date, when a limit elsewhere does it is not."""
INTRODUCTION = """\
# How far the diagnosis can be trusted, as far as we can measure it

*Written by `{command}` (half an hour or so on two cores; the sizes can be made smaller); do not edit here.*

Service {service}, knowledge `{knowledge}`; digest of the data that decide a diagnosis: `{decides}`.

**No number on this page is accuracy in the field.** There are three kinds:

* *Simulated*: machines drawn from the knowledge itself, or from a deliberately different model. They measure whether
  the reasoning keeps its promises (what it calls 80 % likely comes true in 80 %), what biased and wrong reports do to
  it, and whether it holds back where it knows too little. They cannot show that the knowledge is right about real
  machines.
* *Textbook agreement*: described cases, published or constructed, and labelled notes. They show that the knowledge says
  what the trade writes. They are cleaner than real jobs, and the notes have the same author as the wording.
* *Laboratory*: readings of one real rooftop unit with its condenser blocked on purpose. One fault, one
  machine, four days.
"""
GATES = """\
Figures of simulated machines carry their 95 % interval (bootstrap over whole cases, Wilson's for shares) and the size
of the sample; the unfavourable end must lie within the bound. **Seeds**: for how many runs of another seed the gate
holds on its own, at the size of one run; *together*: too small an effect for one run, so that all runs are one sample.
**Who knows nothing**: the same judged on the priors alone (their skill is 0), on random checks against other random
checks, on checks without regard to the rules, on alarms that ring as often where nothing is wrong, on always being sure
of the leading mode, on an answer that is always the same. It must fail, or the gate measures nothing.
A gate that is judged *together* is meant for the usual twenty seeds; with fewer the interval is wider, and it may read
"not held" for want of cases.
"""
SCENARIOS = """\
**ECE**: expected calibration error, the mean distance between what was claimed and what came true, over ten bins (0 is
perfect; it says nothing of how often the answer is right, and the priors alone have little too). **Skill**: share of
the priors' squared error that the findings take away (0 knows no more than the priors, 1 is perfect). **P ≥ 0.9
right**: modes claimed with at least 0.9, and the share of them that were there. **Top 1, top 3**: cases with a mode in
which a true one is ranked so; low by nature here, since the findings are drawn at random and most say little. **Called
unfit**: cases answered with "does not fit"; a false alarm where nothing is unmodelled. **Wrong at ≥ 0.95**: cases with
a mode at 0.95 or more that was not there.
"""
RELIABILITY = """\
Every log-odds of the knowledge shifted by a standard deviation of 1.0 (odds wrong by a factor of 2.7 as a rule), anew
for each machine, and findings of one disturbance alike beyond what the modes explain. Of the machines for which a mode
(cause) was called so likely, so many had it; bins of fewer than {enough} claims are left out of the gate.
"""
TRIALS = """\
A technician starts from what the owner tells and does one check after the other; the best proposed one, or any that is
allowed. The gain is over chance, on simulated machines, not over a good technician. **Right**: the leading mode is
there. **Claimed**: how probable it is called; that varies less, so that one run shows it. The last row counts proposed
checks that a fired safety rule forbids, whose needs cannot be met together, or that lack their caution.
"""
SCORES = """\
Published cases retell tables, manuals and stories of the trade (sources beside each in KNOWLEDGE-CASES.md); constructed
ones follow trade reasoning. Both are a development set: figures were changed after they were first run.
**Abstained**: cases with an expected mode that did not end
in the verdict "diagnosed". **Right when diagnosed**: of the others, those whose leading mode was expected. **Brier**:
of the leading mode's probability.
"""
NOTES = """\
Finding and state together, micro average. *Development* notes may be looked at while wording is written, so their
figure says nothing; *held-out* and *late* ones never. Their author wrote the wording too: they flatter, and say nothing
of notes by others. Notes by five other writers are read far worse: docs/NOTES.md says how well.
"""


ROOFTOP = """\
Quarter hours of one R-410A unit with 0, 28 and 58 % of its condenser face blocked, four days in all; nobody called,
so priors are those before any call. The five rates of the trade (Yuill & Braun 2013, from memory) are of the cause that
the answer acts on, that is with a chance of 0.4 or more. **No response**: no cause, and the verdict leaves it open;
**missed**: the verdict is "no compressor fault likely" and no cause is named; **misdiagnosis**: another cause.
**Chance**: of the condenser, lower tenth, middle, upper tenth. *Sealed* hours (by the hash of day and hour) were not
looked at row by row. Intervals in the gates take hours for cases. Twelve clean rows, 7:00 to 9:45 of one morning,
condense 22 to 28 K over the air like a blocked unit; where a cause is acted on there it counts as a false alarm.
*Sound day*: each row is held against the quarter hour of another, clean day that is nearest in outdoor air. Who leads
at a chance of one in a hundred is no claim, so that leading alone counts for nothing here.
"""


def render(measured: Measured, command: str) -> str:
    """The whole page."""
    whole = together(measured.samples)
    different = whole.different()
    parts = (
        INTRODUCTION.format(
            command=command, service=__version__, knowledge=data.version(), decides=data.version(DECIDES)
        ),
        f"## Gates\n\n{GATES}\n{gate_table(gates(measured))}\n{TIMES}",
        f"## Simulated machines\n\n{SCENARIOS}\n{tables.scenarios(whole)}",
        f"## A deliberately different model\n\n{RELIABILITY.format(enough=ENOUGH)}",
        *(f"{tables.reliability(layer, different.claims(layer))}" for layer in ("modes", "causes")),
        f"## Next checks\n\n{TRIALS}\n{tables.checks(whole)}",
        f"## Described cases\n\n{SCORES}\n{case_table(measured.scores)}",
        "Calibration of the leading mode over all described cases:",
        tables.table(("stated", "right", "cases"), _calibration(measured.scores["all"])),
        f"## Rooftop unit\n\n{ROOFTOP}\n{_rooftop(measured)}",
        f"## Job notes\n\n{NOTES}\n{_notes(measured.notes)}",
    )
    return "\n\n".join(part.rstrip() for part in parts) + "\n"


TIMES = """
Times are those of the machine that wrote this page, one core, the least of five runs of sixty cases;
`python -m tests.evaluation --times` measures them alone and anew. tests/bench/README.md has the others."""


def gate_table(judged: tuple[Gate, ...]) -> str:
    """The table of the gates."""
    return tables.table(("gate", "must be", "measured", "seeds", "who knows nothing", "standing"), map(_gate, judged))


def _gate(gate: Gate) -> tuple[str, ...]:
    words = {True: "held", False: "**not held**", None: "not measured"}
    blind = f"{gate.blind.text}: {'**passes**' if gate.blind.held else 'fails'}" if gate.blind else "-"
    return gate.name, gate.bound, gate.measured, gate.seeds or "-", blind, words[gate.held]


def with_times(text: str, speed: Mapping[int, float]) -> str:
    """The page with the rows of the times replaced; all else is as it was measured."""
    for gate in of_times(speed):
        row = f"| {' | '.join(_gate(gate))} |"
        text = re.sub(rf"^\| {re.escape(gate.name)} \|.*$", row, text, flags=re.MULTILINE)
    return text


def case_table(scores: dict[str, Scores]) -> str:
    """Scores of the case set by origin."""
    head = (
        "origin",
        "cases",
        "top 1",
        "top 3",
        "cause top 1",
        "cause top 3",
        "Brier",
        "abstained",
        "right when diagnosed",
    )
    rows = []
    for name, s in scores.items():
        shares = (s.top_1, s.top_3, s.cause_1, s.cause_3, s.brier, s.abstained, s.right_when_diagnosed)
        rows.append((name, str(s.cases), *(f"{value:.2f}" for value in shares)))
    return tables.table(head, rows)


def _calibration(scores: Scores) -> list[tuple[str, ...]]:
    return [(f"{stated:.2f}", f"{right:.2f}", f"{number}") for stated, right, number in scores.calibration]


def _notes(notes: dict[str, Notes]) -> str:
    rows = ((name, f"{n.notes}", f"{n.precision:.2f}", f"{n.recall:.2f}") for name, n in notes.items())
    return tables.table(("part", "notes", "precision", "recall"), rows)


def _rooftop(measured: Measured) -> str:
    if measured.rooftop is None:
        return "The data are not here."
    head = ("blocked", "held against", "hours", "rows", "hours", *rooftop.RATES, "causes acted on", "chance")
    return tables.table(head, measured.rooftop.table)
