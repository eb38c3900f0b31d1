"""The pumping verdict: what each kind of evidence may decide, and when it stays silent."""

import pytest

from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.compressor.pumping import (
    FlowEvidence,
    HeatEvidence,
    PumpingEvidence,
    PumpingJudgement,
    judge,
)
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured

SCROLL = compressor_type("scroll")
HIGH, LOW, MILD = Measured(3.0, 0.05), Measured(1.05, 0.02), Measured(1.35, 0.03)


def verdict(evidence: PumpingEvidence) -> tuple[str, str]:
    found: PumpingJudgement = judge(evidence, SCROLL)
    for reason in found.reasons:
        assert text(reason.id)
    return found.verdict, found.reasons[0].id


def test_running_without_lift_is_not_pumping() -> None:
    assert verdict(PumpingEvidence(LOW, running=True)) == ("not pumping", "no-lift")


def test_equal_pressures_are_not_pumping_even_with_gauge_error() -> None:
    assert verdict(PumpingEvidence(Measured(1.0, 0.03), running=True)) == ("not pumping", "no-lift")


def test_a_ratio_that_may_be_lift_is_not_called_dead() -> None:
    assert verdict(PumpingEvidence(Measured(1.15, 0.05), running=True))[0] == "cannot tell"


def test_stopped_machine_tells_nothing() -> None:
    assert verdict(PumpingEvidence(LOW, running=False)) == ("cannot tell", "stopped")


def test_no_lift_without_knowing_that_it_runs() -> None:
    assert verdict(PumpingEvidence(LOW)) == ("cannot tell", "not-known-to-run")


def test_discharge_below_suction_asks_for_the_gauges() -> None:
    assert verdict(PumpingEvidence(Measured(0.8, 0.02), running=True)) == ("cannot tell", "discharge-below-suction")


def test_full_flow_without_lift_points_outside_the_compressor() -> None:
    flow = FlowEvidence(volumetric_efficiency=Measured(0.9, 0.03))
    assert verdict(PumpingEvidence(LOW, flow, running=True)) == ("cannot tell", "flow-without-lift")


def test_pressures_alone_never_prove_pumping() -> None:
    found = judge(PumpingEvidence(HIGH, running=True), SCROLL)
    assert found.verdict == "cannot tell"
    assert [r.id for r in found.reasons] == ["lift", "pressures-only"]


@pytest.mark.parametrize(
    ("flow", "expected"),
    [
        (FlowEvidence(Measured(0.90, 0.03)), "pumping"),
        (FlowEvidence(Measured(0.40, 0.03)), "weak"),
        (FlowEvidence(map_share=Measured(0.97, 0.04)), "pumping"),
        (FlowEvidence(map_share=Measured(0.60, 0.04)), "weak"),
        (FlowEvidence(Measured(0.90, 0.03), Measured(0.60, 0.04)), "cannot tell"),
        (FlowEvidence(Measured(0.70, 0.10)), "cannot tell"),
        (FlowEvidence(Measured(1.60, 0.10)), "cannot tell"),
    ],
)
def test_flow_decides(flow: FlowEvidence, expected: str) -> None:
    assert verdict(PumpingEvidence(HIGH, flow, running=True))[0] == expected


@pytest.mark.parametrize(
    ("heat", "expected"),
    [
        (HeatEvidence(Measured(0.65, 0.03), Measured(10.0, 2.0)), "pumping"),
        (HeatEvidence(Measured(0.30, 0.02), Measured(40.0, 2.0), Measured(30.0, 5.0)), "weak"),
        (HeatEvidence(Measured(0.42, 0.05), Measured(20.0, 2.0)), "cannot tell"),
        (HeatEvidence(Measured(1.10, 0.02), Measured(-8.0, 2.0)), "cannot tell"),
        (HeatEvidence(above_ideal=Measured(1.0, 2.0)), "cannot tell"),
    ],
)
def test_heat_decides_where_no_flow_is_known(heat: HeatEvidence, expected: str) -> None:
    assert verdict(PumpingEvidence(HIGH, heat=heat, running=True))[0] == expected


def test_flow_outranks_heat() -> None:
    evidence = PumpingEvidence(
        HIGH, FlowEvidence(Measured(0.9, 0.03)), HeatEvidence(Measured(0.3, 0.02), Measured(40.0, 2.0)), running=True
    )
    assert verdict(evidence)[0] == "pumping"


def test_small_lift_needs_a_flow() -> None:
    """A healthy machine in mild weather: the temperature difference alone is too little to stand on."""
    heat = HeatEvidence(Measured(0.65, 0.05), Measured(5.0, 1.0))
    assert verdict(PumpingEvidence(MILD, heat=heat, running=True))[0] == "cannot tell"
    assert verdict(PumpingEvidence(MILD, FlowEvidence(Measured(0.9, 0.03)), heat, running=True))[0] == "pumping"


def test_hotter_than_expected_is_said() -> None:
    heat = HeatEvidence(Measured(0.45, 0.02), Measured(25.0, 2.0), Measured(15.0, 5.0))
    found = judge(PumpingEvidence(HIGH, heat=heat, running=True), SCROLL)
    assert "hotter-than-expected" in [r.id for r in found.reasons]


@pytest.mark.parametrize(
    "heat",
    [
        HeatEvidence(Measured(0.78, 0.02), Measured(4.0, 1.0), Measured(-15.0, 5.0)),
        HeatEvidence(Measured(0.92, 0.02), Measured(4.0, 1.0), Measured(-5.0, 5.0)),
        HeatEvidence(Measured(0.92, 0.02), Measured(4.0, 1.0)),
    ],
)
def test_colder_than_a_sound_machine_is_said_and_changes_no_verdict(heat: HeatEvidence) -> None:
    found = judge(PumpingEvidence(HIGH, heat=heat, running=True), SCROLL)
    assert (found.verdict, found.reasons[0].id) == ("pumping", "isentropic-efficiency")
    (said,) = (r for r in found.reasons if r.id == "colder-than-expected")
    assert (said.favours, said.value) == ("cannot tell", heat.above_expected)
    assert text(said.id)


def test_a_discharge_within_the_band_is_not_called_cold() -> None:
    heat = HeatEvidence(Measured(0.80, 0.03), Measured(4.0, 1.0), Measured(-5.0, 5.0))
    assert "colder-than-expected" not in [
        r.id for r in judge(PumpingEvidence(HIGH, heat=heat, running=True), SCROLL).reasons
    ]


def test_a_suction_line_colder_than_wet_gas_decides_nothing() -> None:
    """Whatever flow and heat seem to say; that no lift is no pumping it does not touch."""
    flow, cold = (
        FlowEvidence(volumetric_efficiency=Measured(0.9, 0.02)),
        HeatEvidence(suction_above_bubble=Measured(-5.0, 1.0)),
    )
    assert verdict(PumpingEvidence(HIGH, flow, cold, running=True)) == ("cannot tell", "suction-below-bubble")
    assert verdict(PumpingEvidence(LOW, heat=cold, running=True)) == ("not pumping", "no-lift")
    unsure = HeatEvidence(suction_above_bubble=Measured(-1.5, 1.0))
    assert verdict(PumpingEvidence(HIGH, flow, unsure, running=True))[0] == "pumping"


def test_a_suction_in_deep_vacuum_pumps() -> None:
    """Worst wrong answers: "the lift is small" of 33 kPa against 1.46 MPa, and no answer at all."""
    ratio, suction = Measured(44.0, 38.0), Measured(33e3, 8e3)
    found = judge(PumpingEvidence(ratio, running=True, suction_pressure=suction), SCROLL)
    assert (found.verdict, found.reasons[0].id) == ("pumping", "draws-deep-vacuum")
    assert "lift" in [r.id for r in found.reasons]
    for evidence in (
        PumpingEvidence(ratio, suction_pressure=suction),  # nobody said that it runs
        PumpingEvidence(ratio, running=True),
        PumpingEvidence(ratio, running=True, suction_pressure=Measured(60e3, 1e3)),
        PumpingEvidence(ratio, running=True, suction_pressure=Measured(45e3, 3e3)),  # may be above 50 kPa
        PumpingEvidence(Measured(4.9, 0.1), running=True, suction_pressure=suction),
    ):
        assert judge(evidence, SCROLL).verdict == "cannot tell"


def test_a_weak_machine_in_vacuum_stays_weak() -> None:
    evidence = PumpingEvidence(
        Measured(12.0, 0.5), FlowEvidence(Measured(0.4, 0.03)), running=True, suction_pressure=Measured(33e3, 3e3)
    )
    assert judge(evidence, SCROLL).verdict == "weak"


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(Measured(44.0, 38.0), "lift"), (Measured(1.35, 0.03), "small-lift"), (Measured(1.7, 0.2), "lift-not-sure")],
)
def test_lift_is_judged_in_the_logarithm(ratio: Measured, expected: str) -> None:
    """ln(44 / 1.5) = 3.4 is twice what 2 x 38 / 44 = 1.7 takes away; ln(1.7 / 1.5) = 0.13 is less than 0.24."""
    assert judge(PumpingEvidence(ratio, running=True), SCROLL).reasons[0].id == expected


@pytest.mark.parametrize(
    ("loss", "expected"),
    [(Measured(0.44, 0.05), "cannot tell"), (Measured(-0.2, 0.05), "cannot tell"), (Measured(0.30, 0.05), "pumping")],
)
def test_a_shell_loss_that_no_shell_has_decides_nothing(loss: Measured, expected: str) -> None:
    """0.30 lies beyond 0.25 by less than its uncertainty: said beside the verdict."""
    heat = HeatEvidence(Measured(0.65, 0.03), Measured(10.0, 2.0), shell_loss=loss)
    flow = FlowEvidence(Measured(0.9, 0.03))
    found = judge(PumpingEvidence(HIGH, flow, heat, running=True), SCROLL)
    assert found.verdict == expected
    reason = "shell-loss-doubtful" if expected == "pumping" else "shell-loss-impossible"
    assert [r.id for r in found.reasons].count(reason) == 1
    cooled = HeatEvidence(shell_loss=loss, cooled=True)
    ids = [r.id for r in judge(PumpingEvidence(HIGH, flow, cooled, running=True), SCROLL).reasons]
    assert not any(name.startswith("shell-loss") for name in ids)


def test_a_usual_shell_loss_is_not_spoken_of() -> None:
    heat = HeatEvidence(Measured(0.65, 0.03), Measured(10.0, 2.0), shell_loss=Measured(0.10, 0.04))
    ids = [r.id for r in judge(PumpingEvidence(HIGH, heat=heat, running=True), SCROLL).reasons]
    assert not any(name.startswith("shell-loss") for name in ids)


def test_more_gas_than_the_displacement_is_said() -> None:
    """1.118 +- 0.07 may be 1, so the machine pumps; but somebody must look at the readings."""
    found = judge(PumpingEvidence(HIGH, FlowEvidence(Measured(1.118, 0.07)), running=True), SCROLL)
    assert found.verdict == "pumping"
    assert found.reasons[-1].id == "efficiency-over-one"
    usual = judge(PumpingEvidence(HIGH, FlowEvidence(Measured(0.95, 0.07)), running=True), SCROLL)
    assert "efficiency-over-one" not in [r.id for r in usual.reasons]


def test_cooled_gas_tells_nothing_of_the_pump() -> None:
    """A normal oil-flooded screw is colder than ideal compression: neither liquid nor a fault."""
    heat = HeatEvidence(above_ideal=Measured(-40.0, 2.0), cooled=True)
    found = judge(PumpingEvidence(HIGH, heat=heat, running=True), SCROLL)
    assert [r.id for r in found.reasons] == ["cooled-compression", "lift"]
    assert (
        judge(PumpingEvidence(HIGH, FlowEvidence(Measured(0.9, 0.03)), heat, running=True), SCROLL).verdict == "pumping"
    )


@pytest.mark.parametrize(
    ("volumetric", "isentropic", "expected"),
    [
        (0.016, 0.7, ("cannot tell", "hardly-any-gas")),
        (0.19, 0.7, ("cannot tell", "hardly-any-gas")),
        (0.25, 0.7, ("weak", "volumetric-efficiency")),
        (0.016, 1.04, ("cannot tell", "hardly-any-gas")),
        (0.016, 0.3, ("weak", "volumetric-efficiency")),  # a machine that leaks inside heats its gas
        (1.02, 1.01, ("cannot tell", "both-over-one")),
        (1.02, 0.9, ("pumping", "volumetric-efficiency")),
        (0.9, 1.01, ("pumping", "volumetric-efficiency")),
    ],
)
def test_a_slip_of_a_unit_condemns_no_machine(volumetric: float, isentropic: float, expected: tuple[str, str]) -> None:
    """Speed of 60 Hz sent as 3600 makes a sixtieth of the efficiency; gauge sent as absolute makes both too great."""
    flow = FlowEvidence(volumetric_efficiency=Measured(volumetric, 0.002))
    heat = HeatEvidence(isentropic_efficiency=Measured(isentropic, 0.002), above_ideal=Measured(10.0, 1.0))
    assert verdict(PumpingEvidence(HIGH, flow, heat, running=True)) == expected


def test_without_lift_hardly_any_gas_is_no_slip() -> None:
    flow = FlowEvidence(volumetric_efficiency=Measured(0.016, 0.002))
    heat = HeatEvidence(isentropic_efficiency=Measured(0.7, 0.002), above_ideal=Measured(10.0, 1.0))
    assert verdict(PumpingEvidence(MILD, flow, heat, running=True)) == ("weak", "volumetric-efficiency")


@pytest.mark.parametrize(("efficiency", "verdict"), [(1.07, "cannot tell"), (1.01, "cannot tell"), (0.7, "pumping")])
def test_an_efficiency_that_no_machine_reaches_proves_no_pump(efficiency: float, verdict: str) -> None:
    heat = HeatEvidence(isentropic_efficiency=Measured(efficiency, 0.054), above_ideal=Measured(-2.0, 3.0))
    found = judge(PumpingEvidence(Measured(4.2, 0.05), heat=heat, running=True), compressor_type("scroll"))
    assert found.verdict == verdict
    assert (found.reasons[0].favours, found.reasons[0].id == "better-than-any-machine") == (
        verdict,
        verdict == "cannot tell",
    )
