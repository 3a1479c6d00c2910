"""``manifest.pdf``: the graded pallet for the recycler, what to do first on its first page."""

from pathlib import Path

from intake.model.paper import Paper
from intake.model.result import BatchResult
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import Attachment, pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.manifest.content import manifest_content
from intake.report.manifest.plot import place_voltages
from intake.report.manifest.sections import Sections
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.words.closing import place_closing
from intake.report.words.seal import seal_in_words

NAME = "Graded manifest"
_ROLES = ("Graded by", "Checked by")
_FIRST = 1
"""Page of the order of work: the list begins on a new one, or below where it goes on over the first."""


def write_manifest(
    result: BatchResult,
    path: Path,
    *,
    paper: Paper,
    results_json: Path,
    plot_limits: PlotLimits,
    seal: str = "",
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
    seal
        The digest over the digests of the other documents, printed beside the lines to sign; empty:
        nothing is said of one.

    Raises
    ------
    OSError
        The file cannot be written, or ``results_json`` not be read.
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
        writer = Writer(flow, setter)
        sections = Sections(writer, result, manifest_content(result))
        sections.order_of_work()
        sections.limits()
        if flow.page_number == _FIRST:
            flow.turn_page()
        sections.the_list()
        sections.since_revision()
        sections.in_full()
        place_voltages(writer, result, plot_limits)
        sections.findings()
        sections.handling()
        below = seal_in_words(seal) if seal else ()
        place_closing(writer, result.compliance.cautions, _ROLES, sections.sources, below=below)
