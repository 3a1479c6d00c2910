"""``resale.pdf``: what is graded for resale, for the parts yard, with condition sheets of what was tested."""

from pathlib import Path

from intake.model.result import BatchResult
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import LineMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.palette import GREY
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.resale.condition_sheet import ConditionSheets, SheetNote
from intake.report.resale.content import ResaleContent, resale_content
from intake.report.resale.sections import Sections
from intake.report.words.closing import place_closing

NAME = "Resale list"
_ROLES = ("Checked by",)
_GAP = 18.0
"""Between the two condition sheets of a page, for the cut."""


def write_resale(
    result: BatchResult, path: Path, *, plot_limits: PlotLimits, all_sheets: bool = False
) -> None:
    """Write the resale list and the condition sheets of a graded batch on its paper.

    Parameters
    ----------
    result
        The graded batch.
    path
        The file to write.
    plot_limits
        For each chemistry the labels and voltages in V of the lines that its plots show.
    all_sheets
        A condition sheet for every battery, also where neither a hold nor a strength test was read.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    content = resale_content(result, all_sheets=all_sheets)
    subject = f"{len(content.offers)} used 12 V batteries graded for resale"
    description = description_of(result, title=NAME, subject=subject)
    furniture = PageFurniture(sheet, furniture_of(result, NAME))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        flow = Flow(sheet, pages)
        writer = Writer(flow, setter)
        sections = Sections(writer, result, content)
        sections.the_list()
        sections.rules(where_they_fit=True)
        notes = _place_sheets(flow, setter, result, content, plot_limits)
        if notes:
            flow.turn_page()
        sections.notes(notes)
        sections.rules()
        place_closing(writer, result.compliance.cautions, _ROLES, sections.sources)


def _place_sheets(
    flow: Flow, setter: Typesetter, result: BatchResult, content: ResaleContent, limits: PlotLimits
) -> list[SheetNote]:
    """Place two condition sheets on a page and return the texts that did not fit on them."""
    room = flow.sheet
    sheets = ConditionSheets(
        setter,
        result,
        limits,
        width=room.room_width,
        height=(room.room_height - _GAP) / 2,
        count=len(content.sheets),
    )
    notes: list[SheetNote] = []
    for place, offer in enumerate(content.sheets):
        if place % 2 == 0:
            flow.turn_page()
        else:
            flow.place(_cut(room.room_width))
        sheet = sheets.sheet(offer)
        flow.place(sheet.block)
        notes += sheet.notes
    return notes


def _cut(width: float) -> Block:
    line = LineMark(0, _GAP / 2, width, _GAP / 2, 0.5, GREY, (3.0, 3.0))
    return Block(_GAP, ((line, 0.0, 0.0),))
