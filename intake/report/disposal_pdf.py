"""``disposal.pdf``: the recycle stream for the compliance officer, an aid to filling in a legal form."""

from pathlib import Path

from intake.model.result import BatchResult
from intake.report.clauses import Clauses
from intake.report.disposal_closing import ClosingSections
from intake.report.disposal_content import disposal_content
from intake.report.disposal_entries import place_entries
from intake.report.disposal_streams import StreamSections
from intake.report.disposal_summary import DisposalSummary
from intake.report.flow import Flow
from intake.report.furniture import furnish, furniture_of
from intake.report.page import sheet_of
from intake.report.pdf_file import Description, write_pdf
from intake.report.typesetter import Typesetter

NAME = "Disposal sheet, no legal form"


def write_disposal(result: BatchResult, path: Path) -> None:
    """Write the disposal sheet of a graded batch on its paper.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    flow = Flow(sheet)
    clauses = Clauses(setter, sheet.room_width)
    content = disposal_content(result)
    DisposalSummary(clauses).place(flow, result, content)
    if content.parts:
        place_entries(flow, clauses, result.batch)
        StreamSections(clauses).place(flow, content)
    ClosingSections(clauses).place(flow, result, content)
    furnish(flow.pages, sheet, setter, furniture_of(result, NAME))
    write_pdf(
        path,
        flow.pages,
        sheet=sheet,
        description=Description(
            title=f"{NAME}, batch {result.batch.batch}",
            subject=f"{content.recycle.count} used 12 V batteries to recycle, by waste stream",
            version=result.version,
            on=result.batch.received,
        ),
    )
