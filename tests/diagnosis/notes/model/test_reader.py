"""What the learned reader hears: by weights made by hand, and by those that are shipped."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from tests.diagnosis.notes.model.test_network import made

from witnessmark.diagnosis.notes.model.linear import NGrams, quantised
from witnessmark.diagnosis.notes.model.network import RULES, Network
from witnessmark.diagnosis.notes.model.reader import (
    DANGER,
    NOTHING,
    Faintly,
    Heard,
    Model,
    Ruled,
    by_finding,
    chance,
    named_by_others,
    shares,
)
from witnessmark.diagnosis.notes.model.store import shipped
from witnessmark.diagnosis.notes.model.words import key, words

OUTCOMES = ("present", "absent", "low", "normal", "high", "history", NOTHING)


def table(weights: Mapping[str, Mapping[str, float]], columns: tuple[str, ...]) -> tuple[np.ndarray, np.ndarray]:
    names = sorted(weights, key=key)
    rows = [[weights[name].get(column, 0.0) for column in columns] for name in names]
    return np.array([key(name) for name in names], np.uint32), np.array(rows)


def model() -> Model:
    """Knows `ice` and `amps`, and `no`, `was` in front of them."""
    findings = ("coil-iced", "running-current")
    keys, weights = table({"w ice": {"coil-iced": 2.0}, "w amps": {"running-current": 2.0}}, findings)
    order_keys, order = table(
        {
            "F coil-iced": {},
            "L0:no": {"absent": 2.0, "present": -1.0},
            "Lfree:no": {"absent": 2.0},
            "L0:was": {"history": 4.0},
            "all:high": {"high": 3.0},
            "rule:absent": {"absent": 3.0},
        },
        OUTCOMES,
    )
    even = (0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.5, -0.5, 0.5, 0.5)
    return Model(
        findings=findings,
        valued=frozenset({"running-current"}),
        outcomes=OUTCOMES,
        grams=NGrams(keys, np.ones(2, np.float32), np.zeros(2, np.bool_)),
        mentions=quantised(weights, np.array([-1.0, -1.0])),
        order_keys=order_keys,
        order=quantised(order, np.array([0.1, 0.0, 0.1, 0.0, 0.0, 0.0, 9.0])),
        right=dict.fromkeys(OUTCOMES[:-1], even),
        spoken=even,
    )


def one(text: str, *ruled: Ruled) -> Heard:
    (heard,) = model().hear(text, ruled)
    return heard


def test_what_is_not_named_is_not_heard() -> None:
    assert model().hear("the door is shut") == []
    assert model().hear("") == []


def test_a_finding_is_told_as_the_words_around_it_say() -> None:
    assert one("ice").outcome == "present"
    assert one("no ice").outcome == "absent"
    assert one("was ice").outcome == "history"


def test_a_valued_finding_has_no_presence() -> None:
    assert one("amps high").outcome == "high"
    assert one("no amps").outcome == "low"


def test_the_words_that_decided_are_named() -> None:
    heard = one("there is no ice")
    assert heard.named == ((12, 15),)
    assert heard.told == ((9, 11),)
    assert one("ice").told == ()


def test_the_rules_are_heard_too() -> None:
    denied = Ruled("coil-iced", "absent", believed=True, start=0)
    assert one("ice", denied).outcome == "absent"
    assert one("ice", denied).score > one("ice").score
    assert one("door", denied).outcome == "absent", "named by the rules alone"


def test_what_the_rules_hear_elsewhere_or_believe_less_counts_less() -> None:
    assert one("ice", Ruled("coil-iced", "absent", believed=True, start=99)).outcome == "present"
    both = (
        Ruled("coil-iced", "absent", believed=True, start=0),
        Ruled("coil-iced", "present", believed=False, start=0),
    )
    assert one("ice", *both).outcome == "absent"
    assert Ruled("x", "absent", believed=False, start=0).rule == "faintly absent"


def test_words_of_other_findings_are_not_ones_own() -> None:
    faint = [Faintly("a", 1.0, (1, 2)), Faintly("b", 1.0, (2, 3)), Faintly("c", -0.7, (5,))]
    assert named_by_others(faint[0], faint) == {3}


def test_danger_in_general_parts_no_finding_from_its_words() -> None:
    faint = [Faintly("a", 1.0, (1, 2)), Faintly(DANGER, 1.0, (3,))]
    assert named_by_others(faint[0], faint) == frozenset()


def fearful() -> Model:
    """Knows the smell of gas as well; its curve of danger listens to the margin, to denial and to the rules."""
    whole = model()
    keys, weights = table({"w gas": {DANGER: 2.0}, "w ice": {"coil-iced": 2.0}}, (DANGER, "coil-iced"))
    told = [0.0, -2.0, *[0.0] * (len(OUTCOMES) - 2)]
    return replace(
        whole,
        findings=(DANGER, "coil-iced"),
        grams=NGrams(keys, np.ones(2, np.float32), np.zeros(2, np.bool_)),
        mentions=quantised(weights, np.array([-1.0, -1.0])),
        danger=(0.0, 3.0, *told, 2.0, -2.0, 1.0, 0.0, 0.0),
    )


def test_danger_has_a_score_of_its_own() -> None:
    scores = {text: one.score for text in ("gas", "no gas") for one in fearful().hear(text) if one.finding == DANGER}
    assert scores["gas"] > 0.8 > scores["no gas"]
    (heard,) = fearful().hear("gas", [Ruled(DANGER, "absent", believed=True, start=0)])
    assert heard.score < scores["gas"]
    (heard,) = fearful().hear("gas", [Ruled(DANGER, "doubt", believed=False, start=0)])
    assert heard.score > scores["gas"]


def test_danger_is_looked_at_earlier_than_a_finding() -> None:
    assert [one.finding for one in fearful().hear("door")] == [DANGER]


def test_danger_is_no_rival_of_a_finding() -> None:
    margins, _ = fearful().faintly(words("gas"), {})
    assert float(margins[0]) == -1.0


def test_of_what_the_rules_say_what_they_believe_and_what_is_there_counts() -> None:
    believed = [Ruled("a", outcome, believed=True, start=0) for outcome in ("present", "absent")]
    said = [*believed, Ruled("a", "history", believed=False, start=0)]
    assert by_finding(said) == by_finding(said[::-1]) == {"a": "present"}


def test_a_finding_may_be_asked_for() -> None:
    _, faint = model().faintly(words("door"), {}, ["running-current"])
    assert [one.finding for one in faint] == ["running-current"]


def listening(spoken: float, absent: float) -> Model:
    """Has a network that hears ice wherever words are, and says how surely it is told as absent."""
    weights = {**made(), "b": np.array([spoken, -9.0], np.float32)}
    weights["sb"][0, 1] = absent
    return replace(model(), network=Network(("ice",), "ca", weights))


def test_the_network_names_what_no_n_gram_does() -> None:
    assert listening(-9.0, 0.0).hear("door") == []
    (heard,) = listening(3.0, 0.0).hear("door")
    assert (heard.finding, heard.named) == ("coil-iced", ((0, 4),))


def test_the_network_says_how_surely_and_how_it_is_told() -> None:
    (faint,), (sure,), (denied,) = (listening(*said).hear("ice") for said in ((-3.0, 0.0), (3.0, 0.0), (3.0, 99.0)))
    assert faint.score < sure.score
    assert (sure.outcome, denied.outcome) == ("present", "absent")


def test_the_network_is_told_what_the_rules_say() -> None:
    whole = listening(-9.0, 0.0)
    assert whole.network is not None
    whole.network.weights["rm"][RULES.index("absent")] = 19.0
    denied = Ruled("coil-iced", "absent", believed=True, start=0)
    assert (
        one("ice", denied).score
        < whole.hear("ice", [denied, Ruled("unknown", "absent", believed=True, start=0)])[0].score
    )


def test_shares_of_states_that_cannot_be_are_the_least() -> None:
    """Three like margins, one of them barred: each of the others has half."""
    assert shares(np.zeros(3, np.float32), frozenset({1})) == pytest.approx((math.log(0.5), -6.0, math.log(0.5)))
    assert shares(np.array([0.0, -99.0], np.float32), frozenset())[1] == -6.0


def test_chance_is_a_logistic_curve() -> None:
    assert chance((0.0, 1.0), (1.0, 0.0)) == 0.5
    assert chance((3.0,), (1.0,)) == pytest.approx(0.9526, abs=1e-4)


SAID = [
    ("oil came out black and stinks burnt", "oil-burnt", "present"),
    ("no smoke anywhere", "smoke-seen", "absent"),
    ("compressor locked up solid, cannot turn the shaft by hand", "shaft-seized", "present"),
    ("el aceite salió negro y huele a quemado", "oil-burnt", "present"),
    ("filtro de aire tapado, casi no pasa aire", "airflow-low", "present"),
]


@pytest.mark.parametrize(("text", "finding", "state"), SAID)
def test_the_shipped_reader_hears(text: str, finding: str, state: str) -> None:
    best = max(shipped().hear(text), key=lambda heard: heard.score)
    assert (best.finding, best.outcome) == (finding, state)


def test_the_same_text_is_heard_the_same() -> None:
    text = "not cooling breaker trips every time, megged fine"
    assert shipped().hear(text) == shipped().hear(text)


def test_scores_are_shares() -> None:
    heard = [one for text, *_ in SAID for one in shipped().hear(text)]
    assert all(0 <= one.score <= 1 and 0 <= one.spoken <= 1 for one in heard)


HOSTILE = (
    "a " * 10_000,
    "x" * 20_000,
    "½ⅷ" * 10_000,
    "no oil, " * 2_500,
    "1.2.3." * 3_333,
    "\n" * 20_000,
    "not" * 6_666,
)


@pytest.mark.parametrize("text", HOSTILE, ids=[text[:6].strip() for text in HOSTILE])
def test_no_text_takes_more_than_its_share(text: str) -> None:
    """20,000 characters: four times the text takes less than ten times as long, so no pattern of words is quadratic."""
    assert fastest(text) < 10 * max(fastest(text[: len(text) // 4]), 1e-3)


def test_time_grows_with_the_text_and_no_faster() -> None:
    """Four times the text takes less than eight times as long."""
    text = "oil black and burnt, breaker trips at once. magnet clean, no frost. "
    assert fastest(text * 80) < 8 * fastest(text * 20)


def fastest(text: str) -> float:
    times = []
    for _ in range(3):
        start = time.process_time()
        shipped().hear(text)
        times.append(time.process_time() - start)
    return min(times)
