"""``disposal.pdf``: the recycle stream for the compliance officer, the load at a glance first."""

from pathlib import Path

from intake.model.result import BatchResult
from intake.report.disposal.batteries import place_batteries, place_unresolved, unresolved_fit
from intake.report.disposal.content import disposal_content
from intake.report.disposal.glance import place_glance
from intake.report.disposal.sections import Sections
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import PageFurniture, description_of, furniture_of
from intake.report.drawing.pdf_file import Attachment, pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.words.closing import place_closing
from intake.report.words.form_entries import load_form_entries
from intake.report.words.sources import Sources

NAME = "Disposal sheet, no legal form"


def write_disposal(result: BatchResult, path: Path, *, results_json: Path) -> None:
    """Write the disposal sheet of a batch on ``result.paper`` with ``results.json`` inside it.

    Raises
    ------
    OSError
        The file cannot be written, or ``results_json`` not be read.
    """
    sheet, setter = sheet_of(result.paper), Typesetter()
    content = disposal_content(result)
    subject = f"{content.recycle.count} used 12 V batteries to recycle, by waste stream"
    attached = Attachment(results_json, "application/json", "The data that this sheet was written from")
    with pdf_pages(
        path,
        sheet=sheet,
        description=description_of(result, title="Disposal sheet", subject=subject),
        furnishing=PageFurniture(sheet, furniture_of(result, NAME)),
        attachments=[attached],
    ) as pages:
        flow = Flow(sheet, pages)
        writer = Writer(flow, setter)
        sources = Sources()
        sections = Sections(writer, result, content, sources)
        place_glance(writer, result, content, sources)
        first = not content.parts or unresolved_fit(writer, content)
        if first:
            place_unresolved(writer, content)
        sections.evidence(where_it_fits=True)
        if content.parts:
            flow.turn_page()
        sections.entries()
        sections.evidence(where_it_fits=True)
        place_batteries(writer, content)
        if not first:
            place_unresolved(writer, content)
        sections.rules()
        sections.handling()
        sections.evidence()
        place_closing(writer, result.compliance.cautions, load_form_entries().sign_off, sources)
