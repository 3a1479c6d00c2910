"""``plan.pdf``: the bench plan, a wall chart and a sheet a day to tick off, for the technician."""

from pathlib import Path

from intake.model.plan import Plan
from intake.model.result import BatchResult
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.plan.content import plan_content
from intake.report.plan.sections import Sections
from intake.report.words.closing import place_replaced, place_sources

NAME = "Bench plan"


def write_plan(plan: Plan, result: BatchResult, path: Path) -> None:
    """Write the plan of a graded batch on the batch's paper.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    content = plan_content(plan, result)
    subject = f"{len(plan.batteries)} used 12 V batteries on {len(plan.stations)} charging stations"
    description = description_of(result, title=NAME, subject=subject)
    furniture = PageFurniture(sheet, furniture_of(result, NAME))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        writer = Writer(Flow(sheet, pages), setter)
        sections = Sections(writer, result, content)
        sections.work_order()
        sections.days()
        sections.held_back()
        sections.how()
        sections.batteries()
        place_sources(writer, sections.sources)
        place_replaced(writer)
