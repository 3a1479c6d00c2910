"""``manifest.pdf``: the graded pallet for the recycler."""

from pathlib import Path

from intake.model.paper import Paper
from intake.model.result import BatchResult
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import Attachment, pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.manifest.batteries import BatteryList
from intake.report.manifest.notes import Notes
from intake.report.manifest.summary import place_summary
from intake.report.plots.voltage_scale import PlotLimits

NAME = "Graded manifest"
_WORTH_FILLING = 0.4
"""Share of a page that, left free by the summary, is not left empty."""


def write_manifest(
    result: BatchResult, path: Path, *, paper: Paper, results_json: Path, plot_limits: PlotLimits
) -> None:
    """Write the manifest with ``results.json`` inside it.

    Parameters
    ----------
    result
        The graded batch.
    path
        The file to write.
    paper
        Size of its sheets.
    results_json
        The file to attach, under its own name.
    plot_limits
        For each chemistry the labels and voltages in V of the lines that its plot shows.

    Raises
    ------
    OSError
        The file can not be written, or ``results_json`` not be read.
    """
    sheet, setter = sheet_of(paper), Typesetter()
    subject = f"{len(result.graded)} used 12 V batteries by grade"
    attached = Attachment(results_json, "application/json", "The same results for other programs")
    with pdf_pages(
        path,
        sheet=sheet,
        description=description_of(result, title=NAME, subject=subject),
        furnishing=PageFurniture(sheet, furniture_of(result, NAME)),
        attachments=[attached],
    ) as pages:
        flow = Flow(sheet, pages)
        place_summary(flow, setter, result, plot_limits)
        if flow.room < _WORTH_FILLING * sheet.room_height:
            flow.turn_page()
        else:
            flow.space(20)
        BatteryList(setter, sheet.room_width).place(flow, result)
        Notes(setter, sheet.room_width).place(flow, result)
