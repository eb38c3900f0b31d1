"""Broken parts. Worst would be fragments left in a circuit because one part of the case says that none are loose."""

from typing import Any

import pytest

from witnessmark.casework.broken import (
    BROKEN,
    BURNT,
    FINDINGS_OF_SIGNS,
    PARTS,
    SIGNS_OF_FINDINGS,
    broken,
    with_broken_parts,
    with_places,
    with_told_signs,
)
from witnessmark.casework.twofold import NO_FRAGMENTS, told_twice
from witnessmark.cleanup.components import part_ids
from witnessmark.cleanup.debris_rules import place_ids
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.language.catalogue import Language, translator


def part(name: str, whole: float = 100.0, left: float | None = 70.0, unit: str = "g") -> dict[str, Any]:
    remains = {} if left is None else {"remains": {"value": left, "unit": unit}}
    return {"name": name, "nominal_mass": {"value": whole, "unit": "g"}, **remains}


def broke(*parts: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"breakage": {"parts": [*parts]}, **more}


def told(*findings: str, state: str = "present") -> list[dict[str, str]]:
    return [{"finding": finding, "state": state} for finding in findings]


@pytest.mark.parametrize(
    ("seen", "debris"),
    [
        (broke(part("fixed scroll")), ["metal-fragments"]),
        (broke(part("fixed scroll"), signs={"burn": "none"}), ["metal-fragments"]),
        (broke(part("fixed scroll"), signs={"debris": []}), ["metal-fragments"]),
        ({"breakage": {"fragments": [{}]}}, ["metal-fragments"]),
        ({"findings": told("wraps-shattered", "magnet-full")}, ["metal-fragments", "metal-fines"]),
        (
            {"findings": told("reed-broken"), "signs": {"debris": ["carbonised-oil"]}},
            ["carbonised-oil", "metal-fragments"],
        ),
        ({"findings": told("metal-fines-in-oil"), "signs": {"debris": ["metal-fines"]}}, ["metal-fines"]),
        ({"findings": told("reed-broken", state="absent"), "signs": {"debris": []}}, []),
        ({"findings": told("reed-broken", state="unknown")}, None),
    ],
)
def test_what_is_told_of_loose_metal_anywhere_is_a_sign(seen: dict[str, Any], debris: list[str] | None) -> None:
    filled, said = with_told_signs(seen)
    found = filled.get("signs", {}).get("debris")
    assert (None if found is None else sorted(found)) == (None if debris is None else sorted(debris))
    assert bool(said) is (filled != seen)


def test_burn_and_acid_told_as_findings_are_signs_unless_somebody_looked() -> None:
    burnt, _ = with_told_signs({"findings": told("windings-burnt-evenly", "acid-test-positive")})
    assert burnt["signs"] == {"burn": "winding", "acid_test": "positive"}
    looked = {"findings": told("windings-burnt-evenly"), "signs": {"burn": "spot"}}
    assert with_told_signs(looked) == (looked, ())


@pytest.mark.parametrize(
    ("name", "finding"),
    [
        ("discharge reed", "reed-broken"),
        ("Lengüeta de descarga", "reed-broken"),
        ("fixed scroll", "wraps-shattered"),
        ("Oldham ring", "coupling-keys-broken"),
        ("connecting rod 2", "rod-or-crank-broken"),
        ("Vane", "vane-broken"),
        ("fixed scroll mounting bolt", "fixed-scroll-mount-broken"),
        ("check valve disc", "check-valve-damaged"),
        ("something else", None),
    ],
)
def test_a_part_that_broke_is_a_finding(name: str, finding: str | None) -> None:
    filled, said = with_broken_parts(broke(part(name)))
    assert [report["finding"] for report in filled.get("findings", ())] == ([finding] if finding else [])
    assert bool(said) is bool(finding)
    own = broke(part(name), findings=told(*([finding] if finding else []), state="absent"))
    assert with_broken_parts(own) == (own, ())


@pytest.mark.parametrize(
    ("scroll", "finding"),
    [
        (part("scroll", 900, 890), "wrap-edge-chipped"),
        (part("scroll", 900, 700), "wraps-shattered"),
        (part("scroll", 900, None), "wraps-shattered"),
        (part("scroll", 900, 31, "oz"), "wraps-shattered"),
    ],
)
def test_a_scroll_that_lost_next_to_nothing_is_chipped(scroll: dict[str, Any], finding: str) -> None:
    assert with_broken_parts(broke(scroll))[0]["findings"] == told(finding)


def test_fragments_are_looked_for_in_the_parts_that_the_machine_has() -> None:
    def path(*parts: str, **more: Any) -> list[str]:
        seen = broke(part("reed"), machine={"parts": [*parts]}, **more)
        return [place["id"] for place in with_places(seen)["breakage"].get("places", ())]

    usual = ["shell", "discharge-line", "outdoor-coil", "expansion-valve", "indoor-coil"]
    assert [place for place in path("oil-separator", "receiver") if place not in usual] == ["oil-separator", "receiver"]
    assert "check-valve" not in path("discharge-line", "oil-separator")
    assert {"reversing-valve", "accumulator"} < set(path("reversing-valve", "accumulator"))
    assert "capillary" in path("capillary")
    assert "expansion-valve" not in path("capillary")
    assert {"expansion-valve", "capillary"} < set(path("expansion-valve", "capillary"))
    assert path() == []
    assert with_places({"machine": {"parts": ["receiver"]}}) == {"machine": {"parts": ["receiver"]}}
    own = broke(part("reed"), machine={"parts": ["receiver"]})
    own["breakage"]["places"] = [{"id": "shell"}]
    assert with_places(own) == own
    assert set(path(*part_ids())) == set(place_ids()) - {"new-compressor"}


def test_signs_without_fragments_beside_a_broken_part_are_a_contradiction() -> None:
    def said(case: dict[str, Any]) -> bool:
        return NO_FRAGMENTS in [entry.text for entry in told_twice(case, {})]

    assert said(broke(part("reed"), signs={"debris": []}))
    assert said({"findings": told("wraps-shattered"), "signs": {"debris": ["metal-fines"]}})
    assert not said(broke(part("reed"), signs={"debris": ["metal-fragments"]}))
    assert not said(broke(part("reed"), signs={"burn": "none"}))
    assert not said({"signs": {"debris": []}})
    assert not broken({})


def test_every_finding_and_sign_is_one_that_there_is() -> None:
    known = knowledge().findings.keys()
    assert {*FINDINGS_OF_SIGNS.values(), *SIGNS_OF_FINDINGS, *BROKEN, BURNT} <= known
    assert {finding for row in PARTS().part for finding in (row.finding, row.chipped) if finding} <= known
    assert {*PARTS().always, *PARTS().expansions} <= set(place_ids())


@pytest.mark.parametrize("language", ["es", "pt"])
def test_what_is_said_of_broken_parts_is_translated(language: Language) -> None:
    texts = (NO_FRAGMENTS, *with_told_signs(broke(part("reed")))[1], *with_broken_parts(broke(part("reed")))[1])
    assert [text for text in texts if translator(language)(text) == text] == []
