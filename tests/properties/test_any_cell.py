"""Whatever a cell holds gives a value or a finding, never an exception. The same cases at every run."""

import math
import re
from datetime import date, time

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from intake.checks.cells.cell_text import is_blank
from intake.checks.cells.dates import DateOrder
from intake.checks.cells.parsed_cell import Taken, Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.times import WrittenTime
from intake.checks.find_columns import slot
from intake.model.battery import Battery, MadeDate
from intake.model.finding import Severity, in_sheet_order
from intake.model.raw_workbook import CellKind, RawCell, RawWorkbook
from intake.policy.dictionary import Column, Form, load_dictionary
from tests.checks.builders import BATCH, GOOD, check, check_rows, workbook
from tests.properties.strategies import TIMES, finite, raw_cells, raw_workbooks

THOROUGH = settings(
    max_examples=400 * TIMES,
    derandomize=TIMES == 1,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],  # a busy machine is no failure
)
SHORT = settings(THOROUGH, max_examples=150 * TIMES)
COLUMNS = [column for sheet in load_dictionary().sheets.values() for column in sheet.columns]
BATTERY_COLUMNS = load_dictionary().sheets["batteries"].columns
ORDERS = st.sampled_from([None, *DateOrder])


def fits(value: object, column: Column) -> bool:
    """Return whether a value is of the column's form and inside its limits."""
    match column.form:
        case Form.NUMBER:
            return isinstance(value, float) and math.isfinite(value) and inside(value, column)
        case Form.CHOICE:
            return value in column.choices
        case Form.IDENTIFIER | Form.MONEY:
            return isinstance(value, str) and re.fullmatch(column.pattern or "", value) is not None
        case Form.DATE:
            return isinstance(value, date) and 1950 <= value.year <= 2100
        case Form.TIME:
            return isinstance(value, time)
        case Form.DATE_TIME:
            return isinstance(value, WrittenTime)
        case Form.PARTIAL_DATE:
            return isinstance(value, MadeDate) and value.earliest <= value.latest
        case Form.TEXT:
            return isinstance(value, str) and 0 < len(value) <= (column.max_length or 0)


def inside(value: float, column: Column) -> bool:
    lowest = -math.inf if column.minimum is None else column.minimum
    over = -math.inf if column.exclusive_minimum is None else column.exclusive_minimum
    highest = math.inf if column.maximum is None else column.maximum
    return lowest <= value <= highest and value > over


@given(cell=raw_cells(), column=st.sampled_from(COLUMNS), order=ORDERS)
@example(cell=RawCell(2, 1, 10**400), column=COLUMNS[0], order=None)
@example(cell=RawCell(2, 1, "9" * 32_000), column=BATTERY_COLUMNS[2], order=None)
@example(cell=RawCell(2, 1, "\ud800"), column=COLUMNS[1], order=None)
@THOROUGH
def test_any_cell_is_read_or_refused_in_words(cell: RawCell, column: Column, order: DateOrder | None) -> None:
    """A value that is taken has the column's form; a refusal says what was read and what to do."""
    if is_blank(cell):
        return
    outcome = read_cell(cell, column, date_order=order, currency="EUR")
    if isinstance(outcome, Unreadable):
        assert outcome.message.endswith(".")
        assert outcome.hint.endswith(".")
        assert all(sign.isprintable() for sign in outcome.message)
    else:
        assert isinstance(outcome, Taken)
        assert cell.kind is CellKind.VALUE
        assert fits(outcome.value, column), (outcome.value, column.header)


@given(cell=raw_cells(), column=st.sampled_from(BATTERY_COLUMNS), order=ORDERS)
@THOROUGH
def test_any_cell_of_a_battery_yields_a_value_or_a_finding_in_its_row(
    cell: RawCell, column: Column, order: DateOrder | None
) -> None:
    row = {**GOOD, "Chemistry": "LFP" if column.key in ("cell_voltages_v", "bms_reset_tried") else "flooded"}
    checked = check(workbook({**row, column.header: cell}), date_order=order)
    assert checked.batch is not None, checked.findings
    (battery,) = checked.batch.batteries
    assert len(battery.row_errors) == sum(one.severity is Severity.ERROR for one in checked.findings)
    if is_blank(cell) or checked.findings:
        return
    assert column.key in Battery._fields
    assert getattr(battery, column.key) not in (None, ())


@given(raw=raw_workbooks(), order=ORDERS)
@SHORT
def test_any_workbook_is_checked_to_the_end(raw: RawWorkbook, order: DateOrder | None) -> None:
    """It is rejected exactly when a finding says so; findings stand in order and say what to do."""
    checked = check(raw, date_order=order)
    assert (checked.batch is None) == any(one.rejects for one in checked.findings)
    assert in_sheet_order(list(checked.findings)) == checked.findings
    assert all(one.message and one.hint for one in checked.findings)
    for battery in checked.batch.batteries if checked.batch else ():
        hours = [one.after_charge_h for one in battery.hold_readings]
        assert sorted(set(hours)) == hours


@given(volts=finite(-20.0, 20.0).map(lambda value: round(value, 2)), sign=st.sampled_from(["-", "\u2212"]))
@SHORT
def test_a_voltage_reads_the_same_in_every_way_of_writing_it(volts: float, sign: str) -> None:
    plain = f"{volts:.2f}".replace("-", sign)
    ways = [volts, plain, plain.replace(".", ","), f" {plain}\u00a0V", f"{round(volts * 1000)} mV"]
    column = next(one for one in BATTERY_COLUMNS if slot(one) == "rest_voltage_v")
    for way in ways:
        outcome = read_cell(RawCell(2, 1, way), column)
        assert isinstance(outcome, Taken), outcome
        assert volts == outcome.value


@given(order=st.permutations(range(4)))
@SHORT
def test_the_order_of_rows_changes_no_battery_but_its_row(order: list[int]) -> None:
    rows = [
        {**GOOD, "Tag": "B-1"},
        {**GOOD, "Tag": "B-2", "Rest voltage (V)": "x"},
        {**GOOD, "Tag": "B-3", "Made": "2019"},
        {**GOOD, "Tag": "B-4", "Case": None},
    ]
    found = {}
    for arrangement in (range(4), order):
        checked = check_rows(*(rows[place] for place in arrangement), batch=BATCH)
        assert checked.batch is not None
        found[tuple(arrangement)] = {
            one.tag: (one.chemistry, one.case, one.rest_voltage_v, len(one.row_errors))
            for one in checked.batch.batteries
        }
    assert found[0, 1, 2, 3] == found[tuple(order)]
