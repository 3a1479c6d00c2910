import pytest

from intake.model.raw_workbook import CellKind, RawCell, WorkbookRefused


@pytest.mark.parametrize(
    ("row", "column", "ref"),
    [
        (1, 1, "A1"),
        (12, 6, "F12"),
        (2, 26, "Z2"),
        (2, 27, "AA2"),
        (3, 52, "AZ3"),
        (3, 53, "BA3"),
        (7, 702, "ZZ7"),
        (7, 703, "AAA7"),
        (1_048_576, 16_384, "XFD1048576"),  # last cell of a sheet: ECMA-376, SpreadsheetML, from memory
    ],
)
def test_a_cell_is_named_as_the_spreadsheet_program_names_it(row, column, ref):
    assert ref == RawCell(row, column, "x").ref


def test_a_cell_is_a_plain_value_unless_said_otherwise():
    assert (CellKind.VALUE, "General") == (RawCell(1, 1, 2.5).kind, RawCell(1, 1, 2.5).number_format)


def test_a_refused_workbook_says_why_and_what_to_do():
    refused = WorkbookRefused("The file is empty.", "Save it again.")
    assert ("The file is empty.", "Save it again.") == (str(refused), refused.hint)
