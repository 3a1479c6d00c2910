"""Acid, gravity and cell voltage against Bode's polynomials, self-discharge and freezing tables."""

import math
from itertools import pairwise

import pytest

from intake.grading.quantities import interpolate
from intake.policy.grading_policy import load_grading_policy
from tests.external.published import columns_of

POLICY = load_grading_policy()
GRAVITY_TO_BLOCK_V = POLICY.cross_checks.gravity_to_block_v.points


def bode_cell_v(molality):
    """Sum of the two electrode polynomials of Bode, Lead-acid batteries, 1977, at 25 degC."""
    ten = math.log10(molality)
    return 1.922 + 0.148 * ten + 0.063 * ten**2 + 0.074 * ten**3 + 0.034 * ten**4


@pytest.mark.parametrize(("molality", "cell_v"), [(1.0, 1.922), (5.0, 2.0896), (6.0, 2.1227)])
def test_bodes_polynomial_at_known_molalities(molality, cell_v):
    """Bode 1977, as coded in an open battery-modelling library (parameter set Sulzer 2019)."""
    assert pytest.approx(cell_v, abs=5e-4) == bode_cell_v(molality)


@pytest.mark.parametrize(
    ("gravity", "molality"), columns_of("acid_sg_molality_ocv.csv", "sg", "molality"), ids=str
)
def test_the_policys_block_voltage_is_six_of_bodes_cells(gravity, molality):
    """Acid density of Myhre 1998; the polynomial's printed digits leave 1 mV per block."""
    found = interpolate(GRAVITY_TO_BLOCK_V, gravity)
    assert pytest.approx(6 * bode_cell_v(molality), abs=1e-3) == found


def test_the_trades_rule_of_thumb_agrees_where_the_acid_is_strong():
    """Common practice: cell voltage = gravity + 0.845. Within 20 mV a block from 1.265 up, low below."""
    for gravity, block_v in GRAVITY_TO_BLOCK_V:
        rule_v = 6 * (gravity + 0.845)
        assert -0.130 < rule_v - block_v < 0
        assert gravity < 1.265 or rule_v - block_v > -0.020


@pytest.mark.parametrize(
    ("gravity", "five_cells_v", "two_gone_v"),
    [(1.265, 10.57, 8.45), (1.28, 10.64, 8.51), (1.30, 10.74, 8.59)],
)
def test_five_full_cells_lie_inside_the_band_of_a_missing_cell_and_four_outside(
    gravity, five_cells_v, two_gone_v
):
    """Bode 1977: 5 x 2.1132 V = 10.57 V at SG 1.265; the bands of rest and hold are one."""
    cell_v = interpolate(GRAVITY_TO_BLOCK_V, gravity) / 6
    assert pytest.approx(five_cells_v, abs=0.01) == 5 * cell_v
    assert pytest.approx(two_gone_v, abs=0.01) == 4 * cell_v
    for low, high in (
        (POLICY.hold.cell_down_from_v.value, POLICY.hold.cell_down_to_v.value),
        (POLICY.rest.cell_suspect_from_v.value, POLICY.rest.cell_suspect_to_v.value),
    ):
        assert low < 5 * cell_v < high
        assert 4 * cell_v < low


def test_a_discharged_cell_among_five_full_ones_rests_like_a_charged_block():
    """Five of Bode's cells at SG 1.265 and one at 1.95 V: 12.52 V, which the rest screen lets pass."""
    block_v = 5 * interpolate(GRAVITY_TO_BLOCK_V, 1.265) / 6 + 1.95
    assert pytest.approx(12.52, abs=0.01) == block_v
    assert block_v > POLICY.rest.sound_v["flooded"].value


LOSS_PER_DAY = [(50, 0.0003), (80, 0.001), (100, 0.0025)]
"""TM 9-6140-200-14, p. 4-14: a charged wet battery in its first ten days, °F and gravity a day."""


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize(("cold", "warm", "expected"), [(0, 1, 2.06), (1, 2, 2.28)])
def test_self_discharge_doubles_with_ten_degrees(cold, warm, expected):
    """TM 9-6140-200-14, p. 4-14: Q10 = 2.06 from 50 to 80 °F and 2.28 from 80 to 100 °F."""
    (t1, loss1), (t2, loss2) = LOSS_PER_DAY[cold], LOSS_PER_DAY[warm]
    q10 = (loss2 / loss1) ** (10 / (celsius(t2) - celsius(t1)))
    assert pytest.approx(expected, abs=0.01) == q10


@pytest.mark.parametrize(
    ("place", "mv_a_day"), [(0, 1.7), (1, 5.7), (2, 14.3)], ids=["50 °F", "80 °F", "100 °F"]
)
def test_the_same_loss_in_millivolts_of_a_block(place, mv_a_day):
    """TM 9-6140-200-14, p. 4-14, through the policy's gravity table around SG 1.265: 1.7, 5.7, 14.3 mV."""
    _, loss = LOSS_PER_DAY[place]
    slope = (interpolate(GRAVITY_TO_BLOCK_V, 1.28) - interpolate(GRAVITY_TO_BLOCK_V, 1.25)) / 0.03
    assert pytest.approx(mv_a_day, abs=0.1) == 1000 * loss * slope


def test_the_loss_that_caps_lies_above_what_a_sound_old_battery_loses_at_27_degrees():
    """0.001 SG a day of the 0.155 between full and empty is 20 % a month; the policy caps above 30 %."""
    a_month = 0.001 / (1.265 - 1.110) * 100 * POLICY.self_discharge.month_days.value
    assert a_month < POLICY.self_discharge.highest_percent_per_month.value


FREEZING = columns_of("acid_freezing.csv", "sg_26.7C", "freeze_C", "freeze_F")


def test_the_freezing_table_falls_with_gravity_and_its_two_scales_agree():
    """TM 5-4210-230-14P-1 p. 458, OD1002, TM 5-1185; from 1.15 to 1.155 two manuals print one figure."""
    assert all(weak[1] >= strong[1] for weak, strong in pairwise(FREEZING))
    assert len({point for _, point, _ in FREEZING}) >= len(FREEZING) - 1
    for _, found_c, found_f in FREEZING:
        assert pytest.approx(celsius(found_f), abs=0.06) == found_c


@pytest.mark.parametrize(
    ("gravity", "freezes_c"), [(1.155, -15.0), (1.200, -26.7), (1.250, -52.2), (1.280, -67.8)]
)
def test_known_freezing_points(gravity, freezes_c):
    """OD1002 and TM 5-1185; the manuals differ by up to 1 °F."""
    found = {sg: point for sg, point, _ in FREEZING}
    assert pytest.approx(freezes_c, abs=1.0) == found[gravity]


def test_the_policys_freezing_points_are_those_of_the_manuals():
    found = dict(POLICY.bench.freezing_by_gravity.points)
    published = {sg: point for sg, point, _ in FREEZING}
    assert set(found) <= set(published)
    assert {gravity: -published[gravity] for gravity in found} == pytest.approx(found, abs=0.05)
