"""What the knowledge must say, checked against published directions and against the rules it was written by."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import NO_FAULT
from witnessmark.diagnosis.inference.network import network, with_contexts
from witnessmark.diagnosis.inference.noisy_or import Evidence
from witnessmark.diagnosis.inference.posterior import Posterior
from witnessmark.diagnosis.review.lint import signs_of
from witnessmark.reference import cautions

MODES = (
    "liquid-floodback flooded-start slugging overheating high-ratio oil-starvation loss-of-charge moisture-acid "
    "solid-debris non-condensables general-burnout single-phase-burn unbalance-burn spot-burn ground-fault "
    "locked-rotor drive-module-fault dc-bus-fault bearing-current demagnetised-rotor reverse-rotation wear-out "
    "vacuum-running internal-bypass broken-scroll coupling-failure wrong-oil start-winding-failure protector-failed "
    "valve-failure oil-pump-failure relief-valve-open capacity-control-failure shaft-seal-leak"
)


@cache
def signs(key: str) -> dict[tuple[str, str], float]:
    known = knowledge()
    return signs_of(key, known.mode_finding) | signs_of(key, known.cause_finding)


def lift(key: str, finding: str, state: str = "present") -> float:
    """How many times as often as without."""
    level = knowledge().findings[finding].backgrounds[state]
    return signs(key).get((finding, state), level) / level


def no_fault(queue: str) -> float:
    """Exact P(no mode active) of a low-side scroll at fixed speed, before any finding."""
    machine, contexts = Machine("scroll", "low-side", "fixed-speed"), [("queue", queue)]
    net = with_contexts(network(knowledge(), machine), knowledge(), contexts)
    return float(Posterior(net, Evidence.none()).ask().none[0])


def test_all_modes_of_the_agreed_list_are_there() -> None:
    assert set(knowledge().modes) == set(MODES.split())


def test_size() -> None:
    known = knowledge()
    assert len(known.findings) >= 90
    assert len(known.causes) >= 32


# Signs of Rossi and Braun 1997 (as reproduced in Li and Braun, table 1-1) on a fixed orifice unit, for the residuals
# that the knowledge holds: T_evap as suction pressure, superheat, T_cond as condensing pressure, subcooling and
# T_discharge.
ROSSI_BRAUN = [
    ("undercharge", "suction-pressure", "low"),
    ("undercharge", "suction-superheat", "high"),
    ("undercharge", "condensing-pressure", "low"),
    ("undercharge", "subcooling", "low"),
    ("loss-of-charge", "discharge-temperature-high", "present"),
    ("internal-bypass", "suction-pressure", "high"),
    ("internal-bypass", "condensing-pressure", "low"),
    ("expansion-starved", "suction-pressure", "low"),
    ("expansion-starved", "suction-superheat", "high"),
    ("expansion-starved", "subcooling", "high"),
    ("condenser-heat-rejection", "condensing-pressure", "high"),
    ("condenser-heat-rejection", "suction-superheat", "low"),
    ("condenser-heat-rejection", "discharge-temperature-high", "present"),
    ("low-airflow", "suction-pressure", "low"),
    ("low-airflow", "suction-superheat", "low"),
]
AGAINST = {"low": "high", "high": "low"}


@pytest.mark.parametrize(("origin", "finding", "state"), ROSSI_BRAUN)
def test_signs_of_the_published_table(origin: str, finding: str, state: str) -> None:
    assert lift(origin, finding, state) > 1.3
    if state in AGAINST:
        assert lift(origin, finding, AGAINST[state]) == 1


# Directions of the rebuilder's inspection table and of the compressor maker's guide (semi-hermetic reciprocating).
INSPECTION = [
    ("liquid-floodback", "wear-grows-away-from-pump"),
    ("liquid-floodback", "rotor-rub"),
    ("liquid-floodback", "pistons-worn-cold"),
    ("flooded-start", "wear-erratic-along-shaft"),
    ("flooded-start", "rod-or-crank-broken"),
    ("slugging", "reed-broken"),
    ("slugging", "gasket-or-backer-bolt-failed"),
    ("overheating", "valve-plate-discoloured"),
    ("overheating", "rings-worn-hot"),
    ("oil-starvation", "wear-uniform-dry"),
    ("general-burnout", "windings-burnt-evenly"),
    ("single-phase-burn", "windings-one-or-two-phases-burnt"),
]


@pytest.mark.parametrize(("mode", "finding"), INSPECTION)
def test_directions_of_the_published_inspection_table(mode: str, finding: str) -> None:
    assert lift(mode, finding) >= 5


def test_replacements_are_suspected_of_what_the_change_out_left() -> None:
    """Replacements fail about four times as often as originals (trade press, several makers and rebuilders)."""
    ratio = {(c.value, c.target): c.odds_ratio for c in knowledge().contexts if c.field == "origin"}
    assert ratio["replacement", "poor-cleanup"] >= 4
    assert ratio["original", "poor-cleanup"] < 0.25


def test_no_fault_stands_between_the_published_shares() -> None:
    """One third of warranty returns show no defect (trade press 2012-2014); fewer of those somebody chose to open."""
    assert 0.2 <= no_fault("dispatch") <= 0.3
    assert no_fault("warranty") == pytest.approx(1 / 3, abs=0.03)
    assert 0.05 <= no_fault("teardown") <= 0.15


def shares(kinds: dict[str, set[str]]) -> dict[str, float]:
    """Share of compressors with a fault that show any mode of each group, by 100 000 seeded draws of the priors."""
    net = network(knowledge(), Machine("scroll", "low-side", "fixed-speed"))
    draws = np.random.default_rng(20261125).random((100_000, len(net.nodes)))
    active = np.zeros(draws.shape, dtype=bool)
    for node in range(len(net.nodes)):
        quiet = (1 - net.figures.leak[0, node]) * np.prod(1 - net.figures.trigger[0, node] * active, axis=1)
        active[:, node] = draws[:, node] > quiet
    faulty = active[active[:, net.causes :].any(axis=1)]
    at = {key: k for k, key in enumerate(net.nodes)}
    groups = {name: [at[key] for key in keys if key in at] for name, keys in kinds.items()}
    return {name: float(faulty[:, group].any(axis=1).mean()) for name, group in groups.items()}


def test_base_rates_lie_between_what_insurers_and_teardown_shops_count() -> None:
    """Two published shares of different populations bound what the priors may say.

    60-70 % of insured breakdowns are electrical (insurer, 2015); about 80 % of teardowns begin with liquid, lubrication
    or heat (rebuilders' hand-out). The populations differ, so between them is as much as can be asked.
    """
    electrical = "general-burnout single-phase-burn unbalance-burn spot-burn ground-fault locked-rotor"
    began = "liquid-floodback flooded-start slugging overheating oil-starvation"
    result = shares({"electrical": set(electrical.split()), "began": set(began.split())})
    assert 0.4 <= result["electrical"] <= 0.7
    assert 0.4 <= result["began"] <= 0.8


def test_the_warranty_queue_is_a_context_of_no_fault() -> None:
    odds = {c.value: c.odds_ratio for c in knowledge().contexts if c.field == "queue" and c.target == NO_FAULT}
    assert odds["teardown"] < odds["dispatch"] < odds["warranty"]


def test_sump_rules_are_for_low_side_shells_only() -> None:
    """A high-side shell stands at discharge temperature: a cold bottom shell says nothing there."""
    for finding in ("sump-cold-running",):
        assert knowledge().findings[finding].applies.shell == {"low-side"}
    assert knowledge().findings["sump-cold-at-rest"].applies.shell == frozenset()


@pytest.mark.parametrize(
    ("key", "part", "kinds"),
    [
        ("broken-scroll", "compressor", {"scroll"}),
        ("coupling-failure", "compressor", {"scroll"}),
        ("reverse-rotation", "compressor", {"scroll", "screw", "rotary"}),
        ("drive-module-fault", "drive", {"inverter"}),
        ("dc-bus-fault", "drive", {"inverter"}),
        ("bearing-current", "drive", {"inverter"}),
        ("demagnetised-rotor", "drive", {"inverter"}),
        ("single-phase-burn", "drive", {"fixed-speed"}),
        ("unbalance-burn", "drive", {"fixed-speed"}),
    ],
)
def test_modes_apply_where_they_can_happen(key: str, part: str, kinds: set[str]) -> None:
    assert getattr(knowledge().modes[key].applies, part) == kinds


def test_every_type_of_compressor_has_findings_of_its_own() -> None:
    own = [f.applies.compressor for f in knowledge().findings.values()]
    for kind in ("scroll", "reciprocating", "rotary", "screw"):
        assert {kind} in own


def test_sudden_liquid_and_long_wetting_differ_where_a_teardown_looks() -> None:
    for finding in ("wraps-shattered", "fixed-scroll-mount-broken", "bang-then-dead"):
        assert lift("slugging", finding) > 5 * lift("liquid-floodback", finding)
    for finding in ("bearings-washed-bright", "drive-bearing-worn", "over-current-trips-building-up"):
        assert lift("liquid-floodback", finding) > 3 * lift("slugging", finding)


def test_frost_tells_little() -> None:
    assert lift("liquid-floodback", "frost-on-suction") < 3 < lift("liquid-floodback", "suction-superheat", "low")


def test_an_open_protector_does_not_point_to_an_open_winding() -> None:
    winding = {link.origin for link in knowledge().mode_finding if link.target == "winding-open"}
    assert winding == {"general-burnout", "single-phase-burn", "spot-burn"}
    assert all(lift(mode, "protector-open-hot") < lift("overheating", "protector-open-hot") for mode in winding)


def test_chains_from_beginning_to_end() -> None:
    chains = {(link.origin, link.target) for link in knowledge().mode_mode}
    assert {
        ("liquid-floodback", "spot-burn"),
        ("solid-debris", "oil-starvation"),
        ("spot-burn", "ground-fault"),
    } <= chains
    roles = {key: mode.role for key, mode in knowledge().modes.items()}
    assert not any(roles[a] == "terminal" and roles[b] == "initiating" for a, b in chains)


def test_every_figure_of_a_link_is_tagged_as_what_it_is() -> None:
    assert {link.source for link in knowledge().links} == {"elicited"}
    assert {context.source for context in knowledge().contexts} == {"elicited"}


def test_every_reason_is_a_sentence_part_of_its_own() -> None:
    for link in knowledge().links:
        assert len(link.rationale.split()) >= 1
        assert not link.rationale.endswith(".")


@pytest.mark.parametrize("finding", ["breaker-trips-at-once", "insulation-low", "terminal-burnt"])
def test_power_is_forbidden_on_signs_of_a_ground_fault(finding: str) -> None:
    rules = [rule for rule in knowledge().safety if finding in rule.when.any_of]
    assert any("energise" in rule.forbids and "terminal-venting" in rule.cautions for rule in rules)


@pytest.mark.parametrize(
    "mode", ["ground-fault", "general-burnout", "spot-burn", "single-phase-burn", "unbalance-burn"]
)
def test_a_credible_burn_forbids_power_at_one_in_twenty(mode: str) -> None:
    conditions = [rule.when.mode for rule in knowledge().safety if "energise" in rule.forbids]
    levels = [credible.at_least for credible in conditions if credible and credible.mode == mode]
    assert levels == [0.05]


@pytest.mark.parametrize(
    "caution",
    [
        "lock-out",
        "terminal-venting",
        "insulation-test",
        "capacitors-hold-charge",
        "burnout-oil-acid",
        "no-oxygen",
        "flammable-refrigerant",
        "toxic-refrigerant",
        "no-vacuum-running",
        "never-defeat-protection",
    ],
)
def test_the_warnings_that_matter_are_used(caution: str) -> None:
    used = {c for rule in knowledge().safety for c in rule.cautions}
    used |= {c for finding in knowledge().findings.values() if finding.check for c in finding.check.hazards}
    assert caution in used


def test_the_warnings_say_what_they_must() -> None:
    assert "50 V" in cautions()["capacitors-hold-charge"].text
    assert "cover" in cautions()["terminal-venting"].text
    assert "vacuum" in cautions()["insulation-test"].text
    assert "drive" in cautions()["insulation-test"].text
    assert "oxygen" in cautions()["no-oxygen"].text.lower()


def test_insulation_and_resistance_are_measured_dead() -> None:
    for key in ("insulation-low", "winding-open", "winding-resistances-unequal"):
        check = knowledge().findings[key].check
        assert check is not None
        assert not check.energised
        assert check.needs == ("power-off",)
        assert {"lock-out", "terminal-venting"} <= set(check.hazards)


def test_a_contact_of_advice_for_every_mode_and_a_first_priority_for_burns() -> None:
    advice = knowledge().advice
    assert set(knowledge().modes) <= set(advice)
    for mode in ("general-burnout", "ground-fault", "single-phase-burn", "locked-rotor"):
        assert advice[mode].priority == 1
        assert any("lock out" in step.lower() for step in advice[mode].do_now)


def test_no_fault_has_its_own_advice_and_orders_nothing() -> None:
    assert "no compressor" in knowledge().advice[NO_FAULT].parts_class


def test_no_codes_no_brands_only_words() -> None:
    """Ids are plain hyphenated words."""
    known = knowledge()
    for key in (*known.modes, *known.causes, *known.findings, *known.normals, *(rule.id for rule in known.safety)):
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", key)
