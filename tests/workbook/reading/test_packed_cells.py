import pytest

from intake.model.raw_workbook import CellKind, RawCell
from intake.workbook.reading import packed_cells
from intake.workbook.reading.packed_cells import CellPacker, PackedCells

CELLS = [
    RawCell(7, 2, "B-1"),
    RawCell(7, 5, 12.5, CellKind.VALUE, "0.00"),
    RawCell(7, 9, None, CellKind.UNSAVED_FORMULA),
]


def packed(row: int = 7) -> PackedCells:
    return CellPacker().packed(row, [one._replace(row=row) for one in CELLS])


def test_cells_come_out_as_they_went_in() -> None:
    cells = packed()
    assert {one.column: one for one in CELLS} == cells
    assert [(one.column, one) for one in CELLS] == list(cells.items())
    assert (CELLS, [2, 5, 9], 3) == (list(cells.values()), list(cells), len(cells))
    assert CELLS[1] == cells[5]


@pytest.mark.parametrize("column", [1, 3, 8, 10])
def test_a_column_without_a_cell_has_none(column: int) -> None:
    assert column not in packed()
    assert packed().get(column) is None


def test_what_rows_share_is_kept_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def texts() -> list[RawCell]:
        return [RawCell(1, 1, "".join(("flood", "ed")))]

    packer = CellPacker()
    first, second = (packer.packed(row, texts())[1].value for row in (1, 2))
    assert first is second
    monkeypatch.setattr(packed_cells, "_DIFFERENT_MOST", 0)
    packer = CellPacker()
    first, second = (packer.packed(row, texts())[1].value for row in (1, 2))
    assert "flooded" == first == second
    assert first is not second


def test_numbers_that_are_equal_keep_their_kind() -> None:
    cells = CellPacker().packed(1, [RawCell(1, 1, 1), RawCell(1, 2, True), RawCell(1, 3, 1.0)])
    assert [int, bool, float] == [type(one.value) for one in cells.values()]
