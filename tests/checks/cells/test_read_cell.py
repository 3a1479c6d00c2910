from datetime import date

import pytest

from intake.checks.cells.dates import DateOrder
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.written_units import find_unit
from tests.checks.builders import cell, column, error_cell, refusal, unsaved_formula, value_of


@pytest.mark.parametrize(
    ("sheet", "key", "value", "expected"),
    [
        ("batteries", "rest_voltage_v", "12,43", 12.43),
        ("batteries", "chemistry", "wet", "flooded"),
        ("batteries", "tag", "B-1", "B-1"),
        ("batch", "received", "2026-11-20", date(2026, 11, 20)),
        ("prices", "resale_price", "12,50", "12.50"),
        ("batteries", "note", "dented", "dented"),
    ],
)
def test_a_cell_is_read_by_the_form_of_its_column(sheet, key, value, expected):
    assert expected == value_of(read_cell(cell(value), column(sheet, key)))


def test_header_unit_date_order_and_currency_reach_the_value():
    unit = find_unit("mV", "V")
    assert 12.43 == value_of(read_cell(cell(12430), column("batteries", "rest_voltage_v"), header_unit=unit))
    day_first = read_cell(cell("03/04/2021"), column("batteries", "made"), date_order=DateOrder.DAY_FIRST)
    assert "2021-04-03" == value_of(day_first).text
    received = read_cell(cell("03/04/2021"), column("batch", "received"), date_order=DateOrder.DAY_FIRST)
    assert date(2021, 4, 3) == value_of(received)
    refusal(read_cell(cell("USD 1"), column("prices", "resale_price"), currency="EUR"))


@pytest.mark.parametrize("key", ["tag", "chemistry", "rest_voltage_v", "made", "note"])
def test_an_error_cell_is_unreadable_whatever_the_column(key):
    found = refusal(read_cell(error_cell("#DIV/0!"), column("batteries", key)))
    assert 'The formula in this cell ends in the error "#DIV/0!".' == found.message


@pytest.mark.parametrize("key", ["tag", "chemistry", "rest_voltage_v", "made", "note"])
def test_a_formula_without_a_saved_value_asks_to_open_and_save(key):
    found = refusal(read_cell(unsaved_formula(), column("batteries", key)))
    assert "never saved" in found.message
    assert "Open the workbook in a spreadsheet program, let it calculate, and save it." == found.hint
