from datetime import date, datetime, time, timedelta

import pytest

from intake.checks.cells.cell_text import quoted
from intake.checks.cells.dates import DateOrder, DateSpan, read_date, read_partial_date
from intake.model.battery import DatePrecision
from tests.checks.builders import cell, noted, refusal, value_of


def partial(value, number_format="General", order=None):
    return read_partial_date(cell(value, number_format), date_order=order)


def whole(value, number_format="General", order=None):
    return read_date(cell(value, number_format), date_order=order)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (date(2021, 3, 14), "2021-03-14"),
        (datetime(2021, 3, 14, 23, 59), "2021-03-14"),
        ("2021-03-14", "2021-03-14"),
        ("2021-3-4", "2021-03-04"),
        ("2021/03/14", "2021-03-14"),
        ("2021-03-14T00:00:00", "2021-03-14"),
        ("2021-03-14 08:30", "2021-03-14"),
        (" 2021-03-14\u00a0", "2021-03-14"),
        ("٢٠٢١-٠٣-١٤", "2021-03-14"),
        ("14 March 2021", "2021-03-14"),
        ("14. mar. 2021", "2021-03-14"),
        ("14-Mar-2021", "2021-03-14"),
        ("14th March, 2021", "2021-03-14"),
        ("March 14, 2021", "2021-03-14"),
        ("Mar 3rd 2021", "2021-03-03"),
        ("14/03/2021", "2021-03-14"),
        ("03/14/2021", "2021-03-14"),
        ("14.03.2021", "2021-03-14"),
        ("03/03/2021", "2021-03-03"),
        ("29/02/2024", "2024-02-29"),
        ("2021-03", "2021-03"),
        ("03/2021", "2021-03"),
        ("3.2021", "2021-03"),
        ("March 2021", "2021-03"),
        ("MARCH 2021", "2021-03"),
        ("sept-2021", "2021-09"),
        ("2021 March", "2021-03"),
        ("2021", "2021"),
        (2021, "2021"),
        (2021.0, "2021"),
        (1950, "1950"),
        (2100, "2100"),
    ],
)
def test_a_date_keeps_the_precision_that_was_written(value, expected):
    assert expected == value_of(partial(value)).text


@pytest.mark.parametrize(
    "value",
    [
        "03/21", "Mar 21", "14/03/21", "21-3", "'21", "14 March", "March", "2021-13", "2021-00", "2021-02-30",
        "29/02/2023", "32/01/2021", "13/13/2021", "00/05/2021", "2021-03-14-1", "2021/03-14", "Märchen 2021",
        "14 Marchember 2021", "yesterday", "20260314", "1949", "2101", "1949-12-31", "n/a", "", "2021²",
        44256, 2021.5, 1949, 2101, 202103, True, time(12, 0), timedelta(days=1), None,
        float("nan"), float("inf"), date(1900, 1, 1), datetime(2101, 1, 1), 10**400,
    ],
)  # fmt: skip
def test_what_is_no_date_is_refused(value):
    found = refusal(partial(value))
    assert "expected a date, month or year from 1950 to 2100" in found.message
    assert found.message.startswith(f"{quoted(value)} cannot be read as a date;")


def test_a_month_spans_its_days_and_a_year_its_months():
    month, year = value_of(partial("2024-02")), value_of(partial("2021"))
    assert (date(2024, 2, 1), date(2024, 2, 29)) == (month.earliest, month.latest)
    assert (date(2021, 1, 1), date(2021, 12, 31)) == (year.earliest, year.latest)
    assert (DatePrecision.MONTH, DatePrecision.YEAR) == (month.precision, year.precision)


@pytest.mark.parametrize(
    ("number_format", "expected"),
    [("yyyy-mm-dd", "2021-03-01"), ("mmm-yy", "2021-03"), ("mm/yyyy", "2021-03"), ("yyyy", "2021")],
)
def test_a_true_date_is_as_precise_as_it_is_shown(number_format, expected):
    assert expected == value_of(partial(date(2021, 3, 1), number_format)).text


def test_a_true_date_that_shows_no_year_is_said():
    """Typing Mar-21 into a spreadsheet program gives the 21st of March of the year of typing."""
    taken, words = noted(partial(date(2026, 3, 21), "d-mmm"))
    assert "2026-03-21" == taken.text
    assert "shows no year" in words


def test_a_date_with_two_readings_is_refused_with_both_named():
    found = refusal(partial("03/04/2021"))
    assert '"03/04/2021" can be read as 2021-04-03 or as 2021-03-04;' in found.message
    assert "--day-first or --month-first" in found.hint


@pytest.mark.parametrize(
    ("span", "other", "said"),
    [
        (DateSpan(latest=date(2021, 4, 2)), "2021-04-03", "2021-03-04"),
        (DateSpan(earliest=date(2021, 3, 5)), "2021-03-04", "2021-04-03"),
        (DateSpan(date(2021, 3, 4), date(2021, 4, 2)), "2021-04-03", "2021-03-04"),
    ],
)
def test_of_two_readings_only_those_that_can_be_are_offered(span, other, said):
    for found in (
        refusal(read_date(cell("03/04/2021"), date_order=None, span=span)),
        refusal(read_partial_date(cell("03/04/2021"), date_order=None, span=span)),
    ):
        assert f"can be read in two ways, and {other} cannot be meant" in found.message
        assert f"Type {said} if that is the day." == found.hint


@pytest.mark.parametrize(
    "span", [DateSpan(), DateSpan(date(2021, 3, 4), date(2021, 4, 3)), DateSpan(latest=date(2021, 4, 3))]
)
def test_both_are_offered_where_both_can_be(span):
    found = refusal(read_date(cell("03/04/2021"), date_order=None, span=span))
    assert "as 2021-04-03 or as 2021-03-04" in found.message


def test_none_is_offered_where_none_can_be():
    found = refusal(read_date(cell("03/04/2021"), date_order=None, span=DateSpan(latest=date(2021, 3, 3))))
    assert "and neither can be meant" in found.message
    assert "2021-04-03" not in found.hint


def test_a_date_that_is_plain_is_taken_whatever_can_be():
    late = DateSpan(latest=date(2021, 1, 1))
    assert date(2021, 3, 14) == value_of(read_date(cell("2021-03-14"), date_order=None, span=late))


@pytest.mark.parametrize(
    ("order", "expected"), [(DateOrder.DAY_FIRST, "2021-04-03"), (DateOrder.MONTH_FIRST, "2021-03-04")]
)
def test_a_site_s_order_decides(order, expected):
    assert expected == value_of(partial("03/04/2021", order=order)).text
    assert expected == value_of(partial("3.4.2021", order=order)).text


def test_the_order_does_not_undo_the_only_possible_reading():
    assert "2021-03-14" == value_of(partial("03/14/2021", order=DateOrder.DAY_FIRST)).text


@pytest.mark.parametrize(
    "value", [date(2026, 11, 20), datetime(2026, 11, 20), "20 November 2026", "2026-11-20"]
)
def test_a_whole_date_is_taken(value):
    assert date(2026, 11, 20) == value_of(whole(value))


def test_a_whole_date_keeps_its_remark():
    assert date(2026, 11, 20) == noted(whole(date(2026, 11, 20), "d-mmm"))[0]


@pytest.mark.parametrize(
    ("value", "number_format"),
    [
        ("2026-11", "General"),
        ("2026", "General"),
        (2026, "General"),
        (date(2026, 11, 20), "mmm-yy"),
        ("x", "@"),
    ],
)
def test_a_part_of_a_date_is_no_whole_date(value, number_format):
    found = refusal(whole(value, number_format))
    assert "expected a whole date from 1950 to 2100" in found.message
    assert found.hint


def test_a_bare_day_count_is_to_be_formatted_as_a_date():
    assert "Format the cell as a date" in refusal(whole(46346)).hint
    assert "Format the cell as a date" in refusal(partial(44256)).hint


def test_a_word_for_nothing_is_to_be_left_out():
    assert "Leave the cell empty" in refusal(partial("n/a")).hint


def test_a_number_that_became_a_date_may_be_meant_as_text():
    assert "format the cell as text" in refusal(partial(date(1900, 1, 12))).hint


def test_two_digit_years_are_asked_for_with_four():
    assert "four digits" in refusal(partial("03/21")).hint
