"""``labels.pdf``: sheets of labels, one per battery in workbook order, to be found by on the pallet."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from intake.model.result import BatchResult
from intake.report.drawing.kept_together import SEPARATOR
from intake.report.drawing.page import OutlineEntry, Page
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.label import NOT_TRANSPORT, label_marks
from intake.report.labels.stock import STOCKS, furniture_sheet

DOCUMENT = "Labels"
_PRINTING = "print at 100 %, not fitted to the page"


def write_labels(result: BatchResult, path: Path) -> None:
    """Write the label sheets of a batch on ``result.paper``.

    Each label carries a QR code of ``batch/tag``, and a Code 128 of the same where its narrow modules stay
    at least 0.19 mm wide across the label: up to about 25 signs on both papers, more where many are digits.
    Longer ones have the QR code alone, larger. A tag that stands on several rows has its row beside it, and
    a row without a tag says so.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    setter = Typesetter()
    sheet = furniture_sheet(result.paper)
    furniture = furniture_of(result, DOCUMENT)
    in_short = furniture.provenance.removesuffix(f" · {one_line(result.policy_name)}")
    provenance = f"{in_short}{SEPARATOR}{_PRINTING}"
    furniture = furniture._replace(provenance=provenance, on_one_line=True)
    description = description_of(result, title=DOCUMENT, subject=f"One label per battery, {NOT_TRANSPORT}")
    with pdf_pages(
        path, sheet=sheet, description=description, furnishing=PageFurniture(sheet, furniture)
    ) as pages:
        for page in _pages(result, setter):
            pages.append(page)


def _pages(result: BatchResult, setter: Typesetter) -> Iterator[Page]:
    stock = STOCKS[result.paper]
    day = result.batch.last_written_day  # of all its batteries, so not asked for each of them
    rows_of_tag = Counter(one.battery.tag.casefold() for one in result.graded)
    for first in range(0, len(result.graded), stock.labels):
        on_sheet = result.graded[first : first + stock.labels]
        page = Page()
        title = " to ".join(dict.fromkeys((on_sheet[0].battery.tag, on_sheet[-1].battery.tag)))
        page.outline.append(OutlineEntry(title, 0, 0.0))
        for place, one in enumerate(on_sheet):
            corner = stock.label(place)
            twin = rows_of_tag[one.battery.tag.casefold()] > 1
            marks = label_marks(setter, one, result.batch.batch, result.paper, day=day, twin=twin)
            page.placed.extend((mark, corner.x, corner.y) for mark in marks)
        yield page
