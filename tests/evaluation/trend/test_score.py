"""A small sample of the evaluation; the full size is `python -m tests.evaluation.trend`."""

import pytest

from tests.evaluation.trend import __main__ as command
from tests.evaluation.trend.score import Outcome, cases, outcome, page, rate, share


@pytest.mark.parametrize(
    ("kind", "fault", "seed"),
    [
        ("freezer", "liquid_return", 0),
        ("heat_pump", "low_load_accumulation", 0),
        ("cooler", "vacuum_running", 0),
        ("cooler", "charge_loss", 0),
        ("cooler", "sensor_drift", 0),
    ],
)
def test_plain_faults_of_a_tuning_seed_are_found(kind: str, fault: str, seed: int) -> None:
    found = outcome(kind, fault, seed, 90.0)
    assert found.plain
    assert found.found


@pytest.mark.parametrize("kind", ["freezer", "cooler", "rooftop_ac", "heat_pump"])
def test_healthy_machines_of_a_tuning_seed_are_accused_of_nothing(kind: str) -> None:
    assert outcome(kind, None, 0, 60.0).others == []


def test_cases_and_tables() -> None:
    plan = list(cases(1000, 2, 1))
    assert [case[1] for case in plan[:2]] == [None, "liquid_return"]
    assert len(plan) == 2 + 16
    made = [
        Outcome("cooler", None, 1, 365.0, others=["high-ratio"]),
        Outcome("cooler", None, 2, 365.0),
        Outcome("cooler", "charge_loss", 1, 90.0, plain=True, found=True, others=["high-ratio"]),
    ]
    text = page(made)
    assert "1 in 2 = 0.500" in text
    assert "charge_loss: plain ones 1 of 1" in text
    assert share(0, 0) == "none"
    assert rate(0, 200).startswith("0 in 200 = 0.000 (0.000 to 0.018")


def test_a_stopped_run_goes_on(tmp_path, monkeypatch, capsys) -> None:  # type: ignore[no-untyped-def] # noqa: ANN001
    asked: list[object] = []

    def made(kind: str, fault: str | None, seed: int, days: float) -> Outcome:
        asked.append((kind, fault, seed))
        return Outcome(kind, fault, seed, days)

    monkeypatch.setattr(command, "outcome", made)
    kept = tmp_path / "kept.jsonl"
    for _ in range(2):
        assert command.main(["--healthy", "1", "--each", "1", "--kept", str(kept)]) == 0
    assert len(asked) == len(kept.read_text("utf-8").splitlines()) == 17
    assert "healthy machine-year" in capsys.readouterr().out
