"""Too cold, too warm, near freezing: on both sides of each limit."""

import pytest

from intake.bench.charge_gates import charge_refusal, freezing_point_c, latest_temperature_c, lowest_gravity
from intake.model.battery import HoldReading
from tests.bench.builders import POLICY
from tests.grading.builders import battery, graded, held


def refusal(one):
    found = charge_refusal(one, graded(one), policy=POLICY)
    return None if found is None else found.why


def test_a_chemistry_that_nobody_knows_has_no_temperature_to_be_charged_at():
    assert refusal(battery("unknown", rest_voltage_v=12.7, temperature_c=-30.0)) is None


@pytest.mark.parametrize(("temperature_c", "too_warm"), [(-5.0, False), (46.0, True)])
def test_too_cold_and_too_warm_are_told_apart(temperature_c, too_warm):
    one = battery("LFP", rest_voltage_v=13.3, temperature_c=temperature_c)
    assert too_warm is charge_refusal(one, graded(one), policy=POLICY).too_warm


@pytest.mark.parametrize(
    ("chemistry", "volts", "temperature_c", "refused"),
    [
        ("LFP", 13.3, 0.1, None),
        ("LFP", 13.3, 0.0, "charged only above 0 °C"),
        ("LFP", 13.3, -5.0, "charged only above 0 °C"),
        ("LFP", 13.3, 45.0, None),
        ("LFP", 13.3, 45.1, "charged only up to 45 °C"),
        ("AGM", 12.9, 50.0, None),
        ("AGM", 12.9, 50.1, "charged only up to 50 °C"),
        ("flooded", 12.7, 45.1, "charged only up to 45 °C"),
        ("flooded", 12.7, -20.0, "charged only above -20 °C"),
    ],
)
def test_limits_of_temperature(chemistry, volts, temperature_c, refused):
    found = refusal(battery(chemistry, rest_voltage_v=volts, temperature_c=temperature_c))
    assert found is None if refused is None else refused in found


def test_without_a_temperature_nothing_is_refused():
    assert refusal(battery("LFP", rest_voltage_v=13.3, temperature_c=None)) is None


@pytest.mark.parametrize(("temperature_c", "refused"), [(-4.3, False), (-4.5, True)])
def test_an_empty_one_freezes_early(temperature_c, refused):
    """Empty: SG 1.120 freezes at -9.4 degC; the margin is 5 K."""
    one = battery("flooded", rest_voltage_v=11.0, rested_h=30, temperature_c=temperature_c)
    assert lowest_gravity(one, graded(one), policy=POLICY) == pytest.approx(1.12)
    found = refusal(one)
    assert (found is not None) == refused
    if found:
        assert "SG 1.120" in found
        assert "freezes at -9.4 °C" in found
        assert "A frozen battery is never charged." in found


@pytest.mark.parametrize(("temperature_c", "refused"), [(-9.9, False), (-10.0, True)])
def test_the_lowest_reading_of_a_hydrometer_counts(temperature_c, refused):
    """SG 1.155 freezes at -15 degC: the margin ends at -10 degC exactly."""
    gravity = (1.26, 1.26, 1.155, 1.26, 1.26, 1.26)
    one = battery("flooded", rest_voltage_v=12.7, specific_gravity=gravity, temperature_c=temperature_c)
    assert (refusal(one) is not None) == refused


@pytest.mark.parametrize(
    ("gravity", "freezes_c"),
    [(1.10, -7.2), (1.12, -9.4), (1.1375, -12.2), (1.265, -59.4), (1.0, -2.8), (1.4, -67.8)],
)
def test_freezing_points(gravity, freezes_c):
    """Between two rows of the manuals' table linear, outside it held."""
    assert freezing_point_c(specific_gravity=gravity, policy=POLICY) == pytest.approx(freezes_c)


def test_unknown_charge_is_reckoned_as_empty():
    one = battery("AGM", temperature_c=-5.0)
    assert lowest_gravity(one, graded(one), policy=POLICY) == pytest.approx(1.12)


def test_the_latest_temperature_counts():
    one = held("LFP", (0.5, 13.4), (12, 13.4), temperature_c=-3.0)
    assert latest_temperature_c(one) == 25.0
    assert latest_temperature_c(battery("LFP", temperature_c=-3.0)) == -3.0
    bare = battery("LFP", hold_readings=(HoldReading(1, 13.4),), temperature_c=-3.0)
    assert latest_temperature_c(bare) == -3.0
