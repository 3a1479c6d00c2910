"""``plan.pdf``: the bench plan, a wall chart and a sheet a day to tick off, for the technician."""

from pathlib import Path

from intake.model.plan import Plan
from intake.model.result import BatchResult
from intake.report.clauses import Clauses
from intake.report.flow import Flow
from intake.report.furniture import PageFurniture, description_of, furniture_of
from intake.report.page import sheet_of
from intake.report.pdf_file import pdf_pages
from intake.report.plan_chart import WallChart
from intake.report.plan_content import plan_content
from intake.report.plan_day import DaySheets
from intake.report.plan_lists import PlanLists
from intake.report.plan_summary import PlanSummary
from intake.report.typesetter import Typesetter

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
