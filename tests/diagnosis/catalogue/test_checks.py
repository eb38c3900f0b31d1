"""What is wrong with knowledge as a whole is found, each kind by one broken copy."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.catalogue.checks import faults
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.catalogue.rows import Applies, Finding, Link, Mention, Mode, ModeAtLeast


def finding(held: Knowledge, key: str, **changes: object) -> Knowledge:
    changed: Finding = replace(held.findings[key], **changes)  # type: ignore[arg-type]
    return replace(held, findings={**held.findings, key: changed})


def mode(held: Knowledge, key: str, **changes: object) -> Knowledge:
    changed: Mode = replace(held.modes[key], **changes)  # type: ignore[arg-type]
    return replace(held, modes={**held.modes, key: changed})


def link(held: Knowledge, **changes: object) -> Knowledge:
    changed: Link = replace(held.mode_finding[0], **changes)  # type: ignore[arg-type]
    return replace(held, mode_finding=(changed, *held.mode_finding[1:]))


def test_sound_knowledge_has_no_faults(small: Knowledge, shipped: Knowledge) -> None:
    assert faults(small) == []
    assert faults(shipped) == []


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"kind": "perhaps"}, "kind is neither"),
        ({"background": 0.0}, "background is not between"),
        ({"background": "often"}, "background is not between"),
        ({"reliability": 0.5}, "reliability is not between"),
        ({"stage": "moon"}, "stage is not one of"),
        ({"mention": {"letter": Mention(0.5, 0.5)}}, "unknown channel"),
        ({"mention": {"note": Mention(1.0, 0.5)}}, "mention.note is not in"),
        ({"rationale": ""}, "no rationale or never reviewed"),
        ({"reviewed": ""}, "no rationale or never reviewed"),
        ({"source": "hearsay"}, "sources: unknown id hearsay"),
        ({"applies": Applies(frozenset({"steam"}))}, "applies.compressor: unknown"),
    ],
)
def test_findings(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert any(fault in found for found in faults(finding(small, "oil-acid", **changes)))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"minutes": 0.0}, "minutes above 0"),
        ({"cost": -1.0}, "minutes above 0"),
        ({"needs": ("daylight",)}, "unknown condition"),
        ({"hazards": ("tigers",)}, "cautions: unknown id tigers"),
    ],
)
def test_checks(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    check = small.findings["oil-acid"].check
    assert check is not None
    broken = finding(small, "oil-acid", check=replace(check, **changes))  # type: ignore[arg-type]
    assert any(fault in found for found in faults(broken))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"background_low": 0.6, "background_high": 0.5}, "background is not between"),
        ({"low_text": ""}, "needs low_text and high_text"),
    ],
)
def test_three_way_findings(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert any(fault in found for found in faults(finding(small, "superheat", **changes)))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [({"prior": 0.0}, "prior is not between"), ({"kind": "sometimes"}, "kind is not one of")],
)
def test_modes(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert any(fault in found for found in faults(mode(small, "floodback", **changes)))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"probability": 1.0}, "probability is not between"),
        ({"probability": 0.05}, "does not exceed the background"),
        ({"probability": 0.93}, "leaves no room"),
        ({"state": "present"}, "does not fit a three-way finding"),
        ({"state": "sideways"}, "does not fit a three-way finding"),
        ({"origin": "gremlins"}, "links: unknown id gremlins"),
        ({"target": "ghosts"}, "links: unknown id ghosts"),
        ({"target": "sump-cold", "state": "present"}, "stands twice for the same machine"),
    ],
)
def test_links(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert any(fault in found for found in faults(link(small, **changes)))


def test_the_same_link_may_stand_for_different_machines(small: Knowledge) -> None:
    low = replace(small.mode_finding[0], applies=Applies(frozenset(), frozenset({"low-side"})))
    high = replace(small.mode_finding[0], applies=Applies(frozenset(), frozenset({"high-side"})), probability=0.5)
    assert faults(replace(small, mode_finding=(low, high, *small.mode_finding[1:]))) == []


def test_unknown_ids_everywhere(small: Knowledge) -> None:
    broken = replace(
        small,
        contexts=(replace(small.contexts[0], target="nothing", odds_ratio=0.0), *small.contexts[1:]),
        normals={"oil-good": replace(small.normals["oil-good"], means_absent=("nobody",))},
        safety=(replace(small.safety[0], any_of=(), mode=None), replace(small.safety[1], mode=ModeAtLeast("x", 0.1))),
        conflicts=(replace(small.conflicts[0], a="nowhere"), replace(small.conflicts[0], a_state="present")),
        advice={"never": small.advice["floodback"]},
    )
    found = " / ".join(faults(broken))
    for fault in (
        "contexts: unknown id nothing",
        "odds ratio is not positive",
        "normal oil-good: unknown id nobody",
        "rule ground: fires on nothing",
        "rule maybe-burnt: unknown id x",
        "conflicts: unknown id nowhere",
        "conflicts: superheat cannot be present",
        "dispatch: unknown id never",
    ):
        assert fault in found


def test_one_id_for_two_things(small: Knowledge) -> None:
    twice = {**small.causes, "floodback": replace(small.causes["poor-work"], id="floodback")}
    assert "floodback: the same id stands for two things" in faults(replace(small, causes=twice))


def test_orphans(small: Knowledge) -> None:
    found = faults(replace(small, mode_finding=(), cause_finding=(), cause_mode=()))
    assert "floodback: no finding points to this mode" in found
    assert "poor-work: this cause leads nowhere" in found
    assert "oil-black: nothing leads to this finding" in found


def test_a_circle_of_modes(small: Knowledge) -> None:
    back = replace(small.mode_mode[0], origin="burnout", target="floodback")
    assert any("in a circle" in found for found in faults(replace(small, mode_mode=(*small.mode_mode, back))))
