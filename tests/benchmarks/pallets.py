"""Workbooks of any size, made of the example pallet of 48 counter returns over and over."""

from pathlib import Path

import openpyxl
import xlsxwriter

EXAMPLE = Path(__file__).parents[2] / "example_batches" / "counter_returns_48" / "counter_returns_48.xlsx"


def write_pallet(path: Path, *, batteries: int, batch: str) -> Path:
    """Write a workbook of so many batteries: the example's rows in turn, tags told apart by round."""
    sheets = {
        sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()]
        for sheet in openpyxl.load_workbook(EXAMPLE, data_only=True)
    }
    for row in sheets["Batch"]:
        if row[0] == "Batch":
            row[1] = batch
    sheets["Batteries"] = _repeated(sheets["Batteries"], batteries)
    book = xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for number, row in enumerate(rows):
            for column, value in enumerate(row):
                if isinstance(value, str):
                    sheet.write_string(number, column, value)
                elif value is not None:
                    sheet.write(number, column, value)
    book.close()
    return path


def _repeated(rows: list[list[object]], batteries: int) -> list[list[object]]:
    head = next(number for number, row in enumerate(rows) if "Tag" in row)
    tag = rows[head].index("Tag")
    filled = [row for row in rows[head + 1 :] if row[tag]]
    repeated = []
    for number in range(batteries):
        around, which = divmod(number, len(filled))
        row = list(filled[which])
        row[tag] = f"{row[tag]}-{around + 1}" if around else row[tag]
        repeated.append(row)
    return rows[: head + 1] + repeated
