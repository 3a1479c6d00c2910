"""Charging time, worked out by hand with the shipped policy's numbers."""

import pytest

from intake.bench.charge_time import ChargeNeed, charge_need, estimate_charge, treatment_h
from intake.model.battery import Chemistry
from intake.model.plan import TaskKind
from tests.bench.builders import POLICY
from tests.grading.builders import battery, graded, held


def need(chemistry, capacity_ah, missing_percent, *, low_percent=0, low_ah=None):
    return ChargeNeed(
        Chemistry(chemistry), low_ah or capacity_ah, capacity_ah, low_percent, missing_percent, ()
    )


@pytest.mark.parametrize(
    ("chemistry", "capacity_ah", "missing", "station_a", "treatments", "current_a", "charge_ah", "hours"),
    [
        # 60 x 60 % x 1.2 = 43.2 Ah; the station's 10 A are under the battery's 0.2 x 60 = 12 A
        ("flooded", 60, 60, 10, [], 10, 43.2, 4.32 + 3),
        # 40 x 50 % x 1.2 = 24 Ah at the battery's own 0.2 x 40 = 8 A
        ("flooded sealed", 40, 50, 10, [], 8, 24, 3 + 3),
        # 7 x 100 % x 1.1 = 7.7 Ah at 0.3 x 7 = 2.1 A
        ("AGM", 7, 100, 10, [], 2.1, 7.7, 7.7 / 2.1 + 3),
        # 50 x 50 % x 1.1 = 27.5 Ah at 10 A, the taper of gel, four hours of recovery
        ("gel", 50, 50, 10, ["recover"], 10, 27.5, 2.75 + 4 + 4),
        ("EFB", 70, 30, 5, ["recover", "equalise"], 5, 25.2, 5.04 + 3 + 4 + 3),
        # 100 x 80 % x 1.01 = 80.8 Ah at 20 A, under 0.5 x 100 = 50 A
        ("LFP", 100, 80, 20, ["balance"], 20, 80.8, 4.04 + 1 + 4),
        ("LFP", 100, 80, 20, ["recover", "balance"], 20, 80.8, 4.04 + 1 + 2 + 4),
        ("flooded", 60, 0, 10, [], 10, 0, 3),
    ],
)
def test_hours_by_hand(chemistry, capacity_ah, missing, station_a, treatments, current_a, charge_ah, hours):
    found = estimate_charge(
        need(chemistry, capacity_ah, missing),
        [TaskKind(one) for one in treatments],
        station_current_a=station_a,
        policy=POLICY,
    )
    assert (found.current_a, found.charge_high_ah, found.hours_high) == pytest.approx(
        (current_a, charge_ah, hours)
    )


def test_the_lower_end_of_the_time_comes_from_the_upper_end_of_the_charge():
    """60 Ah between 40 and 60 % full: 40 to 60 % missing, 28.8 to 43.2 Ah."""
    found = estimate_charge(need("flooded", 60, 60, low_percent=40), [], station_current_a=10, policy=POLICY)
    assert (found.charge_low_ah, found.hours_low) == pytest.approx((28.8, 5.88))
    assert (found.charge_high_ah, found.hours_high) == pytest.approx((43.2, 7.32))


def test_the_sum_can_be_checked_with_a_pocket_calculator():
    found = estimate_charge(
        need("flooded", 40, 62.5), [TaskKind.RECOVER], station_current_a=10, policy=POLICY
    )
    assert found.working == (
        "40 Ah × 62.5 % missing at most × 1.2 = 30.0 Ah; at 8 A 3.75 h, taper 3 h, recover 4 h: "
        "10.75 h at most. The battery's own limit, 0.2 A per Ah, holds: 8 A."
    )
    assert found.recover_current_a == pytest.approx(2)
    plain = estimate_charge(need("flooded", 60, 50), [], station_current_a=10, policy=POLICY)
    assert "own limit" not in plain.working
    assert plain.recover_current_a is None


def test_the_weakest_of_its_numbers_gives_the_status():
    def status(chemistry, *treatments):
        return estimate_charge(
            need(chemistry, 50, 50), treatments, station_current_a=10, policy=POLICY
        ).status

    assert status("AGM") == "common practice"
    assert status("flooded", TaskKind.RECOVER) == "site choice"
    assert status("LFP") == "from memory"


def test_every_source_is_named_once():
    found = estimate_charge(need("AGM", 50, 50), [TaskKind.RECOVER], station_current_a=10, policy=POLICY)
    for cited in (
        POLICY.bench.recharge_factor[Chemistry.AGM],
        POLICY.bench.highest_current_a_per_ah[Chemistry.AGM],
        POLICY.bench.taper_h[Chemistry.AGM],
        POLICY.bench.recover_h[Chemistry.AGM],
        POLICY.bench.recover_current_a_per_ah,
    ):
        assert found.source.count(cited.source) == 1


def test_what_is_missing_comes_from_the_interval():
    one = battery("AGM", rest_voltage_v=12.30, rated_capacity_ah=60)
    verdict = graded(one)
    state = verdict.state_of_charge
    found = charge_need(one, verdict, policy=POLICY)
    assert (found.capacity_low_ah, found.capacity_high_ah) == (60, 60)
    assert found.missing_low_percent == pytest.approx(100 - state.high_percent)
    assert found.missing_high_percent == pytest.approx(100 - state.low_percent)
    assert found.missing_high_percent - found.missing_low_percent > 5
    assert found.remarks == ()


def test_the_hold_counts_before_the_rest():
    one = held("AGM", (0.5, 13.2), (12, 12.9), rest_voltage_v=12.0, rated_capacity_ah=60)
    assert graded(one).known_charge == graded(one).held_charge.state_of_charge


def test_an_unknown_capacity_is_wide_and_marked():
    """The smaller end bounds the current, the larger one the time: 110 x 1.1 / 10 A + 3 h."""
    one = battery("AGM", rest_voltage_v=11.5, rested_h=30)
    found = charge_need(one, graded(one), policy=POLICY)
    assert (found.capacity_low_ah, found.capacity_high_ah) == (40, 110)
    assert found.remarks == ("Capacity not given: 40 to 110 Ah assumed, so the time is wide.",)
    time = estimate_charge(found, [], station_current_a=20, policy=POLICY)
    assert time.current_a == pytest.approx(0.3 * 40)
    assert time.hours_high == pytest.approx(110 * found.missing_high_percent / 100 * 1.1 / 12 + 3)


def test_without_a_voltage_it_may_stand_anywhere():
    one = battery("AGM", rated_capacity_ah=60)
    found = charge_need(one, graded(one), policy=POLICY)
    assert (found.missing_low_percent, found.missing_high_percent) == (0, 100)
    assert found.remarks == ("State of charge not known: counted from empty.",)


def test_after_a_measured_discharge_it_may_be_empty():
    one = battery("AGM", rest_voltage_v=12.6, rated_capacity_ah=60, delivered_capacity_ah=50)
    found = charge_need(one, graded(one), policy=POLICY)
    assert found.missing_high_percent == 100
    assert found.missing_low_percent < 100
    assert found.remarks == ("A discharge was measured: counted from empty.",)


def test_only_treatments_have_hours_of_their_own():
    assert treatment_h(TaskKind.EQUALISE, Chemistry.FLOODED, policy=POLICY).value == 3
    with pytest.raises(KeyError):
        treatment_h(TaskKind.CHARGE, Chemistry.FLOODED, policy=POLICY)
