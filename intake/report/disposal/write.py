"""``disposal.pdf``: the recycle stream for the compliance officer, an aid to filling in a legal form."""

from dataclasses import replace
from pathlib import Path

from intake.model.result import BatchResult
from intake.report.disposal.closing import ClosingSections
from intake.report.disposal.content import disposal_content
from intake.report.disposal.entries import place_entries
from intake.report.disposal.streams import StreamSections
from intake.report.disposal.summary import DisposalSummary
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import Furniture, PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.typesetter import Typesetter

NAME = "Disposal sheet"
_ON_EVERY_PAGE = "No legal form, an aid to filling one in"


def write_disposal(result: BatchResult, path: Path) -> None:
    """Write the disposal sheet of a graded batch on its paper.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    clauses = Clauses(setter, sheet.room_width)
    content = disposal_content(result)
    description = description_of(
        result,
        title=f"{NAME}, no legal form",
        subject=f"{content.recycle.count} used 12 V batteries to recycle, by waste stream",
    )
    furniture = PageFurniture(sheet, _furniture(result))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        flow = Flow(sheet, pages)
        DisposalSummary(clauses).place(flow, result, content)
        if content.parts:
            place_entries(flow, clauses, result.batch, result.compliance.form)
            StreamSections(clauses).place(flow, content)
        ClosingSections(clauses).place(flow, result, content)


def _furniture(result: BatchResult) -> Furniture:
    """Return what repeats on each page, with the reminder that it is no form."""
    furniture = furniture_of(result, NAME)
    warnings = (_ON_EVERY_PAGE, furniture.warning)
    return replace(furniture, warning=" · ".join(one for one in warnings if one))
