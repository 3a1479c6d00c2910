"""Which voltage of a battery the plot shows."""

from intake.model.battery import Chemistry
from intake.report.plots.voltage_points import points_by_chemistry
from tests.report.builders import battery, held, result_of


def points(*batteries):
    return points_by_chemistry(result_of(batteries).graded)


def test_a_rest_voltage_is_reduced_to_25_degrees_with_its_interval():
    """12.70 V at 20 degC is 12.7075 V at 25; u is 0.0165 V, with the table 0.0342 V, times 1.96."""
    ((chemistry, (point,)),) = points(battery(1, rest_voltage_v=12.70)).items()

    assert Chemistry.FLOODED is chemistry
    assert 12.7075 == round(point.voltage_v, 4)
    assert 0.067 == round(point.half_width_v, 3)
    assert not point.held


def test_a_hold_shows_what_it_settles_at():
    """The worked example of the contract at 21 degC: settles at 13.118 V, and 6 mV for the temperature."""
    ((_, (point,)),) = points(held(1, "AGM", (0.5, 13.318), (1.0, 13.283), rest_voltage_v=12.2)).items()

    assert 13.124 == round(point.voltage_v, 3)
    assert point.held


def test_a_chemistry_without_a_table_shows_the_voltage_as_read():
    ((chemistry, (point,)),) = points(battery(1, "other", rest_voltage_v=7.9)).items()

    assert Chemistry.OTHER is chemistry
    assert (7.9, 0.0) == (point.voltage_v, point.half_width_v)


def test_a_battery_without_a_voltage_is_no_point():
    assert {} == points(battery(1, rest_voltage_v=None, case="cracked"))


def test_points_rise_and_chemistries_keep_their_order():
    found = points(
        battery(1, "LFP", rest_voltage_v=13.2),
        battery(2, rest_voltage_v=12.7),
        battery(3, rest_voltage_v=12.1),
    )

    assert [Chemistry.FLOODED, Chemistry.LFP] == list(found)
    voltages = [point.voltage_v for point in found[Chemistry.FLOODED]]
    assert sorted(voltages) == voltages


def test_points_of_rows_that_share_a_tag_are_named_with_their_row():
    wrong = {"row_errors": ("The tag stands twice.",)}
    twins = (battery(1, rest_voltage_v=12.7, **wrong), battery(2, tag="B-001", rest_voltage_v=12.1, **wrong))
    ((_, found),) = points(*twins).items()

    assert ["B-001 (row 6)", "B-001 (row 5)"] == [point.name for point in found]
