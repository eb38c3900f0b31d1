"""Safety rules: fired by any sign, however weak, and by a credible mode; nothing out-votes them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.diagnosis.evidence.read import told

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.safety import notices, shown
from witnessmark.diagnosis.case import Case, Condition, Fluid, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.result import forbidden

SCROLL = Machine("scroll", "low-side", "fixed-speed")
NEITHER = Fluid(flammable=False, toxic=False)


def fired(known: Knowledge, case: Case) -> dict[str, tuple[str, ...]]:
    return {notice.rule: notice.because for notice in notices(inquire(known, case))}


def test_any_of_fires_on_one_unreliable_report(small: Knowledge) -> None:
    case = Case(
        SCROLL, (Report("insulation-low", "present", 0.51), Report("oil-acid", "absent"), Report("oil-black", "absent"))
    )
    assert fired(small, case)["ground"] == ("insulation-low",)


def test_all_of_needs_all(small: Knowledge) -> None:
    assert "acid-and-black" not in fired(small, Case(SCROLL, (Report("oil-black", "present"),)))
    both = Case(SCROLL, (Report("oil-black", "present"), Report("oil-acid", "present")))
    assert fired(small, both)["acid-and-black"] == ("oil-black", "oil-acid")


def test_a_mode_that_findings_speak_for_fires(small: Knowledge) -> None:
    case = Case(SCROLL, (Report("oil-black", "present"), Report("oil-acid", "present")))
    assert fired(small, case)["maybe-burnt"] == ("burnout",)
    assert "maybe-burnt" not in fired(small, Case(SCROLL))


def test_a_prior_alone_fires_nothing(small: Knowledge, shipped: Knowledge) -> None:
    """A mode as probable as the rule asks for, without a finding that moved it there."""
    burnout = small.modes["burnout"].model_copy(update={"prior": 0.6})
    common = replace(small, modes={**small.modes, "burnout": burnout})
    assert inquire(common, Case(SCROLL)).probability("burnout") > 0.3
    assert fired(common, Case(SCROLL)) == {}
    assert fired(shipped, Case()) == {}


def test_a_cause_of_a_burn_is_no_sign_of_one(small: Knowledge, shipped: Knowledge) -> None:
    """What only makes the mode likelier in advance fires nothing; what the mode shows does."""
    inquiry = inquire(shipped, Case(SCROLL, (Report("supply-voltage", "low"),)))
    assert not shown(inquiry, "general-burnout", {"supply-voltage": "low"})
    assert shown(inquiry, "general-burnout", {"oil-burnt": "present"})
    assert not shown(inquiry, "drive-module-fault", {"oil-burnt": "present"})
    assert not shown(inquire(small, Case(SCROLL)), "burnout", {"module-dead": "present"})
    assert "suspected-winding-burn" not in {notice.rule for notice in notices(inquiry)}


def test_a_flame_is_warned_of_only_where_the_refrigerant_burns(shipped: Knowledge) -> None:
    air = (Report("standing-pressure-high", "present"), Report("charge-short", "present"))

    def warned(fluid: Fluid | None) -> tuple[set[str], set[str]]:
        told = notices(inquire(shipped, Case(SCROLL, air, fluid=fluid)))
        return {notice.rule for notice in told}, {key for notice in told for key in notice.cautions}

    burns, harmless, nobody_said = (warned(f) for f in (Fluid(flammable=True, toxic=False), NEITHER, None))
    assert {"air-in-the-circuit", "air-with-flammable-refrigerant"} <= burns[0]
    assert "flammable-refrigerant" in burns[1]
    assert "toxic-refrigerant" not in burns[1]
    assert "air-in-the-circuit" in nobody_said[0]
    assert "air-with-flammable-refrigerant" not in nobody_said[0]
    assert not {"air-in-the-circuit", "air-with-flammable-refrigerant"} & harmless[0]
    assert not {"flammable-refrigerant", "toxic-refrigerant"} & harmless[1]
    assert {"flammable-refrigerant", "toxic-refrigerant"} <= nobody_said[1]


def test_what_was_heard_in_doubt_fires_its_rule(shipped: Knowledge) -> None:
    assert {n.rule for n in notices(inquire(shipped, Case(SCROLL)), ("insulation-low",))} >= {"do-not-re-energise"}


ALARMING = ("windings-burnt-evenly", "winding-open", "winding-resistances-unequal", "breaker-trips-at-once",
            "terminal-burnt", "terminal-vented", "burning-smell", "smoke-seen", "fire-seen", "sparks-seen",
            "locked-rotor-current", "shaft-seized", "phase-missing", "contactor-bad", "insulation-low", "oil-burnt",
            "electric-shock", "water-on-live-parts", "spot-burn-in-winding", "windings-one-or-two-phases-burnt",
            "winding-burnt-pattern-unknown", "relay-clicks", "wraps-shattered", "bang-then-dead",
            "refrigerant-smell", "people-unwell", "ammonia-released", "gas-alarm", "burst-with-release",
            "person-hurt", "suction-valve-shut", "protection-bridged", "module-fails-diode-check",
            "phase-rotation-wrong")  # fmt: skip


@pytest.mark.parametrize("key", ALARMING)
def test_must_fire(shipped: Knowledge, key: str) -> None:
    applies = shipped.findings[key].applies
    kind, drive = min(applies.compressor or {"scroll"}), min(applies.drive or {"fixed-speed"})
    machine = Machine(kind, "low-side", drive)  # type: ignore[arg-type] # words of the rows
    inquiry = inquire(shipped, Case(machine, (Report(key, "present"),), ran=True))
    assert "energise" in forbidden(notices(inquiry))


HARMLESS = (("capacity-low",), ("capacity-lost-slowly",), ("charge-short",), ("charge-over",), ("condenser-fouled",),
            ("airflow-low",), ("coil-iced",), ("frost-on-suction",), ("superheat-hunting",), ("superheat-dips",),
            ("high-hours",), ("oil-added",), ("charge-added-repeatedly",), ("failed-soon-after-work",),
            ("long-low-load-running",), ("high-pressure-trips",), ("low-pressure-trips",), ("short-cycling",),
            ("bearing-whine",), ("foam-while-running",), ("start-noise",), ("capacitor-bad",), ("control-voltage-low",),
            ("protector-open-hot",), ("standing-pressure-high",), ("oil-stain-outside",), ("bulb-loose",),
            ("moisture-high",), ("liquid-line-temperature-drop",), ("suction-drop-high",), ("oil-return-piping-poor",),
            ("accumulator-overfull",), ("expansion-stays-open",), ("off-cycle-valve-leak",), ("trouble-at-defrost",),
            ("unloader-stuck",), ("head-pressure-control-bad",), ("drive-cooling-bad",), ("sensor-or-command-wrong",),
            ("reversing-or-bypass-valve-leaks",), ("compression-ratio-high",), ("power-blinked",), ("core-left-in",),
            ("no-pressure-difference",), ("pumps-again-after-cooling",), ("will-not-start",), ("storm-or-outage",),
            ("charge-short", "coil-iced"), ("condenser-fouled", "high-pressure-trips"), ("capacity-low", "high-hours"),
            ("airflow-low", "frost-on-suction"), ("protector-open-hot", "condenser-fouled"))  # fmt: skip


@pytest.mark.parametrize("keys", HARMLESS)
def test_must_not_fire(shipped: Knowledge, keys: tuple[str, ...]) -> None:
    drives = [shipped.findings[key].applies.drive for key in keys]
    machine = Machine("scroll", "low-side", min(drives[0] or {"fixed-speed"}))  # type: ignore[arg-type] # words of rows
    if "unloader-stuck" in keys:
        machine = Machine("reciprocating", "low-side", "fixed-speed", "semi-hermetic")
    inquiry = inquire(shipped, Case(machine, tuple(Report(key, "present") for key in keys)))
    assert "energise" not in forbidden(notices(inquiry))


def test_absent_fires_nothing(small: Knowledge) -> None:
    assert fired(small, Case(SCROLL, (Report("insulation-low", "absent"),))) == {}


def test_rules_of_other_machines_stay_silent(small: Knowledge) -> None:
    inverter = Machine("scroll", "low-side", "inverter")
    assert "drive-charge" in fired(small, Case(inverter, (Report("module-dead", "present"),)))
    assert "drive-charge" not in fired(small, Case(SCROLL, (Report("module-dead", "absent"),)))


def test_a_reading_fires_as_a_report_does(shipped: Knowledge) -> None:
    case = Case(SCROLL, readings=(Reading("insulation-resistance", 2e4),))
    assert "do-not-re-energise" in fired(shipped, case)


def test_strong_evidence_for_something_else_does_not_silence_a_rule(shipped: Knowledge) -> None:
    wet = [Report(k, "present") for k in ("sump-cold-running", "bearings-washed-bright", "foam-while-running")]
    case = Case(SCROLL, (*wet, Report("insulation-low", "present", 0.55)))
    assert "do-not-re-energise" in fired(shipped, case)


@pytest.mark.parametrize("key", ["breaker-trips-at-once", "insulation-low", "terminal-burnt"])
def test_signs_of_a_grounded_winding_forbid_power(shipped: Knowledge, key: str) -> None:
    inquiry = inquire(shipped, Case(SCROLL, (Report(key, "present"),)))
    assert "energise" in forbidden(notices(inquiry))


FLUIDS = {"toxic": Fluid.of("R-717"), "burns-fast": Fluid.of("R-290"), "burns-slowly": Fluid.of("R-32")}
LEAKS = ("charge-short", "shaft-seal-leaking")


@pytest.mark.parametrize("key", LEAKS)
@pytest.mark.parametrize(
    ("refrigerant", "rule", "level", "stopped"),
    [
        ("R-717", "toxic-refrigerant-leaks", 1, True),
        ("R-123", "toxic-refrigerant-leaks", 1, True),
        ("R-764", "toxic-refrigerant-leaks", 1, True),
        ("R-290", "burning-refrigerant-leaks", 2, True),
        ("R-600a", "burning-refrigerant-leaks", 2, True),
        ("R-152a", "burning-refrigerant-leaks", 2, True),
        ("R-32", "slowly-burning-refrigerant-leaks", 2, False),
        ("R-454B", "slowly-burning-refrigerant-leaks", 2, False),
        ("R-1234yf", "slowly-burning-refrigerant-leaks", 2, False),
        ("R-410A", "", 7, False),
        ("R-744", "", 7, False),
        (None, "", 7, False),
    ],
)
def test_a_leak_is_as_dangerous_as_what_leaks(
    shipped: Knowledge,
    key: str,
    refrigerant: str | None,
    rule: str,
    level: int,
    stopped: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    """Worst: a leak of ammonia or propane is comfort, and the caller is told to leave it as it is."""
    fluid = Fluid.of(refrigerant) if refrigerant else None
    case = Case(Machine("reciprocating", construction="open-drive"), (Report(key, "present"),), ran=True, fluid=fluid)
    leaks = {name for name in fired(shipped, case) if name.endswith("-leaks")}
    assert leaks == ({rule} if rule else set())
    advice = told(case)
    assert advice.priority.level == level
    assert (advice.operation.advice == "stop") == stopped
    assert (advice.operation.advice == "keep-running") == (not rule)


def test_a_leak_that_was_looked_for_and_is_not_there_or_of_an_emptied_machine(shipped: Knowledge) -> None:
    ammonia = Fluid.of("R-717")
    none = Case(findings=(Report("charge-short", "absent"),), fluid=ammonia)
    assert "toxic-refrigerant-leaks" not in fired(shipped, none)
    opened = Case(findings=(Report("charge-short", "present"),), fluid=ammonia, conditions=("compressor-removed",))
    assert told(opened).priority.level > 1


def test_every_shipped_rule_fires_on_each_of_its_signs(shipped: Knowledge) -> None:
    for rule in shipped.safety:
        for key in rule.when.any_of:
            finding = shipped.findings[key]
            states = ("present",) if finding.kind == "yes-no" else ("low", "high")
            machine = Machine(
                min(finding.applies.compressor or rule.applies.compressor or {"scroll"}),  # type: ignore[arg-type]
                min(finding.applies.shell or rule.applies.shell or {"low-side"}),  # type: ignore[arg-type]
                min(finding.applies.drive or rule.applies.drive or {"inverter"}),  # type: ignore[arg-type]
            )
            for state in states:
                fluid = FLUIDS.get(rule.fluid or "", Fluid(flammable=True, toxic=False))
                case = Case(machine, (Report(key, state),), fluid=fluid)  # type: ignore[arg-type]
                assert rule.id in fired(shipped, case), (rule.id, key)


def test_the_rule_on_rotation_is_about_machines_that_must_not_turn_backwards(shipped: Knowledge) -> None:
    loud = (Report("loud-from-start", "present"),)
    assert "wrong-rotation" in fired(shipped, Case(SCROLL, loud))
    assert "wrong-rotation" in fired(shipped, Case(Machine(), loud))
    assert "wrong-rotation" not in fired(shipped, Case(Machine("reciprocating", "low-side", "fixed-speed"), loud))


@pytest.mark.parametrize("fluid", [None, Fluid(flammable=True, toxic=False)])
@pytest.mark.parametrize("conditions", [None, ("compressor-runs",), ("power-off",)])
def test_a_contactor_that_may_be_welded_is_isolated_upstream(
    shipped: Knowledge, fluid: Fluid | None, conditions: tuple[Condition, ...] | None
) -> None:
    """Worst: the caller is told to switch it off, does so at the thermostat, and the motor stays live."""
    case = Case(SCROLL, (Report("contactor-bad", "present"),), fluid=fluid, conditions=conditions)
    advice = diagnose(case, shipped).dispatch
    assert "upstream" in advice.for_caller[0]
    assert "not at the control or thermostat" in advice.for_caller[0]
    assert any("prove it dead at the motor terminals" in step for step in advice.for_technician)
    assert not any(line.startswith("Switch it off and leave") for line in advice.for_caller)


def test_where_gas_may_be_no_switch_is_touched_for_a_contactor(shipped: Knowledge) -> None:
    burns = Fluid(flammable=True, toxic=False)
    reports = (Report("contactor-bad", "present"), Report("refrigerant-smell", "present"))
    said = diagnose(Case(SCROLL, reports, fluid=burns), shipped).dispatch.for_caller
    assert not any("breaker upstream" in line for line in said)
