"""The page in the repository has every gate and belongs to the knowledge as it is."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.evaluation.__main__ import main
from tests.evaluation.described import agreement
from tests.evaluation.gates import CRITERIA, Gate, calibrated, gates
from tests.evaluation.kept import DECIDES, NO_WORDS
from tests.evaluation.measures import CASES, Apart, Measured, Notes, Rooftop, asked, blind_scores
from tests.evaluation.page import (
    CASES_PICTURE,
    DIFFERENT_PICTURE,
    OWN_PICTURE,
    PAGE,
    SIMULATED,
    aged,
    pictures,
    render,
    section,
    with_runs,
    with_times,
)
from witnessmark import __version__, data
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.estimates import share
from witnessmark.diagnosis.evaluation.outcomes import Outcome, Sample, Trials, by_bin
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, Sizes
from witnessmark.diagnosis.review.case_set import Scores, read_cases

PROTOCOL = (
    ("engine against plain enumeration", "≤ 1.0e-09"),
    ("engine against a general library", "≤ 1.0e-09"),
    ("same input, same bytes", "yes"),
    ("own model, 5-9 findings: calibration error of modes", "≤ 0.0150, skill > 0"),
    ("own model, 5-9 findings: calibration error of causes", "≤ 0.0100, skill > 0"),
    ("own model, 10-19 findings: calibration error of modes", "≤ 0.0150, skill > 0"),
    ("own model, 10-19 findings: calibration error of causes", "≤ 0.0100, skill > 0"),
    ("own model, 25-39 findings: calibration error of modes", "≤ 0.0150, skill > 0"),
    ("own model, 25-39 findings: calibration error of causes", "≤ 0.0100, skill > 0"),
    ("own model, all bands and channels: modes claimed with 0.9 or more are right", "≥ 92.0%"),
    ("every log-odds shifted, sd 1.0", "≤ 0.0300, skill > 0"),
    ("biased reporting, job notes", "≤ 0.0200, skill > 0"),
    ("biased reporting, field forms", "≤ 0.0200, skill > 0"),
    ("biased reporting, teardown sheets", "≤ 0.0200, skill > 0"),
    ("5 % of the reports wrong", "≤ 0.0150, skill > 0"),
    ("an unmodelled mode: called unfit", "≥ 25.0%; ≤ 10.0%"),
    ("an unmodelled mode: a wrong mode at 0.95 or more", "≤ 6.0%"),
    ("a different model: worst bin of ten, modes", "≤ 0.100"),
    ("a different model: worst bin of ten, causes", "≤ 0.100"),
    ("next checks against hazards and prerequisites", "0"),
    ("next checks ahead of random ones, same minutes: right", "> 0.10"),
    ("next checks ahead of random ones, same minutes: claimed", "> 0"),
    ("published descriptions: an expected mode leads", "≥ 0.85"),
    ("published descriptions: an expected mode among three", "≥ 0.95"),
    ("all descriptions: an expected mode leads", "≥ 0.85"),
    ("all descriptions: an expected mode among three", "≥ 0.95"),
    ("two causes, both among the first four", "≥ 0.75"),
    ("out of scope, not diagnosed", "≥ 0.90"),
    ("safety rules that must fire, fired", "≥ 1.00"),
    ("rooftop data: the condenser acted on where it is 58 % blocked; any cause where it is clean", "≥ 50%; ≤ 25%"),
    (
        "rooftop data, against a sound day: the condenser acted on where it is 28 % blocked; any other cause",
        "≥ 10%; ≤ 25%",
    ),
    ("ranking, 8 findings", "≤ 5.0 ms"),
    ("ranking, 25 findings", "≤ 15.0 ms"),
)
"""The gates of the evaluation protocol and of the issue, written down a second time so that none is lost or moved."""


DESCRIBED = ("top_1", "top_3", "both_causes", "not_diagnosed", "safety")


@cache
def rows() -> list[list[str]]:
    """The cells of the gate table in the repository."""
    table = PAGE.read_text("utf-8").split("## Gates", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in table.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("| ---")][1:]


def test_the_page_has_every_gate_with_its_bound() -> None:
    """After a change of knowledge or engine run `python -m tests.evaluation`."""
    for name, bound in PROTOCOL:
        (row,) = [row for row in rows() if row[0].startswith(name)]
        assert row[1] == bound
    assert len(rows()) == len(PROTOCOL)


def test_every_gate_of_the_page_says_how_it_stands_and_none_is_passed_by_what_knows_nothing() -> None:
    for name, _, _, seeds, blind, standing in rows():
        assert standing in ("held", "**not held**", "not measured"), name
        assert blind == "-" or blind.endswith(": fails"), name
        if re.fullmatch(r"\d+ of \d+", seeds) and standing == "held":
            assert len(set(seeds.split(" of "))) == 1, name


def test_the_page_says_what_of_it_is_older_than_the_present_knowledge() -> None:
    """`python -m tests.evaluation --age` writes the notice, `--quick` and `make evaluation` measure anew."""
    page = PAGE.read_text("utf-8")
    assert f"Service {__version__}. " in page
    assert len(re.findall("digest of the data that decide a diagnosis: `[0-9a-f]+`", page)) == 2
    assert aged(page) == page


def test_the_described_cases_are_the_present_ones_or_the_page_says_that_they_are_older() -> None:
    page, described = PAGE.read_text("utf-8"), read_cases(CASES)
    table = agreement.by_kind(agreement.answered(described, knowledge()))
    older = "What is not simulated on this page was measured on earlier" in page or "Everything on this page" in page
    assert older or table in page


@pytest.mark.parametrize(
    ("digests", "says"),
    [
        (("a1", "a1"), "Everything on this page was measured on earlier"),
        (("a1", ""), "What is simulated on this page was measured on earlier"),
        (("", "a1"), "What is not simulated on this page was measured on earlier"),
        (("", ""), ""),
    ],
)
def test_a_part_of_earlier_knowledge_is_called_so_and_once(digests: tuple[str, str], says: str) -> None:
    now = (data.version(NO_WORDS), data.version(DECIDES))
    told = (digest or present for digest, present in zip(digests, now, strict=True))
    lines = (f"digest of the data that decide a diagnosis: `{digest}`." for digest in told)
    page = aged("# Title\n\n" + "\n\nEverything else: ".join(lines) + "\n")
    assert page.count("earlier") == bool(says)
    assert says in page
    assert aged(page) == page
    runs, rest = page.split("Everything else: ")
    assert (
        aged(f"{runs.replace('`a1`.', f'`{now[0]}`.')}Everything else: {rest.replace('a1', now[1])}").count("earlier")
        == 0
    )


def test_the_page_carries_its_command_and_its_sizes() -> None:
    text = PAGE.read_text("utf-8")
    seeds = re.search(r"`python -m tests.evaluation [\d ]+--seeds (\d+)`", text)
    assert seeds is not None
    usual = Sizes(seeds=int(seeds[1]))  # each run of the usual size; the page says how many there were
    assert usual.seeds >= 1
    assert f"`python -m tests.evaluation {usual.text}`" in text
    assert f"(runs of different seeds: {usual.seeds})" in text
    for name, experiment in EXPERIMENTS.items():
        assert f"| {name} | {usual.seeds * (usual.cases // experiment.part)} |" in text
    assert not re.search(r"20\d\d-\d\d-\d\d", text)


def scored(reached: float) -> Scores:
    """Scores that are all alike."""
    r = reached
    return Scores(10, r, r, r, r, r, r, r, r, r, r, r, ((0.5, r, 10),))


CASE_COUNT = 200


def outcome(*, good: bool, unfit: float) -> Outcome:
    """Cases that are all alike, twenty claims in each bin, true as often as claimed; or the other way round."""
    """Claims of the answer; the priors claim a half of everything, naive Bayes and the commonest the same."""
    claimed = np.linspace(0.05, 0.95, 10).repeat(20)
    number = np.tile((np.arange(20) + 0.5) / 20, 10)
    claims = np.stack([by_bin(claimed, (number < (claimed if good else 1 - claimed)).astype(float))] * CASE_COUNT)
    before = np.stack([by_bin(np.full(200, 0.5), np.repeat([0.0, 1.0], 100))] * CASE_COUNT)
    wrong, always = np.full(CASE_COUNT, 0.0 if good else 1.0), np.ones(CASE_COUNT)
    alarms = (np.arange(CASE_COUNT) < unfit * CASE_COUNT).astype(float)
    by = (claims, claims, *(before,) * 6)
    return Outcome(*by, wrong, always, always, alarms, wrong, always, 0 * always)


def sample(*, good: bool) -> Sample:
    """Simulated machines that hold every gate, or none."""
    outcomes = {name: outcome(good=good, unfit=0.02) for name in EXPERIMENTS}
    outcomes["an unmodelled mode turns 6 of 14 findings"] = outcome(good=good, unfit=0.5)
    if not good:
        outcomes["own knowledge, 14 findings"] = outcome(good=good, unfit=0.5)
    right = np.ones((100, 2))
    return Sample(outcomes, Trials(right if good else 0 * right, 0 * right, 0 * right), 0 if good else 3, 5, 100)


def made(*, good: bool) -> Measured:
    """Measurements that hold every gate, or none."""
    reached = 1.0 if good else 0.0
    return Measured(
        samples=[sample(good=good)] * 2,
        scores=dict.fromkeys(("all", "published"), scored(reached)),
        blind_scores=dict.fromkeys(("all", "published"), scored(0.2)),
        asked=dict.fromkeys(("all", "published"), dict.fromkeys(DESCRIBED, 40)),
        described="described",
        units="units",
        notes={"held-out": Notes(np.array([[0.9, 0.1, 0.1]] * 10))},
        rooftop=Rooftop(
            heavy=share(round(100 * reached), 100),
            alarm=share(round(100 * (1 - reached)), 100),
            light=share(round(100 * reached), 100),
            other=share(round(100 * (1 - reached)), 100),
        ),
        enumeration=Apart(1e-15 if good else 1e-6, 0.3),
        library=Apart(1e-15 if good else 1e-6, 0.3),
        same=good,
        speed={8: 2.0, 25: 5.0} if good else {8: 6.0, 25: 16.0},
    )


def test_a_share_of_described_cases_says_of_how_many_with_its_interval() -> None:
    """38 of 40 by Wilson: 0.835 to 0.986."""
    found = replace(made(good=True), scores=dict.fromkeys(("all", "published"), scored(0.95)))
    (gate,) = [one for one in gates(found) if one.name == "out of scope, not diagnosed"]
    assert gate.measured == "0.95 (0.83 to 0.99) of 40"
    assert gate.held


def test_what_is_asked_of_the_described_cases_is_counted() -> None:
    counted = asked(read_cases(CASES))
    assert counted["published"]["top_1"] == 40
    for name in DESCRIBED:
        assert counted["all"][name] == counted["published"][name] + counted["constructed"][name]
        assert 0 < counted["all"][name] <= 144


@cache
def rendered(*, good: bool) -> str:
    """The page of made-up measurements."""
    return render(made(good=good), "some command")


@pytest.mark.parametrize("good", [True, False])
def test_every_gate_can_hold_and_can_fail(good: bool) -> None:  # noqa: FBT001 - a table's parameter
    judged: tuple[Gate, ...] = gates(made(good=good))
    assert [gate.name for gate in judged if gate.held is not good] == []
    assert len(judged) == len(PROTOCOL)
    assert [gate.name for gate in judged if gate.blind and gate.blind.held] == []
    assert {gate.seeds for gate in judged} == {"2 of 2" if good else "0 of 2", "together", ""}


def test_a_gate_for_each_seed_is_lost_by_one_seed() -> None:
    """One run in ten fails: together they would still hold."""
    mixed = replace(made(good=True), samples=[*[sample(good=True)] * 9, replace(sample(good=True), broken=1)])
    lost = [gate for gate in gates(mixed) if not gate.held]
    assert [(gate.name, gate.seeds) for gate in lost] == [("next checks against hazards and prerequisites", "9 of 10")]


def test_the_unfavourable_end_of_the_interval_is_asked() -> None:
    """Claims that are right in the mean: many cases show it, few could as well come from worse ones."""
    criterion, scenario = calibrated("a name", "a scenario", "modes", 0.01), sample(good=True)
    true = np.random.default_rng(1).random((4000, 10)) < 0.05
    claims = np.stack([by_bin(np.full(10, 0.05), row.astype(float)) for row in true])
    for cases, held in ((4000, True), (40, False)):
        whole = replace(outcome(good=True, unfit=0.0), modes=claims[:cases], modes_priors=claims[:cases] + 1)
        assert criterion.judge(replace(scenario, outcomes={"a scenario": whole}), False).held is held  # noqa: FBT003


def test_who_sees_no_finding_scores_badly() -> None:
    blind = blind_scores(read_cases(CASES), knowledge())["all"]
    assert (blind.not_diagnosed, blind.safety) == (0.0, 0.0)
    assert blind.top_1 < 0.3


def test_data_that_are_not_here_are_not_measured() -> None:
    judged = gates(replace(made(good=True), rooftop=None))
    assert [gate.held for gate in judged].count(None) == 2


def test_the_page_of_made_up_measurements() -> None:
    text = rendered(good=False)
    assert text.count("**not held**") == len(PROTOCOL)
    assert "**passes**" not in text
    assert "`some command`" in text
    assert "| held-out | 10 | 0.90 (0.90 to 0.90) of 10 | 0.90 (0.90 to 0.90) of 10 |" in text


def test_without_runs_the_simulated_parts_stay_as_they_were() -> None:
    """Their figures, their gates and their digest; everything else is the new one."""
    old = rendered(good=True).replace(data.version(NO_WORDS), "0123456789", 1)
    new = render(replace(made(good=False), samples=()), "another command", old)
    assert "**What is simulated on this page was measured on earlier" in new
    assert "digest of the data that decide a diagnosis: `0123456789`" in new
    assert "`some command`" in new
    for criterion in CRITERIA:
        (row,) = [line for line in new.splitlines() if line.startswith(f"| {criterion.name} |")]
        assert row in old
        assert row.endswith("| held |")
    for heading in SIMULATED:
        assert section(new, heading) == section(old, heading)
    assert "| ranking, 8 findings: median | ≤ 5.0 ms | 6.0 ms | - | - | **not held** |" in new
    assert len([line for line in new.splitlines() if line.endswith(" held |")]) == len(CRITERIA)


def test_runs_alone_can_be_put_on_the_page() -> None:
    """As if all had been measured with them: the times are those of the page."""
    old = rendered(good=True).replace(data.version(DECIDES), "0123456789")
    other = replace(made(good=True), samples=[sample(good=False)] * 2)
    new = with_runs(old, other.samples, "another command")
    assert "What is not simulated on this page was measured on earlier" in new
    assert "(runs of different seeds: 2)" in new
    whole = render(other, "another command")
    assert aged(new.replace("0123456789", data.version(DECIDES))) == whole


def test_a_page_that_lacks_a_part_cannot_be_measured_by_halves() -> None:
    half = replace(made(good=True), samples=())
    with pytest.raises(ValueError, match="measure everything"):
        render(half, "a command", "# Title\n")
    gates_only = rendered(good=True).replace("## Next checks", "## Something else")
    with pytest.raises(ValueError, match="no section Next checks"):
        render(half, "a command", gates_only)


def test_pictures_of_simulated_machines_only_where_there_are_runs() -> None:
    assert set(pictures(made(good=True))) == {OWN_PICTURE, DIFFERENT_PICTURE, CASES_PICTURE}
    assert set(pictures(replace(made(good=True), samples=()))) == {CASES_PICTURE}


def test_times_alone_can_be_measured_anew() -> None:
    slow, fast = rendered(good=False), {8: 2.0, 25: 5.0}
    again = with_times(slow, fast)
    assert "| ranking, 8 findings: median | ≤ 5.0 ms | 2.0 ms | - | - | held |" in again
    changed = [a for a, b in zip(slow.splitlines(), again.splitlines(), strict=True) if a != b]
    assert len(changed) == 2
    assert all(line.startswith("| ranking, ") for line in changed)


def test_the_help_teaches(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    printed = capsys.readouterr().out
    assert "--times" in printed
    assert "docs/EVALUATION.md" in printed
