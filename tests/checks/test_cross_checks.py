from datetime import date

import pytest

from intake.checks.check_workbook import check_workbook
from intake.checks.cross_checks import bode_block_voltage_v
from intake.model.finding import Severity
from intake.policy.grading_policy import load_grading_policy
from tests.changed import replace
from tests.checks.builders import BATCH, GOOD, LFP, POLICY, TODAY, check_rows, told, workbook

SHIPPED = load_grading_policy().cross_checks.gravity_to_block_v.points


def gravities(value):
    return {f"SG {place}": value for place in range(1, 7)}


def cells(value):
    return {f"Cell {place} (V)": value for place in range(1, 5)}


def warned(checked):
    assert checked.batch is not None, checked.findings
    return [place for severity, place, _ in told(checked.findings) if severity == "warning"]


@pytest.mark.parametrize(
    ("made", "warns"),
    [
        ("2021-11-20", False),
        ("2021-11-19", True),
        ("2021-11", False),
        ("2021-10", True),
        ("2021", False),
        ("2020", True),
        ("2026-11-20", False),
        ("2026-11", False),
        ("2026", False),
    ],
)
def test_an_age_over_the_limit_is_a_warning_only_when_it_is_certain(made, warns):
    """Received is 2026-11-20 and the limit five years; of a month or year its last day counts."""
    checked = check_rows({**GOOD, "Made": made})
    assert (["Batteries!G2"] if warns else []) == warned(checked)
    assert all(one.tag == "B-1" for one in checked.findings)
    assert checked.batch is not None
    kept = checked.batch.batteries[0].made
    assert kept is not None
    assert made == kept.text


def test_five_years_to_the_day_are_not_more_than_five_across_leap_days():
    batch = {**BATCH, "Received": "2024-03-01"}
    assert [] == warned(check_rows({**GOOD, "Made": "2019-03-01"}, batch=batch))
    assert ["Batteries!G2"] == warned(check_rows({**GOOD, "Made": "2019-02-28"}, batch=batch))


@pytest.mark.parametrize(
    ("made", "warns"), [("2021-12-01", True), ("2024-06-01", True), ("2024-09-01", False)]
)
def test_a_limit_may_have_a_fraction(made, warns):
    """Two and a quarter years before 2026-11-20 is 2024-08-20."""
    limit = replace(POLICY.cross_checks.age_warning_years, value=2.25)
    policy = replace(POLICY, cross_checks=replace(POLICY.cross_checks, age_warning_years=limit))
    checked = check_workbook(workbook({**GOOD, "Made": made}), today=TODAY, date_order=None, policy=policy)
    assert (["Batteries!G2"] if warns else []) == warned(checked)


@pytest.mark.parametrize("made", ["2026-11-21", "2026-12", "2027"])
def test_made_after_received_is_left_blank_with_a_warning(made):
    checked = check_rows({**GOOD, "Made": made})
    assert ["Batteries!G2"] == warned(checked)
    assert "is after Received, 2026-11-20. The value is left blank." in checked.findings[0].message
    assert checked.batch is not None
    assert checked.batch.batteries[0].made is None


def test_without_a_received_day_no_age_is_told():
    checked = check_rows({**GOOD, "Made": "1999"}, batch={**BATCH, "Received": None})
    assert [("error", "Batch!B3", "Received")] == told(checked.findings)


@pytest.mark.parametrize(
    ("volts", "warns"), [(12.3, False), (12.55, False), (12.551, True), (12.05, False), (12.049, True)]
)
def test_gravity_and_rest_voltage_may_differ_by_the_limit(volts, warns):
    """The tests' curve has 12.3 V at 1.200, and a quarter of a volt is allowed."""
    checked = check_rows({**GOOD, "Rest voltage (V)": volts, **gravities(1.2)})
    assert (["Batteries!D2"] if warns else []) == warned(checked)


def test_the_mean_of_the_gravities_counts():
    row = {**GOOD, "Rest voltage (V)": 12.3, **gravities(1.2), "SG 1": 1.1, "SG 2": 1.3}
    assert [] == warned(check_rows(row))
    checked = check_rows({**row, "Rest voltage (V)": 12.8})
    assert ["Batteries!D2"] == warned(checked)
    assert "1.200 on average stands for about 12.30 V" in checked.findings[0].message


@pytest.mark.parametrize(
    ("gravity", "expected"),
    [(1.0, 11.8), (1.1, 11.8), (1.15, 12.05), (1.2, 12.3), (1.25, 12.6), (1.3, 12.9), (1.4, 12.9)],
)
def test_the_curve_is_interpolated_and_holds_on_beyond_its_ends(gravity, expected):
    found = bode_block_voltage_v(
        specific_gravity=gravity, points=POLICY.cross_checks.gravity_to_block_v.points
    )
    assert pytest.approx(expected, abs=1e-12) == found


def test_the_shipped_curve_meets_the_polynomials():
    """Bode 1977, both electrode polynomials summed, six cells at SG 1.265 and 25 °C: 12.679 V within 5 mV."""
    found = bode_block_voltage_v(specific_gravity=1.265, points=SHIPPED)
    assert pytest.approx(12.679, abs=0.005) == found


@pytest.mark.parametrize(
    ("volts", "warns"), [(13.2, False), (13.4, False), (13.401, True), (13.0, False), (12.999, True)]
)
def test_the_cells_may_differ_from_the_block_by_the_limit(volts, warns):
    """Four cells of 3.3 V are 13.2 V, and two tenths are allowed."""
    checked = check_rows({**LFP, "Rest voltage (V)": volts, **cells(3.3)})
    assert (["Batteries!D2"] if warns else []) == warned(checked)
    assert all("together they have 13.200 V" in one.message for one in checked.findings)


@pytest.mark.parametrize("row", [{**GOOD, **gravities(1.1)}, {**LFP, **cells(2.5)}])
def test_without_a_rest_voltage_nothing_is_compared(row):
    assert () == check_rows({**row, "Rest voltage (V)": None}).findings


def test_blank_hours_of_rest_and_temperatures_are_noted_once_for_all():
    rows = [{**GOOD, "Tag": f"B-{number}"} for number in range(1, 10)]
    for row in rows[:7]:
        row["Rested (h)"] = None
    rows[0]["Temperature (°C)"] = None
    rows[8]["Rest voltage (V)"] = rows[8]["Rested (h)"] = None
    checked = check_rows(*rows)
    assert [("note", "Batteries", "Rested (h)"), ("note", "Batteries", "Temperature (°C)")] == told(
        checked.findings, Severity.NOTE
    )
    assert [
        "Blank for 7 of 8 rest voltages (B-1, B-2, B-3, B-4, B-5 …); each counts as rested for 0.5 h.",
        "Blank for 1 of 8 rest voltages (B-1); each counts as 25 °C, with more doubt.",
    ] == [one.message for one in checked.findings if one.severity is Severity.NOTE]


def test_five_tags_are_named_without_a_sign_of_more():
    rows = [{**GOOD, "Tag": f"B-{number}", "Rested (h)": None} for number in range(1, 6)]
    assert "(B-1, B-2, B-3, B-4, B-5);" in check_rows(*rows).findings[0].message


def test_an_unreadable_hour_of_rest_is_not_called_blank():
    checked = check_rows({**GOOD, "Rested (h)": "long", "Temperature (°C)": date(2021, 3, 1)})
    assert ["error", "error"] == [one.severity.value for one in checked.findings]


UNMEASURED = {"Tag": "B-7", "Chemistry": "AGM", "Case": "sound"}


def unmeasured(row, **sheets):
    findings = check_rows(UNMEASURED | row, **sheets).findings
    return [one for one in findings if "no voltage" in one.message]


def test_a_battery_without_any_reading_is_a_warning():
    (finding,) = unmeasured({})
    assert ("Batteries", "") == (finding.place, finding.field)
    (finding,) = unmeasured({"Rest voltage (V)": None})
    assert ("Batteries!D2", "Rest voltage (V)") == (finding.place, finding.field)
    assert ("warning", "It will be unresolved: no voltage.", "B-7") == (
        finding.severity.value,
        finding.message,
        finding.tag,
    )
    assert "Read the rest voltage" in finding.hint


@pytest.mark.parametrize("case", ["sound", "scuffed", "dented"])
def test_hours_and_a_temperature_alone_are_no_reading(case):
    assert unmeasured({"Case": case, "Rested (h)": 24, "Temperature (°C)": 20, "Rated capacity (Ah)": 60})


@pytest.mark.parametrize(
    "row",
    [
        {"Rest voltage (V)": 0},
        {"Hold start (V)": 13.0, "Hold start after (h)": 1},
        {"Load current (A)": 100, "Load time (s)": 15, "Load voltage (V)": 10},
        {"Measured CCA (A)": 0},
        {"Delivered capacity (Ah)": 30},
        {"Internal resistance (mΩ)": 6},
        {"Chemistry": "flooded", **{f"SG {place}": 1.25 for place in range(1, 7)}},
        {"Chemistry": "LFP", **{f"Cell {place} (V)": 3.3 for place in range(1, 5)}},
    ],
)
def test_any_reading_is_one(row):
    assert [] == unmeasured(row)


def test_a_reading_of_the_other_sheet_is_one():
    assert [] == unmeasured({}, hold=[{"Tag": "B-7", "After charge (h)": 2, "Voltage (V)": 12.9}])


@pytest.mark.parametrize(
    "row",
    [
        {"Case": "cracked"},
        {"Case": "leaking"},
        {"Case": "swollen"},
        {"Case": "burnt"},
        {"Under recall": "yes"},
        {"Use": "unused dry"},
        {"Chemistry": "unknown"},
        {"Chemistry": "other"},
        {"Rest voltage (V)": "twelve"},
    ],
)
def test_what_needs_no_reading_or_has_an_error_is_not_warned_of(row):
    assert [] == unmeasured(row)


def test_a_note_that_speaks_of_damage_beside_a_whole_case_is_a_warning():
    (finding,) = check_rows({**GOOD, "Note": "leaking at one corner"}).findings
    assert ("warning", "Note") == (finding.severity.value, finding.field)
    assert "but Case is sound" in finding.message
    assert () == check_rows({**GOOD, "Case": "leaking", "Note": "leaking at one corner"}).findings
    assert () == check_rows({**GOOD, "Note": "handle is missing"}).findings


HELD = {
    **{key: value for key, value in GOOD.items() if key != "Rested (h)"},
    "Chemistry": "AGM",
    "Charge ended": "2026-11-18 16:00",
    "Hold start (V)": 13.0,
    "Hold start read at": "2026-11-18 18:00",
    "Hold end (V)": 12.85,
    "Hold end read at": "2026-11-19 08:00",
    "Rest began": "2026-11-18 16:00",
    "Rest read at": "2026-11-20 09:00",
}
ARRIVED = {**BATCH, "Received": "2026-11-18"}


def test_a_rest_voltage_after_the_hold_belongs_to_it():
    (found,) = [one for one in check_rows(HELD, batch=ARRIVED).findings if one.severity is Severity.WARNING]
    assert ("B-1", "Rest voltage (V)") == (found.tag, found.field)
    assert found.message.startswith(
        "Rest voltage was read 41 h after the charge ended, after its hold readings"
    )
    assert "the last of them is at 16 h" in found.message
    assert "belongs on the Hold readings sheet" in found.hint


@pytest.mark.parametrize(
    ("changed", "warns"),
    [
        ({"Rest read at": "2026-11-19 08:06"}, False),
        ({"Rest read at": "2026-11-19 08:07"}, True),
        ({"Rest read at": "2026-11-18 17:00"}, False),
        ({"Rest began": "2026-11-19 09:00"}, True),
        ({"Rest began": None, "Rest read at": None, "Rested (h)": 41}, False),
        ({"Rest voltage (V)": None, "Rest began": None, "Rest read at": None}, False),
        ({"Charge ended": None, "Hold start read at": None, "Hold end read at": None}
         | {"Hold start after (h)": 2, "Hold end after (h)": 16}, False),
        ({key: None for key in HELD if key.startswith("Hold")}, False),
        ({"Delivered capacity (Ah)": 50, "Rated capacity (Ah)": 60}, False),
    ],
)  # fmt: skip
def test_a_rest_voltage_is_no_hold_reading_before_the_last_or_where_a_time_is_missing(changed, warns):
    row = {key: value for key, value in {**HELD, **changed}.items() if value is not None}
    found = [
        one.field
        for one in check_rows(row, batch=ARRIVED).findings
        if "after its hold readings" in one.message
    ]
    assert warns == (["Rest voltage (V)"] == found)
    assert warns or not found


@pytest.mark.parametrize(
    ("changed", "warns"),
    [
        ({"Rest voltage (V)": 14.4, "Rested (h)": 5}, True),
        ({"Rest voltage (V)": 14.35, "Rested (h)": 3}, True),
        ({"Rest voltage (V)": 14.34, "Rested (h)": 5}, False),
        ({"Rest voltage (V)": 14.4, "Rested (h)": 2.9}, False),
        ({"Rest voltage (V)": 14.4, "Rested (h)": None}, False),
        ({"Rest voltage (V)": None}, False),
        ({"Rest voltage (V)": 14.4, "Rested (h)": 5, "Chemistry": "AGM"}, False),
    ],
)
def test_lithium_that_rests_above_a_full_block_is_asked_about(changed, warns):
    row = {key: value for key, value in {**LFP, **changed}.items() if value is not None}
    found = [one for one in check_rows(row).findings if "full LFP block" in one.message]
    assert warns == bool(found)
    assert all("not LFP" in one.message and one.severity is Severity.WARNING for one in found)
