"""The cases written blind: what is sealed is whole, and the counting is right on made-up rows; nothing is scored."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.evaluation.described import blind
from tests.evaluation.described.blind import FURTHER, GROUPS, LATER, LATER_GROUPS, LATER_SECOND, SECOND, rows
from tests.evaluation.described.described import HERE, LAYERS, Layer, Row
from tests.evaluation.described.described import rows as first_set
from tests.evaluation.described.totals import FURTHER as FURTHER_TOTALS
from tests.evaluation.described.totals import LATER as TOTALS
from tests.evaluation.described.totals import read
from tests.evaluation.vacuum.score import Share
from witnessmark.api.schemas.diagnosis import DiagnosisRequest
from witnessmark.diagnosis.catalogue.knowledge import knowledge


def row(*findings: tuple[str, str], mode: tuple[str, ...] = (), cause: tuple[str, ...] = (), **beside: object) -> Row:
    """A made-up one."""
    told = [{"finding": finding, "state": state} for finding, state in findings]
    taken = {"machine": {"compressor": "scroll", "phases": "three-phase"}, "findings": told}
    return {"input": taken, "mode": [*mode], "cause": [*cause], "kind": "constructed", "sure": True} | beside


def test_what_is_sealed_is_whole() -> None:
    """Only totals: a failure must not print a case."""
    kinds = [one["kind"] for one in rows()]
    assert (len(kinds), kinds.count("constructed"), kinds.count("published")) == (147, 110, 37)
    ids = {one["id"] for one in rows()}
    whole = len(ids) == len(kinds) and not ids & {one["id"] for one in first_set()}
    assert whole
    known = {"mode": knowledge().modes, "cause": knowledge().causes}
    assert sum(key not in known[layer] for one in rows() for layer in LAYERS for key in one[layer]) == 0
    assert all(bool(DiagnosisRequest.model_validate_json(blind.asked(one))) for one in rows())


def test_what_was_changed_is_refused(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path_factory.mktemp("sealed")
    name, seal = SECOND
    (folder / f"{name}.jsonl.xz").write_bytes((HERE / f"{name}.jsonl.xz").read_bytes())
    (folder / f"{seal}.sha256").write_text("0" * 64, "ascii")
    monkeypatch.setattr(blind, "HERE", folder)
    with pytest.raises(ValueError, match="not those that were sealed"):
        blind.rows.__wrapped__(*SECOND)


def test_every_published_case_has_its_line_among_the_sources() -> None:
    text = (HERE / "SOURCES.md").read_text("utf-8").partition("written blind")[2].partition("in a further search")[0]
    lines = {line.partition(" ")[2].partition(" ")[0] for line in text.splitlines() if line.startswith("- ")}
    same = lines == {one["id"] for one in rows() if one["kind"] == "published"}
    assert same
    taught = sum(any(words in line for words in blind.NOT_ONE_EVENT) for line in text.splitlines())
    assert taught == sum(blind.taught(one) for one in rows() if one["kind"] == "published")


def test_what_is_kept_counts_the_cases_that_are_sealed() -> None:
    kept = read().releases[-1]
    for name, chosen in GROUPS.items():
        group = [one for one in rows() if chosen(one)]
        assert kept.cases[name] == len(group)
        for layer in LAYERS:
            asked = {hit.asked for hit in kept.hits if (hit.group, hit.layer) == (name, layer)}
            assert asked == {sum(bool(one[layer]) for one in group)}
        assert kept.cases[name] == sum(
            sum((*r.faulty.values(), *r.sound.values())) for r in kept.rates if r.group == name
        )
    assert sum(one.cases for one in kept.told) == len(rows())
    assert all(hit.first <= hit.among_three <= hit.asked for hit in kept.hits)
    for hit in (hit for hit in kept.hits if hit.group.startswith("all") and not hit.who.startswith("always")):
        kinds = [hit.group.replace("all", kind) for kind in ("constructed", "published")]
        if "label" in hit.group:
            continue
        parts = [kept.hit(group, hit.who, hit.layer) for group in kinds]
        assert hit.asked == sum(p.asked for p in parts)
        assert (hit.first, hit.among_three) == (sum(p.first for p in parts), sum(p.among_three for p in parts))


def test_the_second_labeller_saw_every_fifth() -> None:
    ids = {one["id"] for one in rows()}
    inside = {one["id"] for one in rows(*SECOND)} <= ids
    assert inside
    assert len(rows(*SECOND)) == -(-len(ids) // 5)


def test_a_second_reader_encoded_some_of_those_found_later() -> None:
    """Only totals."""
    first, second = {one["id"] for one in rows(*LATER)}, [one["id"] for one in rows(*LATER_SECOND)]
    assert len(second) == len(set(second)) == 23
    assert len(first.intersection(second)) == 23
    both, one, two = blind.shared_findings(rows(*LATER), rows(*LATER_SECOND))
    assert 0 < both <= min(one, two)


def test_findings_that_both_report() -> None:
    """The first reports two of the three, the second two, one is the same; what is denied is not reported."""
    first = row(("oil-burnt", "present"), ("suction-pressure", "low"), ("acid-test-positive", "absent"), id="a")
    second = {
        "id": "a",
        "findings": [{"finding": "oil-burnt", "state": "present"}, {"finding": "knock", "state": "present"}],
    }
    assert blind.shared_findings([first, row(("knock", "present"), id="b")], [second]) == (1, 2, 2)


def test_what_the_label_says_of_the_compressor() -> None:
    assert blind.truth(row(mode=("seized",), cause=("no-oil",))) == "a compressor fault"
    assert blind.truth(row(cause=("undercharge",))) == "a sound compressor, the fault elsewhere"
    assert blind.truth(row()) == "nothing wrong"


def test_a_finding_that_is_the_answer_gives_it_away() -> None:
    """A weighed short charge is an undercharge; low suction pressure is only one of its signs."""
    weighed = row(("charge-short", "present"), cause=("undercharge",), mode=("overheating",))
    assert blind.given_away(weighed, "cause")
    assert not blind.given_away(weighed, "mode")
    assert not blind.given_away(row(("charge-short", "absent"), cause=("undercharge",)), "cause")
    assert not blind.given_away(row(("charge-short", "present"), cause=("low-airflow",)), "cause")
    signs = row(("suction-pressure", "low"), cause=("undercharge",))
    assert not blind.given_away(signs, "cause")
    counted = {hit.layer: hit.asked for hit in blind.hits([weighed, signs], "all", hidden=True)}
    assert counted == {"mode": 1, "cause": 1}


def test_one_of_the_named_ones_among_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three cases that name a mode: one is first, one is third, one is fourth; who names none is not asked."""
    told = [row(mode=("a", "z")), row(mode=("c",)), row(mode=("d",)), row()]
    orders = {"the answer": "abcd", "nobody": "zyxw"}
    monkeypatch.setattr(blind, "rankings", lambda _rows: {who: lambda _r, _l, o=o: o for who, o in orders.items()})
    found = {(hit.who, hit.layer): (hit.asked, hit.first, hit.among_three) for hit in blind.hits(told, "all")}
    assert found["the answer", "mode"] == (3, 1, 2)
    assert found["nobody", "mode"] == (3, 1, 1)
    assert found["the answer", "cause"] == (0, 0, 0)


def test_the_commonest_knows_the_mix_of_the_group_alone() -> None:
    told = [row(mode=("a", "b")), row(mode=("b",)), row(mode=("b", "c"), cause=("k",)), row()]
    ranking = blind.commonest(told)
    assert ranking(row(), "mode")[0] == "b"
    assert list(ranking(row(), "cause")) == ["k"]


@pytest.mark.parametrize("layer", LAYERS)
def test_naive_bayes_without_evidence_is_the_machine_alone(layer: Layer) -> None:
    """And with what was found it is not; the machine alone is deaf to findings."""
    heard = row(("oil-burnt", "present"), ("acid-test-positive", "present"))
    if layer == "mode":
        assert [*blind.naive(row(), layer)][:5] == [*blind.machine_alone(row(), layer)][:5]
    assert blind.machine_alone(heard, layer) == blind.machine_alone(row(), layer)
    assert [*blind.naive(heard, layer)][:5] != [*blind.naive(row(), layer)][:5]


def test_naive_bayes_says_of_one_finding_what_the_network_says() -> None:
    one = row(("oil-burnt", "present"))
    assert blind.naive(one, "mode")[0] == blind.service(one, "mode")[0]


def verdicts(monkeypatch: pytest.MonkeyPatch, state: str, leading: tuple[str, ...], *, stop: bool) -> None:
    """Have the service answer so."""
    monkeypatch.setattr(blind, "answered", lambda _: {"verdict": {"state": state, "leading": leading}})
    operation = {"operation": {"advice": "stop" if stop else "unknown"}}
    monkeypatch.setattr(blind, "dispatched", lambda _: operation)


@pytest.mark.parametrize(
    ("state", "leading", "mode", "rate"),
    [
        ("diagnosed", ("a", "b"), ("a",), "correct"),
        ("leading-candidates", ("b", "a"), ("a",), "misdiagnosis"),
        ("leading-candidates", ("a",), (), "false alarm"),
        ("no-compressor-fault-likely", (), ("a",), "missed"),
        ("no-compressor-fault-likely", (), (), "correct"),
        ("not-enough-evidence", ("a",), ("a",), "no response"),
        ("does-not-fit", ("a",), (), "no response"),
    ],
)
def test_the_five_rates_of_a_verdict(
    monkeypatch: pytest.MonkeyPatch, state: str, leading: tuple[str, ...], mode: tuple[str, ...], rate: str
) -> None:
    verdicts(monkeypatch, state, leading, stop=False)
    assert blind.five_rate(row(mode=mode)) == rate
    found = blind.rates([row(mode=mode)], "all")
    assert (found.faulty if mode else found.sound) == {rate: 1}


def test_verdicts_and_stop_orders_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    verdicts(monkeypatch, "not-enough-evidence", (), stop=True)
    (sound, faulty) = sorted(blind.told([row(), row(), row(mode=("a",))]), key=lambda one: -one.cases)
    assert (sound.truth, sound.cases, sound.stopped) == ("nothing wrong", 2, 2)
    assert (faulty.truth, faulty.verdict, faulty.cases) == ("a compressor fault", "not-enough-evidence", 1)


def test_agreement_of_two_labellers_by_hand() -> None:
    """Modes: same; accepted one way only; neither; both none. Causes: one names none."""
    first = [
        row(mode=("a",), cause=("k",), id="1"),
        row(mode=("a", "b"), id="2"),
        row(mode=("a",), id="3"),
        row(id="4"),
        row(id="5"),
    ]
    second = [row(mode=("a",), id="1"), row(mode=("b",), id="2"), row(mode=("c",), id="3"), row(id="4")]
    found = blind.agreement(first, second)
    assert found["mode"] == (Share(2, 4), Share(3, 4))
    assert found["cause"] == (Share(3, 4), Share(3, 4))


def test_the_published_ones_found_later_are_whole() -> None:
    """Only totals: a failure must not print a case."""
    later = rows(*LATER)
    ids = {one["id"] for one in later}
    others = {one["id"] for one in (*rows(), *first_set())}
    whole = len(ids) == len(later) == 61 and not ids & others
    assert whole
    known = {"mode": knowledge().modes, "cause": knowledge().causes}
    assert sum(key not in known[layer] for one in later for layer in LAYERS for key in one[layer]) == 0
    assert all(bool(DiagnosisRequest.model_validate_json(blind.asked(one))) for one in later)
    text = (HERE / "SOURCES.md").read_text("utf-8").partition("found in a further search")[2]
    text = text.partition("found in a third search")[0]
    lines = {line.partition(" ")[2].partition(" ")[0] for line in text.splitlines() if line.startswith("- ")}
    same = lines == ids
    assert same


@pytest.mark.parametrize(("totals", "sealed"), [(TOTALS, LATER), (FURTHER_TOTALS, FURTHER)])
def test_what_is_kept_of_them_counts_them(totals: Path, sealed: tuple[str, str]) -> None:
    kept, later = read(totals).releases[-1], rows(*sealed)
    for name, chosen in LATER_GROUPS.items():
        group = [one for one in later if chosen(one)]
        assert kept.cases[name] == len(group)
        for layer in LAYERS:
            asked = {hit.asked for hit in kept.hits if (hit.group, hit.layer) == (name, layer)}
            assert asked == {sum(bool(one[layer]) for one in group)}
    assert sum(one.cases for one in kept.told) == len(later)
    assert all(hit.first <= hit.among_three <= hit.asked for hit in kept.hits)


def test_the_published_ones_found_last_are_whole() -> None:
    """Only totals: a failure must not print a case."""
    last = rows(*FURTHER)
    ids = {one["id"] for one in last}
    others = {one["id"] for one in (*rows(*LATER), *rows(), *first_set())}
    whole = len(ids) == len(last) == 17 and not ids & others
    assert whole
    known = {"mode": knowledge().modes, "cause": knowledge().causes}
    assert sum(key not in known[layer] for one in last for layer in LAYERS for key in one[layer]) == 0
    assert all(bool(DiagnosisRequest.model_validate_json(blind.asked(one))) for one in last)
    given_away = sum(blind.given_away(one, layer) for one in last for layer in LAYERS)
    assert given_away == 0
    text = (HERE / "SOURCES.md").read_text("utf-8").partition("found in a third search")[2]
    lines = {line.partition(" ")[2].partition(" ")[0] for line in text.splitlines() if line.startswith("- ")}
    same = lines == ids
    assert same
    taught = sum(any(words in line for words in blind.NOT_ONE_EVENT) for line in text.splitlines())
    assert taught == sum(blind.taught(one) for one in last)
