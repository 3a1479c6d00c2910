"""``manifest.pdf``: the graded pallet for the recycler."""

from pathlib import Path

from intake.model.paper import Paper
from intake.model.result import BatchResult
from intake.report.flow import Flow
from intake.report.furniture import furnish, furniture_of
from intake.report.manifest_batteries import BatteryList
from intake.report.manifest_notes import Notes
from intake.report.manifest_plot import PlotLimits
from intake.report.manifest_summary import place_summary
from intake.report.page import sheet_of
from intake.report.pdf_file import Attachment, Description, write_pdf
from intake.report.typesetter import Typesetter

NAME = "Graded manifest"
_WORTH_FILLING = 0.4
"""Share of a page that, left free by the summary, is not left empty."""


def write_manifest(
    result: BatchResult, path: Path, *, paper: Paper, results_json: bytes, plot_limits: PlotLimits
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
        Attached as ``<batch>-results.json``.
    plot_limits
        For each chemistry the labels and voltages in V of the lines that its plot shows.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter, batch = sheet_of(paper), Typesetter(), result.batch.batch
    flow = Flow(sheet)
    place_summary(flow, setter, result, plot_limits)
    if flow.room < _WORTH_FILLING * sheet.room_height:
        flow.turn_page()
    else:
        flow.space(20)
    BatteryList(setter, sheet.room_width).place(flow, result)
    Notes(setter, sheet.room_width).place(flow, result)
    furnish(flow.pages, sheet, setter, furniture_of(result, NAME))
    write_pdf(
        path,
        flow.pages,
        sheet=sheet,
        description=Description(
            title=f"{NAME}, batch {batch}",
            subject=f"{len(result.graded)} used 12 V batteries by grade",
            version=result.version,
            on=result.batch.received,
        ),
        attachments=[
            Attachment(
                name=f"{batch}-results.json",
                content=results_json,
                media_type="application/json",
                description="The same results for other programs",
            )
        ],
    )
