"""``load.pdf``: the load sheet for whoever loads, signs and receives."""

from pathlib import Path

from intake.model.compliance import LoadOnPaper
from intake.model.load import Load, LoadTotals
from intake.model.paper import Paper
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import Furniture, PageFurniture
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.load.content import load_content
from intake.report.load.entries import place_entries, place_stream_lines
from intake.report.load.glance import place_decisions, place_glance
from intake.report.load.sections import SIGN_OFF, place_packages, place_receipt, place_rules
from intake.report.words.closing import place_closing
from intake.report.words.sources import Sources

NAME = "Load sheet"
_DIGEST_DIGITS = 12


def write_load_sheet(
    load: Load,
    totals: LoadTotals,
    said: LoadOnPaper,
    path: Path,
    *,
    paper: Paper,
    source_sha256: str,
    version: str,
) -> None:
    """Write the sheet of a load.

    Parameters
    ----------
    said
        What the rule data say of this load on its date.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    sheet, setter = sheet_of(paper), Typesetter()
    content = load_content(load, said.streams, said.carriage)
    description = Description(
        f"{NAME} {load.head.load}, no legal form",
        f"{totals.all.count} used 12 V batteries that leave the yard",
        version,
        load.head.date,
    )
    furniture = Furniture(
        batch=f"Load {load.head.load}",
        document=NAME,
        warning="No legal form, an aid to filling one in",
        provenance=f"load workbook {source_sha256[:_DIGEST_DIGITS]} · "
        f"rules {said.rule_data.sha256[:_DIGEST_DIGITS]} · intake {version}",
    )
    with pdf_pages(
        path, sheet=sheet, description=description, furnishing=PageFurniture(sheet, furniture)
    ) as pages:
        writer, sources = Writer(Flow(sheet, pages), setter), Sources()
        place_glance(writer, load, content, totals.all, said, sources)
        place_decisions(writer, content)
        place_entries(writer, load, content, totals.all, said.forms)
        place_stream_lines(writer, load, content, said.forms)
        place_packages(writer, content, currency=load.head.currency)
        place_receipt(writer, load)
        place_rules(writer, content, said, sources)
        place_closing(writer, said.cautions, SIGN_OFF, sources)
