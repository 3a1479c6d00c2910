import pytest

from intake.checks.find_columns import find_columns
from intake.checks.list_rows import list_rows, note_hidden
from intake.policy.dictionary import load_dictionary
from tests.checks.builders import grid, log

BATTERIES = load_dictionary().sheets["batteries"]
HEADERS = ["Tag", "Chemistry", "Case", "Ours"]


def read(lines, **facts):
    sheet = grid("Batteries", lines, **facts)
    columns = find_columns(sheet, BATTERIES, log(), required=True)
    assert columns is not None
    found_log = log()
    rows = list(list_rows(sheet, columns, found_log))
    note_hidden(sheet, [row.place for row in rows], found_log)
    return rows, found_log.found


def test_rows_hold_their_filled_cells_by_slot():
    rows, findings = read([["title"], HEADERS, ["B-1", None, "sound", "x"]])
    assert [] == findings
    (row,) = rows
    assert (3, ("tag", "case")) == (row.place.number, row.place.filled)
    assert {"tag": "B-1", "case": "sound"} == {slot: cell.value for slot, cell in row.cells.items()}


def test_a_spot_names_filled_and_blank_cells_of_the_row():
    (row,), _ = read([HEADERS, ["B-1"]])
    assert ("B2", "B-1", "Chemistry") == (
        row.place.spot("chemistry", "B-1").cell,
        row.place.spot("chemistry", "B-1").tag,
        row.place.spot("chemistry").field,
    )


def test_blank_rows_are_skipped_in_silence_wherever_they_stand():
    rows, findings = read([HEADERS, [], [" ", "\u00a0"], ["B-1"], [], ["B-2"], [""]])
    assert ([4, 6], []) == ([row.place.number for row in rows], findings)


@pytest.mark.parametrize(("count", "expected"), [(1, "1 row skipped"), (3, "3 rows skipped")])
def test_rows_with_nothing_in_a_known_column_are_counted(count, expected):
    rows, findings = read([HEADERS, ["B-1"], *[[None, None, None, "sum"]] * count])
    (found,) = findings
    assert [2] == [row.place.number for row in rows]
    assert f"{expected}, with nothing in a known column; the first is row 3." == found.message
    assert (3, "") == (found.row, found.cell)


@pytest.mark.parametrize(
    ("hidden", "filtered", "expected"),
    [
        ({2}, True, "1 row is hidden by a filter; it still counts."),
        ({2, 3}, True, "2 rows are hidden by a filter; they still count."),
        ({3}, False, "1 row is hidden; it still counts."),
    ],
)
def test_hidden_rows_still_count_and_are_said(hidden, filtered, expected):
    rows, findings = read([HEADERS, ["B-1"], ["B-2"]], hidden_rows=frozenset(hidden), filtered=filtered)
    assert 2 == len(rows)
    assert [(expected, min(hidden))] == [(one.message, one.row) for one in findings]


def test_hidden_headers_and_blank_rows_are_not_counted():
    _, findings = read([HEADERS, ["B-1"], [" "]], hidden_rows=frozenset({1, 3}), filtered=True)
    assert [] == findings
