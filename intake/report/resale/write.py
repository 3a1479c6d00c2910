"""``resale.pdf``: what is graded for resale, for the parts yard, with a condition sheet for each battery."""

from pathlib import Path

from intake.model.result import BatchResult
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.marks import LineMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.palette import GREY
from intake.report.drawing.pdf_file import pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.resale.closing import ResaleClosing
from intake.report.resale.condition_sheet import ConditionSheets, SheetNote
from intake.report.resale.content import ResaleContent, resale_content
from intake.report.resale.list import ResaleList

NAME = "Resale list"
_GAP = 20.0
"""Between the two condition sheets of a page, for the cut."""


def write_resale(result: BatchResult, path: Path, *, plot_limits: PlotLimits) -> None:
    """Write the resale list and the condition sheets of a graded batch on its paper.

    Parameters
    ----------
    result
        The graded batch.
    path
        The file to write.
    plot_limits
        For each chemistry the labels and voltages in V of the lines that its plots show.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    content = resale_content(result)
    subject = f"{len(content.offers)} used 12 V batteries graded for resale"
    description = description_of(result, title=NAME, subject=subject)
    furniture = PageFurniture(sheet, furniture_of(result, NAME))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        _place_all(Flow(sheet, pages), setter, result, content, plot_limits)


def _place_all(
    flow: Flow, setter: Typesetter, result: BatchResult, content: ResaleContent, limits: PlotLimits
) -> None:
    clauses = Clauses(setter, flow.sheet.room_width)
    closing = ResaleClosing(clauses)
    ResaleList(clauses).place(flow, result, content)
    closing.place_rules(flow, result)
    cautions = closing.cautions(result.compliance.cautions)
    below_list = not content.offers or closing.fits(flow, cautions)
    if below_list:
        closing.place_cautions(flow, cautions)
    notes = _place_sheets(flow, setter, result, content, limits)
    if not below_list:
        closing.place_cautions(flow, cautions)
    closing.place_notes(flow, notes)


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
        count=len(content.offers),
    )
    notes: list[SheetNote] = []
    for place, offer in enumerate(content.offers):
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
