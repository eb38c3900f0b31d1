"""Headline, contradictions and next step of a whole case."""

from typing import Any

import pytest

from witnessmark.api.routes.case_parts import work
from witnessmark.casework import summary
from witnessmark.casework.danger import Danger, danger
from witnessmark.casework.orders import GOOD, UNPROVED, Order
from witnessmark.casework.summary import Step, contradictions
from witnessmark.casework.twofold import FAILED_OR_KEPT
from witnessmark.demo import cases
from witnessmark.language.catalogue import Language, translator
from witnessmark.restart.gate import TABLE

SAFETY = {"safety": [{"text": "Do not energise.", "cautions": ["lock-out"]}], "verdict": {"text": "Burnt."}}
GATE: dict[str, Any] = {
    "verdict": "do not start",
    "blocking": ["charge"],
    "checks": [
        {"check": "supply", "title": "Supply", "state": "passed", "evidence": [1], "measured": []},
        {"check": "charge", "title": "Charge weighed", "state": "missing", "evidence": [], "measured": []},
    ],
    "contradictions": ["core claimed, none fitted"],
}
PLAN: dict[str, Any] = {
    "severity": {"grade": 2, "name": "severe", "solids": "fines"},
    "steps": [{"text": "Lock it", "cautions": ["x"]}],
}
LOG = {"filter_log": {"verdict": "change now", "reasons": ["over the limit"]}}


def headline(done: dict[str, Any], failed: Any = ()) -> tuple[str, ...]:
    return summary.headline(done, danger({}, done), failed)


def next_step(done: dict[str, Any], cautions: dict[str, tuple[str, ...]]) -> Step | None:
    return summary.next_step(done, cautions, danger({}, done))


def test_headline_names_safety_first() -> None:
    lines = headline(
        {
            "diagnosis": SAFETY,
            "compression": {"verdict": "weak"},
            "cleanup": PLAN,
            "debris": {"statement": "Missing."},
            **LOG,
            "pressure_test": {"verdict": "tight"},
            "evacuation": {"decay": {"verdict": "leak"}},
            "restart": GATE,
        }
    )
    assert lines[0] == "Safety: Do not energise."
    assert lines[-1] == "Restart gate: do not start; 1 checks stand in the way."
    assert "Contamination: grade 2 (severe); loose solids: fines." in lines
    assert headline({}) == ()
    assert headline({"restart": {**GATE, "blocking": []}}) == ("Restart gate: do not start.",)


def test_contradictions_of_all_parts() -> None:
    found = contradictions(
        {
            "diagnosis": {"contradictions": [{"text": "a"}]},
            "note": {"contradictory": ["oil-burnt"]},
            "restart": GATE,
            "debris": {"verdict": "weights contradict each other", "statement": "b"},
            "superheat": {"verdict": "cannot both be right", "likely_reasons": ["air"]},
            "subcooling": {"verdict": "cannot tell", "likely_reasons": ["at a limit"]},
        }
    )
    assert [entry.part for entry in found] == ["diagnosis", "note", "restart", "debris", "superheat"]
    assert contradictions({}) == ()


def test_a_call_back_goes_before_all_else() -> None:
    step = next_step({"note": {"call_back": {"reason": "alarm"}}, "restart": GATE}, {"note": ("c",)})
    assert step is not None
    assert (step.part, step.cautions) == ("note", ("c",))


def test_the_step_nearest_to_power_goes_first() -> None:
    cautions = {"restart": ("live-measurement",), "diagnosis": ("hot-parts", "lock-out"), "cleanup": ("y",)}
    everything = {"restart": GATE, "diagnosis": SAFETY, "cleanup": PLAN, **LOG}
    step = next_step(everything, cautions)
    assert step is not None
    assert (step.part, step.text) == ("restart", "No power yet, since this is not proved: Charge weighed.")
    assert step.cautions == (*TABLE().checks["charge"].cautions, "lock-out", "live-measurement")
    idle = {**GATE, "checks": [GATE["checks"][1]]}
    step = next_step({**everything, "restart": idle}, cautions)
    assert step is not None
    assert (step.text, step.cautions) == ("Do not energise.", ("lock-out", "hot-parts"))
    step = next_step({"cleanup": PLAN, **LOG}, cautions)
    assert step is not None
    assert (step.part, step.text) == ("filter_log", "change now: over the limit")
    step = next_step({"cleanup": PLAN}, cautions)
    assert step is not None
    assert step.cautions == ("x", "lock-out", "never-defeat-protection", "y")


def test_otherwise_the_next_check_or_nothing() -> None:
    checks = {"next_checks": {"checks": [{"how": "Look.", "text": "Burnt? Look.", "cautions": []}]}}
    step = next_step({"diagnosis": checks}, {})
    assert step is not None
    assert step.text == "Burnt? Look."
    assert next_step({}, {}) is None
    step = next_step({"note": {"matches": []}}, {})
    assert step is not None
    assert step.text == summary.ASK
    assert next_step({"filter_log": {"verdict": "keep", "reasons": []}}, {}) is not None


def test_a_gate_that_is_open_says_what_to_do() -> None:
    step = next_step({"restart": {**GATE, "blocking": [], "verdict": "may start"}}, {})
    assert step is not None
    assert step.text == "may start: read what to watch."


def test_what_holds_for_every_answer_is_said_last() -> None:
    step = next_step({"diagnosis": SAFETY}, {"diagnosis": ("licensed", "hot-parts")})
    assert step is not None
    assert step.cautions == ("lock-out", "hot-parts", "licensed")


def test_every_safety_rule_stands_in_the_headline_once() -> None:
    both = {
        "diagnosis": {"safety": [{"text": "Leave.", "cautions": [], "because": ["people-unwell"]}]},
        "note": {
            "safety": [
                {"text": "Leave.", "cautions": [], "because": ["people-unwell"]},
                {"text": "Fire service.", "cautions": [], "because": ["smoke-seen"]},
            ]
        },
    }
    assert headline(both) == ("Safety: Leave.", "Safety: Fire service.")


def test_what_only_the_note_fires_is_the_next_step_too() -> None:
    note = {"note": {"safety": [{"text": "Fire service.", "cautions": ["toxic-smoke"], "because": ["smoke-seen"]}]}}
    step = next_step(note, {})
    assert step is not None
    assert (step.part, step.text) == ("note", "Fire service.")


def test_words_of_alarm_and_a_gate_that_could_not_be_judged_stand_in_the_headline() -> None:
    assert headline({"note": {"call_back": {"reason": "alarm"}}}, ["restart"]) == (
        "Call back before anything else: alarm.",
        "Restart gate: could not be judged: do not start.",
        "Not worked out, since something in the case cannot be used: restart.",
    )
    (several,) = headline({}, ["filter_log", "oil"])
    assert several == "Not worked out, since something in the case cannot be used: filter log; oil."
    assert translator("es")(several).endswith("registro del filtro; aceite.")


GAS = {"text": "Leave.", "cautions": ["out"], "because": ["refrigerant-smell"]}


def test_danger_to_people_goes_before_a_gate_that_was_begun() -> None:
    found = summary.next_step({"restart": GATE}, {}, Danger((GAS,), replaced=True, repaired=True))
    assert found is not None
    assert (found.part, found.text, found.cautions) == ("note", "Leave.", ("out",))


def test_after_the_repair_nothing_is_ordered_at_the_failed_machine() -> None:
    past = Danger(repaired=True, replaced=True)
    done = {
        "diagnosis": {**SAFETY, "next_checks": {"checks": [{"how": "Look.", "text": "Burnt? Look.", "cautions": []}]}},
        "cleanup": PLAN,
    }
    step = summary.next_step(done, {}, past)
    assert step is not None
    assert (step.part, step.text) == ("restart", summary.REPLACED)
    assert summary.headline(done, past)[0] == "Burnt."
    idle = {**GATE, "checks": [GATE["checks"][1]]}
    step = summary.next_step({**done, "restart": idle}, {}, past)
    assert step is not None
    assert step.text == "No power yet, since this is not proved: Charge weighed."
    out = Danger(repaired=True)
    step = summary.next_step(done, {}, out)
    assert step is not None
    assert step.text == "Lock it"
    step = summary.next_step({"diagnosis": done["diagnosis"]}, {}, out)
    assert step is not None
    assert (step.part, step.text) == ("restart", summary.SEEN_INSIDE)
    step = summary.next_step({"diagnosis": done["diagnosis"]}, {}, Danger(repaired=True, out=True))
    assert step is not None
    assert step.text == summary.OUT_OF_THE_CIRCUIT


@pytest.mark.parametrize("language", ["es", "pt"])
@pytest.mark.parametrize("text", [summary.SEEN_INSIDE, summary.OUT_OF_THE_CIRCUIT, FAILED_OR_KEPT])
def test_where_the_compressor_is_is_said_in_each_language(language: Language, text: str) -> None:
    assert translator(language)(text) != text


def test_readings_that_contradict_each_other_are_read_again_first() -> None:
    verdict = {"state": "contradictory-evidence", "text": "Measure again (both gauges)."}
    done = {"diagnosis": {"verdict": verdict, "next_checks": {"checks": [{"text": "Look.", "cautions": []}]}}}
    step = next_step(done, {"diagnosis": ("live-measurement",)})
    assert step is not None
    assert (step.text, step.cautions) == ("Measure again (both gauges).", summary.AT_A_LIVE_MACHINE)
    step = summary.next_step(done, {}, Danger(repaired=True, replaced=True))
    assert step is not None
    assert step.text == summary.REPLACED


def test_a_compressor_that_stands_in_the_machine_is_not_cut_open_to_look() -> None:
    inside = {"text": "Cut it open.", "cautions": ["cut-open-shell"], "needs": ["compressor-removed"]}
    outside = {"text": "Clamp a meter.", "cautions": [], "needs": []}
    step = next_step({"diagnosis": {"next_checks": {"checks": [inside, outside]}}}, {})
    assert step is not None
    assert step.text == "Clamp a meter."
    assert next_step({"diagnosis": {"next_checks": {"checks": [inside]}}}, {}) is None


def test_who_was_made_safe_is_not_asked_after_once_more() -> None:
    checks = [{"text": "Who is unwell?", "cautions": [], "finding": "people-unwell"}, {"text": "Look.", "cautions": []}]
    done = {"diagnosis": {"next_checks": {"checks": checks}}}
    told = [summary.next_step(done, {}, Danger(made_safe=safe)) for safe in (False, True)]
    assert [step.text for step in told if step] == ["Who is unwell?", "Look."]


def test_what_did_not_pass_goes_before_what_was_not_tried() -> None:
    leaks = {"outcome": "failed", "detail": "leaking: it climbs"}
    vacuum = {"check": "vacuum", "title": "Deep enough", "state": "failed", "evidence": [leaks], "measured": []}
    gate = {**GATE, "blocking": ["charge", "vacuum"], "checks": [*GATE["checks"], vacuum]}
    step = next_step({"restart": gate}, {})
    assert step is not None
    assert step.text == "No power, since this failed when it was tried: Deep enough. Leaking: it climbs."


def test_where_nothing_is_left_to_look_at_somebody_is_asked() -> None:
    done: dict[str, Any] = {"note": {"matches": []}, "diagnosis": {"verdict": {"state": "does-not-fit"}}}
    step = next_step(done, {})
    assert step is not None
    assert step.text == summary.ASK
    step = summary.next_step(done, {}, Danger(orders=(Order("oil", "Oil: x.", "Sample.", lead=False),)))
    assert step is not None
    assert step.text == "Sample."


def test_a_sound_compressor_is_left_alone() -> None:
    """Neither cut open nor its circuit opened: what is looked at stands around it."""
    verdict = {"state": "no-compressor-fault-likely", "text": "Look elsewhere."}
    oil = {"text": "Take oil.", "cautions": [], "opens_circuit": True}
    drier = {"text": "Open the drier.", "cautions": [], "needs": ["circuit-open"]}
    inside = {"text": "Cut it open.", "cautions": [], "needs": ["compressor-removed"]}
    contactor = {"text": "Contactor?", "cautions": []}
    for checks, text in (
        ([oil, drier, inside], summary.SOUND),
        ([oil, drier, inside, contactor], f"{summary.SOUND} Contactor?"),
    ):
        step = next_step({"note": {}, "diagnosis": {"verdict": verdict, "next_checks": {"checks": checks}}}, {})
        assert step is not None
        assert step.text == text


def test_a_machine_that_must_stop_leads_and_goes_before_the_gate() -> None:
    stop = Order("diagnosis", "Keep it off: it knocks.", "Keep it off: it knocks. Look.", ("lock-out",), urgent=True)
    found = Danger(orders=(stop,), of_the_gas=("toxic-refrigerant",))
    done = {"restart": GATE, "diagnosis": {"verdict": {"text": "Open."}}}
    assert summary.headline(done, found)[:2] == ("Keep it off: it knocks.", "Open.")
    step = summary.next_step(done, {"diagnosis": ("hot-parts",)}, found)
    assert step is not None
    assert (step.part, step.text) == ("diagnosis", "Keep it off: it knocks. Look.")
    assert step.cautions == ("toxic-refrigerant", "lock-out", *summary.ALWAYS[1:], "hot-parts")
    gas = Danger((GAS,), orders=(stop,))
    step = summary.next_step(done, {}, gas)
    assert step is not None
    assert step.text == "Leave."


def test_a_protection_bridged_by_the_repair_goes_before_the_gate() -> None:
    notice = {"text": "Remove the bridge.", "cautions": ["lock-out"], "because": ["protection-bridged"]}
    found = Danger((notice,), later=(notice,), replaced=True, repaired=True)
    step = summary.next_step({"restart": GATE}, {}, found)
    assert step is not None
    assert step.text == "Remove the bridge."
    assert summary.headline({"restart": GATE}, found)[0] == "Safety: Remove the bridge."


def test_bad_verdicts_stand_in_the_headline_and_are_the_next_step_where_nothing_else_is() -> None:
    lead, late = Order("supply", "Supply: outside.", "Find it."), Order("oil", "Oil: x.", "Sample.", lead=False)
    checks = {
        "diagnosis": {"verdict": {"text": "Open."}, "next_checks": {"checks": [{"text": "Look.", "cautions": []}]}}
    }
    found = Danger(orders=(lead, late))
    assert summary.headline(checks, found) == ("Supply: outside.", "Open.", "Oil: x.")
    step = summary.next_step(checks, {}, found)
    assert step is not None
    assert step.text == "Find it."
    for done, text in ((checks, "Look."), ({}, "Sample.")):
        step = summary.next_step(done, {}, Danger(orders=(late,)))
        assert step is not None
        assert step.text == text


def test_a_machine_in_order_after_its_repair_is_watched_and_nothing_of_before_leads() -> None:
    found = Danger(good=True)
    verdict: dict[str, Any] = {"text": "Backwards."}
    done: dict[str, Any] = {"diagnosis": {"verdict": verdict}, "compression": {"verdict": "not pumping"}}
    assert summary.headline(done, found) == (GOOD,)
    step = summary.next_step(done, {}, found)
    assert step is not None
    assert step.text == GOOD


def test_a_machine_that_runs_past_a_shut_gate_or_with_pieces_missing_is_no_closed_job() -> None:
    shut: dict[str, Any] = {"verdict": "do not start", "blocking": ["fragments"], "checks": []}
    told = summary.headline({"restart": shut}, Danger(good=True))
    assert told == (UNPROVED, "Restart gate: do not start; 1 checks stand in the way.")
    assert summary.headline({}, Danger(good=True), ("restart",))[0] == UNPROVED
    assert UNPROVED in summary.headline({}, Danger(good=True, standing=({"text": "Keep away."},)))
    assert UNPROVED in summary.headline({}, Danger(good=True, call_back={"reason": "a word that sounds like danger"}))
    step = summary.next_step({"debris": {"statement": "Less was recovered.", "verdict": "x"}}, {}, Danger(good=True))
    assert step is not None
    assert step.text == UNPROVED
    failed = summary.next_step({}, {}, Danger(good=True), ("restart",))
    assert failed is not None
    assert failed.text == UNPROVED


def test_a_machine_that_runs_with_its_proofs_open_is_stopped_before_they_are_asked_for() -> None:
    for found, done, begins in (
        (Danger(good=True, owed=True), {}, UNPROVED),
        (Danger(good=True, owed=True, replaced=True), {}, f"{UNPROVED} {summary.REPLACED}"),
        (Danger(good=True, owed=True), {"restart": GATE}, f"{UNPROVED} No power"),
        (Danger(good=True, standing=({"text": "Bridged.", "cautions": []},)), {"restart": GATE}, "Bridged."),
        (Danger(good=True, owed=True), {"restart": {**GATE, "blocking": []}}, GOOD),
    ):
        step = summary.next_step(done, {}, found)
        assert step is not None
        assert step.text.startswith(begins) or begins == GOOD
        assert (summary.headline(done, found)[0] == GOOD) is (begins == GOOD)


def test_a_compressor_without_defect_sends_to_what_is_around_it() -> None:
    verdict = {"state": "no-compressor-fault-likely", "text": "Sound."}
    checks = {"checks": [{"text": "Contactor?", "cautions": ["lock-out"]}]}
    done = {"diagnosis": {"verdict": verdict, "next_checks": checks}}
    step = summary.next_step(done, {}, Danger())
    assert step is not None
    assert (step.text, step.cautions) == (f"{summary.SOUND} Contactor?", ("lock-out", *summary.AT_A_LIVE_MACHINE))
    step = summary.next_step(done, {}, Danger(repaired=True))
    assert step is not None
    assert step.text == summary.SOUND


def test_what_samples_say_stands_behind_the_verdict() -> None:
    sample = Order("oil", "Oil: change oil and driers.", "Change it.")
    done = {"diagnosis": {"verdict": {"text": "Burnt."}}}
    assert summary.headline(done, Danger(orders=(sample,))) == ("Burnt.", "Oil: change oil and driers.")


def test_a_compressor_that_is_out_is_not_measured_again() -> None:
    done = {"diagnosis": {"verdict": {"state": "contradictory-evidence", "text": "Measure again."}}}
    assert [*summary.headline(done, Danger())] == ["Measure again."]
    assert [*summary.headline(done, Danger(repaired=True))] == [summary.UNSETTLED]


def test_the_plight_of_somebody_stands_before_all_else() -> None:
    note = {
        "rule": "electric-shock-felt",
        "text": "Nobody touches it.",
        "cautions": ["x"],
        "because": ["electric-shock"],
    }
    found = danger({"complaint": "my helper is stuck to the panel and trembling"}, {"note": {"safety": [note]}})
    lines = summary.headline({}, found)
    assert lines[0].startswith("Safety: Do not touch them")
    assert lines[1] == "Safety: Nobody touches it."
    step = summary.next_step({}, {}, found)
    assert step is not None
    assert step.text.startswith("Do not touch them")
    ended = danger(
        {
            "complaint": "my helper is stuck to the panel and trembling",
            "work_done": [{"text": "safe", "kind": "made-safe"}],
        },
        {"note": {"safety": [note]}},
    )
    assert not ended.first


@pytest.mark.parametrize("name", list(cases.names()))
def test_what_is_visible_fits_the_step(name: str) -> None:
    """The worst wrong answer: three cautions of other work, and the one of this step below the fold."""
    done = work(cases.everything()[name])
    step = summary.next_step(
        done.results, {part: tuple(c.id for c in a.cautions) for part, a in done.answers.items()}, done.danger
    )
    assert step is not None
    assert set(step.cautions[: summary.VISIBLE]) <= FITS[name], step


FITS = {
    "burnout-with-acid": {"lock-out", "capacitors-hold-charge", "never-defeat-protection"},
    "long-floodback": {"lock-out", "moving-parts", "never-defeat-protection"},
    "nothing-wrong": {"live-measurement", "moving-parts", "hot-parts"},
    "oil-held-in-a-riser": {"lock-out", "refrigerant-release", "burnout-oil-acid"},
    "slug-after-overcharge": {"flammable-refrigerant", "lock-out", "refrigerant-release"},
    "start-gear-failed": {"lock-out", "terminal-venting", "capacitors-hold-charge"},
}
"""By case what can hurt in its next step, told by hand: no live test at a strainer."""


def test_every_check_of_the_gate_has_cautions_of_its_own() -> None:
    assert not [key for key, check in TABLE().checks.items() if not check.cautions]


def test_fewer_than_three_are_filled_with_what_fits_every_step() -> None:
    assert summary._first(("moving-parts",), ("licensed", "no-oxygen")) == (  # noqa: SLF001 - the rule itself
        "moving-parts", "lock-out", "never-defeat-protection", "no-oxygen", "licensed"
    )  # fmt: skip
    assert summary._first((), ()) == summary.ALWAYS  # noqa: SLF001 - the rule itself
