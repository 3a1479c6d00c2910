"""One battery in the words that a form asks for."""

import pytest

from intake.report.disposal.words import (
    condition_in_words,
    energy_wh,
    officer_line,
    seen_parts,
    undiagnosed_because,
)
from tests.report.builders import battery, held, made, result_of


def graded(one):
    return result_of([one]).graded[0]


@pytest.mark.parametrize(
    ("expected", "chemistry", "capacity_ah"),
    [
        (99.84, "LFP", 7.8),
        (720.0, "flooded", 60.0),
        (None, "LFP", None),
        (None, "unknown", 60.0),
        (None, "other", 60.0),
    ],
)
def test_energy_is_rated_capacity_times_nominal_voltage(expected, chemistry, capacity_ah):
    """7.8 Ah of LFP is the most that stays within 100 Wh, ADR special provision 188."""
    energy = energy_wh(battery(1, chemistry, rated_capacity_ah=capacity_ah))

    assert (expected is None and energy is None) or pytest.approx(expected) == energy


@pytest.mark.parametrize(
    ("why", "chemistry", "fields"),
    [
        ("chemistry not identified", "unknown", {"rest_voltage_v": 12.6}),
        ("chemistry not identified", "other", {"rest_voltage_v": 12.6}),
        ("case not read", "LFP", {"case": None, "rest_voltage_v": 13.3}),
        ("no usable reading", "LFP", {"rest_voltage_v": None, "rested_h": None}),
        ("", "LFP", {"rest_voltage_v": 13.3}),
        ("", "LFP", {"rest_voltage_v": 13.3, "case": "swollen"}),
        ("", "flooded", {"rest_voltage_v": 12.6}),
    ],
)
def test_what_can_not_be_diagnosed_says_why(why, chemistry, fields):
    assert why == undiagnosed_because(graded(battery(1, chemistry, **fields)))


def test_a_sleeping_protection_circuit_is_not_diagnosed():
    assert "suspect" == undiagnosed_because(graded(battery(1, "LFP", rest_voltage_v=0.4)))


@pytest.mark.parametrize(("rest_voltage_v", "why"), [(5.99, "the protection circuit did not wake"), (9, "")])
def test_a_protection_circuit_that_a_reset_did_not_wake_is_not_diagnosed(rest_voltage_v, why):
    one = graded(battery(1, "LFP", rest_voltage_v=rest_voltage_v, bms_reset_tried=True))

    assert why == undiagnosed_because(one)


def test_no_battery_on_the_intact_lithium_line_is_undiagnosed():
    recalled = graded(battery(1, "LFP", rest_voltage_v=13.3, under_recall=True))

    assert "lfp-damaged" == recalled.stream
    assert "not diagnosable" not in condition_in_words(recalled)


def test_everything_seen_is_named():
    one = battery(
        1,
        "AGM",
        rest_voltage_v=12.5,
        mass_kg=15.24,
        case="scuffed",
        terminals="broken",
        case_plastic="PP",
        non_spillable_mark=True,
        under_recall=False,
    )

    assert ["case scuffed", "terminals broken", "plastic PP", "non-spillable mark"] == seen_parts(graded(one))


def test_everything_missing_is_named():
    one = graded(
        battery(
            1,
            "LFP",
            rest_voltage_v=None,
            rested_h=None,
            case=None,
            terminals=None,
            rated_capacity_ah=None,
        )
    )
    line = officer_line(one)

    assert [
        "case not read",
        "terminals not inspected",
        "plastic unknown",
        "recall not checked",
    ] == seen_parts(one)
    assert ("–", "–", "–", "") == (line.energy, line.mass, line.voltage, line.made)
    assert (
        "not diagnosable: case not read; handle as suspect; residual charge not known"
        == condition_in_words(one)
    )
    assert not line.plain


def test_recall_and_reset_are_told():
    one = graded(battery(1, "LFP", rest_voltage_v=13.2, under_recall=True, bms_reset_tried=True))

    assert seen_parts(one)[-3:-1] == ["UNDER RECALL", "BMS reset tried"]


def test_figures_are_as_written_and_an_estimated_mass_says_so():
    weighed = graded(battery(1, rest_voltage_v=12.71, mass_kg=15.24, made=made(2023, 4)))
    line = officer_line(weighed)

    assert ("720", "15.2", "12.71", "made 2023-04") == (line.energy, line.mass, line.voltage, line.made)
    assert "mass estimated" not in seen_parts(weighed)
    assert "mass estimated" in seen_parts(graded(battery(2, rest_voltage_v=12.71)))


def test_of_a_hold_the_last_voltage_is_shown():
    one = held(1, "AGM", (1 / 6, 12.61), (12.0, 12.55), rest_voltage_v=None, rested_h=None)

    assert "12.55" == officer_line(graded(one)).voltage


def test_lead_acid_is_not_held_against_a_criterion_of_lithium():
    """Special provision 376 of ADR speaks of lithium and sodium ion batteries."""
    assert "handle as damaged" == condition_in_words(
        graded(battery(1, case="leaking", rest_voltage_v=None, rested_h=None))
    )


@pytest.mark.parametrize("reset_tried", [True, False])
def test_posts_behind_an_open_protection_circuit_tell_no_residual_charge(reset_tried):
    one = graded(battery(1, "LFP", rest_voltage_v=2.4, bms_reset_tried=reset_tried))

    assert condition_in_words(one).endswith("residual charge not known")


def test_residual_charge_has_its_interval():
    one = graded(battery(1, "LFP", rest_voltage_v=13.3))

    assert " to " in condition_in_words(one).partition("residual charge")[2]
    assert officer_line(one).plain


@pytest.mark.parametrize(
    ("one", "voltage"),
    [
        (held(1, "AGM", (12.0, 12.45), rest_voltage_v=12.05), "12.45"),
        (battery(1, rest_voltage_v=12.05), "12.05"),
        (battery(1, rest_voltage_v=None, rested_h=None), "–"),
    ],
)
def test_the_voltage_is_the_one_that_the_manifest_counts(one, voltage):
    (graded,) = result_of([one]).graded
    assert voltage == officer_line(graded).voltage
