"""What is wrong with knowledge as a whole is found, each kind by one broken copy."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.catalogue.action_rows import ModeAtLeast
from witnessmark.diagnosis.catalogue.checks import faults
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.rows import Knowledge


def link(knowledge: Knowledge, **changes: object) -> Knowledge:
    changed = knowledge.mode_finding[0].model_copy(update=changes)
    return replace(knowledge, mode_finding=(changed, *knowledge.mode_finding[1:]))


def test_sound_knowledge_has_no_faults(small: Knowledge, shipped: Knowledge) -> None:
    assert faults(small) == []
    assert faults(shipped) == []


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"probability": 0.05}, "does not exceed the background"),
        ({"probability": 0.08}, "does not exceed the background"),
        ({"probability": 0.93}, "leaves no room"),
        ({"state": "present"}, "does not fit a three-way finding"),
        ({"origin": "gremlins"}, "links: unknown id gremlins"),
        ({"target": "ghosts"}, "links: unknown id ghosts"),
        ({"target": "sump-cold", "state": "present"}, "stands twice for the same machine"),
    ],
)
def test_links(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert any(fault in result for result in faults(link(small, **changes)))


def test_the_same_link_may_stand_for_different_machines(small: Knowledge) -> None:
    first = small.mode_finding[0]
    low = first.model_copy(update={"applies": Applies.model_validate({"shell": frozenset({"low-side"})})})
    high = first.model_copy(
        update={"applies": Applies.model_validate({"shell": frozenset({"high-side"})}), "probability": 0.5}
    )
    assert faults(replace(small, mode_finding=(low, high, *small.mode_finding[1:]))) == []


def test_only_a_danger_to_people_may_bear_on_nothing(small: Knowledge) -> None:
    alone = next(iter(small.findings.values())).model_copy(update={"id": "ceiling-falls", "group": "danger"})
    assert faults(replace(small, findings={**small.findings, "ceiling-falls": alone})) == []
    other = alone.model_copy(update={"group": "oil"})
    fault = "ceiling-falls: nothing leads to this finding"
    assert faults(replace(small, findings={**small.findings, "ceiling-falls": other})) == [fault]


def test_unknown_ids_everywhere(small: Knowledge) -> None:
    pair, rule = small.conflicts[0], small.safety[1]
    unknown_mode = rule.when.model_copy(update={"mode": ModeAtLeast(mode="x", at_least=0.1, evidence=1.0)})
    unknown_finding = rule.when.model_copy(update={"all_of": ("wind",)})
    broken = replace(
        small,
        contexts=(
            small.contexts[0].model_copy(update={"target": "nothing", "same_as": "rain"}),
            *small.contexts[1:],
        ),
        normals={"oil-good": small.normals["oil-good"].model_copy(update={"means_absent": ("nobody",)})},
        safety=(rule.model_copy(update={"when": unknown_mode}), rule.model_copy(update={"when": unknown_finding})),
        conflicts=(pair.model_copy(update={"a": "nowhere"}), pair.model_copy(update={"a_state": "present"})),
        advice={"never": small.advice["floodback"]},
    )
    assert {
        "contexts: unknown id nothing",
        "contexts: unknown id rain",
        "normal oil-good: unknown id nobody",
        "rule maybe-burnt: unknown id x",
        "rule maybe-burnt: unknown id wind",
        "conflicts: unknown id nowhere",
        "conflicts: superheat cannot be present",
        "dispatch: unknown id never",
    } == set(faults(broken))


def test_a_context_gives_way_only_to_a_finding_that_says_the_same(small: Knowledge) -> None:
    context = small.contexts[0].model_copy(update={"same_as": "oil-acid"})
    fault = "context equipment dusty: oil-acid says nothing of dirty-condenser"
    assert faults(replace(small, contexts=(context, *small.contexts[1:]))) == [fault]


def test_one_id_for_two_things(small: Knowledge) -> None:
    twice = {**small.causes, "floodback": small.causes["poor-work"].model_copy(update={"id": "floodback"})}
    assert "floodback: the same id stands for two things" in faults(replace(small, causes=twice))
    normals = {**small.normals, "oil-black": small.normals["oil-good"].model_copy(update={"id": "oil-black"})}
    assert faults(replace(small, normals=normals)) == ["oil-black: the same id stands for two things"]


def test_orphans(small: Knowledge) -> None:
    result = faults(replace(small, mode_finding=(), cause_finding=(), cause_mode=()))
    assert "floodback: no finding points to this mode" in result
    assert "poor-work: this cause leads nowhere" in result
    assert "oil-black: nothing leads to this finding" in result


def test_a_circle_of_modes(small: Knowledge) -> None:
    back = small.mode_mode[0].model_copy(update={"origin": "burnout", "target": "floodback"})
    assert any("in a circle" in result for result in faults(replace(small, mode_mode=(*small.mode_mode, back))))


def test_steps_hang_on_findings_in_states_that_they_can_have(small: Knowledge) -> None:
    row = small.advice["floodback"]
    step = row.do_now[0].model_copy(update={"unless": {"gremlins": "present"}, "when": {"oil-black": "low"}})
    broken = row.model_copy(update={"do_now": (step,)})
    assert faults(replace(small, advice={**small.advice, "floodback": broken})) == [
        "dispatch floodback: unknown id gremlins",
        "dispatch floodback: oil-black cannot be low",
    ]
