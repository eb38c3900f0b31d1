"""Outcomes are kept, found again and forgotten with the text they belong to; proofs name mutants that exist."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.mutation.bench import Outcome
from tests.mutation.equivalents import proofs
from tests.mutation.mutants import ROOT, SOURCE, change, mutants
from tests.mutation.results import Results

TEXT = "def f(a):\n    return a < 3\n"
KILLED = Outcome(killed=True, by="mirror", test="tests/test_f.py::test", seconds=1.5)
ALIVE = replace(KILLED, killed=False, by="all", test=None)


def test_outcomes_are_found_again_and_the_last_one_counts(tmp_path: Path) -> None:
    path = tmp_path / "new" / "results.jsonl"
    first, second, *_ = mutants("f.py", TEXT)
    results = Results(path, lambda _: TEXT)
    for mutant, outcome in ((first, ALIVE), (second, KILLED), (first, KILLED)):
        results.add(mutant, outcome)
    again = Results(path, lambda _: TEXT)
    assert again.outcomes == results.outcomes == {first.key: KILLED, second.key: KILLED}


def test_an_outcome_of_another_text_does_not_count(tmp_path: Path) -> None:
    path = tmp_path / "results.jsonl"
    Results(path, lambda _: TEXT).add(next(mutants("f.py", TEXT)), KILLED)
    assert Results(path, lambda _: TEXT + "\n").outcomes == {}

    def gone(_: str) -> str:
        raise FileNotFoundError

    assert Results(path, gone).outcomes == {}


def test_every_proof_belongs_to_a_mutant_of_today() -> None:
    for module, within, line, replacement in proofs():
        text = (ROOT / SOURCE / module).read_text("utf-8")
        near = [m for m in mutants(module, text) if m.within == within and m.text in line]
        changes = [change(m, text) for m in near]
        assert (line, replacement) in {(c.before, c.after) for c in changes}, (module, within, line)


ROW = '[[equivalent]]\nmodule = "f.py"\nwithin = "f"\nline = "a"\nreplacement = "b"\nproof = "c"\n'


@pytest.mark.parametrize("text", [ROW * 2, ROW.replace('"c"', '""'), ROW.replace("proof", "reason")])
def test_a_bad_row_of_proofs_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "equivalent.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(ValueError, match=r"equivalent\.toml"):
        proofs(path)
