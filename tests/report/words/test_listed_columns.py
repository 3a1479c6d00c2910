"""What the list and results.xlsx print of a column that is marked as listed."""

from datetime import date, datetime

import pytest

from intake.model.battery import DatePrecision, MadeDate
from intake.policy import dictionary
from intake.report.words import listed_columns
from intake.report.words.listed_columns import listed_lines, listed_value
from tests.changed import replace
from tests.report.builders import battery

COLUMNS = {one.key: one for one in dictionary.load_dictionary().sheets["batteries"].columns}
MADE = MadeDate(date(2021, 3, 1), date(2021, 3, 31), DatePrecision.MONTH)


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("marking", "60 Ah 12 V", "60 Ah 12 V"),
        ("marking", None, None),
        ("under_recall", True, "yes"),
        ("under_recall", False, "no"),
        ("made", MADE, "2021-03"),
        ("rest_began", datetime(2026, 11, 20, 8, 5), "2026-11-20 08:05"),
        ("rest_voltage_v", 12.5, 12.5),
        ("cell_voltages_v", (3.2, 3.21, 3.2, 3.2), "3.2, 3.21, 3.2, 3.2"),
        ("cell_voltages_v", (), None),
    ],
)
def test_a_value_is_told_as_it_was_read(key, value, expected):
    one = replace(battery(1), **{key: value})
    assert expected == listed_value(one, COLUMNS[key])


def test_only_marked_columns_are_listed_each_key_once_and_only_where_filled_in(monkeypatch):
    marked = ("marking", "mass_kg", "specific_gravity")
    shipped = dictionary.load_dictionary()
    sheet = shipped.sheets["batteries"]
    columns = tuple(replace(one, listed=one.key in marked) for one in sheet.columns)
    changed = replace(shipped, sheets={**shipped.sheets, "batteries": replace(sheet, columns=columns)})
    monkeypatch.setattr(listed_columns, "load_dictionary", lambda: changed)

    assert sorted(marked) == sorted(one.key for one in listed_columns.listed_columns())
    one = replace(battery(1), mass_kg=17.25, marking=None, specific_gravity=(1.25,) * 6)
    assert {"Mass (kg): 17.25", "SG 1: 1.25, 1.25, 1.25, 1.25, 1.25, 1.25"} == set(listed_lines(one))
