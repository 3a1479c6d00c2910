"""The floor: reads a workbook and draws as much as its documents hold, over the bare libraries.

Run as ``python floor.py WORKBOOK AMOUNTS.json FOLDER``, with the amounts that ``amounts.py`` counted in the
documents of the same workbook.
"""

import json
import sys
from pathlib import Path

import openpyxl
import xlsxwriter
from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.code128 import Code128
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

FONTS = Path(__file__).parents[2] / "templates" / "fonts"
FACES = ("DejaVuSansCondensed", "DejaVuSansCondensed-Bold")


def read(workbook: Path) -> list[list[object]]:
    """Read every cell of every sheet."""
    book = openpyxl.load_workbook(workbook, read_only=True, data_only=True)
    return [[cell.value for cell in row] for sheet in book.worksheets for row in sheet.iter_rows()]


def draw(amount: dict[str, int], path: Path) -> None:
    """Draw a PDF of so many pages, strings, lines and codes, evenly spread."""
    canvas = Canvas(str(path), invariant=1)
    text = "Battery and reading, a line of the usual length"[: amount["string_length"]]
    pages = amount["pages"]
    for page in range(pages):
        for number in range(_share(amount["strings"], page, pages)):
            canvas.setFont(FACES[number % 2], 8)
            canvas.drawString(40 + number % 7 * 70, 800 - number // 7 * 10, text)
        for number in range(_share(amount["shapes"], page, pages)):
            canvas.line(40, 800 - number, 500, 800 - number)
        for number in range(_share(amount["codes"], page, pages)):
            drawing = Drawing(60, 60)
            drawing.add(QrCodeWidget(f"2026-06-returns-07 B-{page:03}{number:02}", barWidth=60, barHeight=60))
            renderPDF.draw(drawing, canvas, 40 + number % 2 * 260, 700 - number // 2 * 90)
            Code128(f"B-{page:03}{number:02}").drawOn(canvas, 120 + number % 2 * 260, 700 - number // 2 * 90)
        canvas.showPage()
    canvas.save()


def _share(whole: int, page: int, pages: int) -> int:
    return whole // pages + (page < whole % pages)


def write_cells(cells: int, path: Path) -> None:
    """Write a workbook of so many cells."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet()
    for number in range(cells):
        sheet.write_string(number // 20, number % 20, f"value {number}")
    book.close()


def write_values(values: int, path: Path) -> None:
    """Write a record of so many values, forty to an entry."""
    names = [f"value_{number}" for number in range(40)]
    entries = [dict.fromkeys(names[: min(40, values - first)], "value") for first in range(0, values, 40)]
    path.write_text(json.dumps(entries, indent=1))


def main() -> None:
    """Read, draw, write."""
    workbook, amounts, folder = map(Path, sys.argv[1:])
    read(workbook)
    for face in FACES:
        pdfmetrics.registerFont(TTFont(face, str(FONTS / f"{face}.ttf")))
    wanted = json.loads(amounts.read_bytes())
    for name, amount in wanted["pdf"].items():
        draw(amount, folder / name)
    write_cells(wanted["cells"], folder / "floor.xlsx")
    write_values(wanted["values"], folder / "floor.json")


if __name__ == "__main__":
    main()
