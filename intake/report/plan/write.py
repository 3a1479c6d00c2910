"""``plan.pdf``: the bench plan, a wall chart and a sheet a day to tick off, for the technician."""

from pathlib import Path

from intake.model.plan import Plan
from intake.model.result import BatchResult
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.plan.chart import WallChart
from intake.report.plan.content import plan_content
from intake.report.plan.day import DaySheets
from intake.report.plan.lists import PlanLists
from intake.report.plan.summary import PlanSummary

NAME = "Bench plan"


def write_plan(plan: Plan, result: BatchResult, path: Path) -> None:
    """Write the plan of a graded batch on the batch's paper.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    clauses = Clauses(setter, sheet.room_width)
    content = plan_content(plan, result)
    subject = f"{len(plan.batteries)} used 12 V batteries on {len(plan.stations)} charging stations"
    description = description_of(result, title=NAME, subject=subject)
    furniture = PageFurniture(sheet, furniture_of(result, NAME))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        flow = Flow(sheet, pages)
        PlanSummary(clauses).place(flow, result, content)
        WallChart(clauses).place(flow, content)
        DaySheets(clauses).place(flow, content)
        if content.days:
            flow.turn_page()
        PlanLists(clauses).place(flow, content)
