"""``load.pdf``: the load sheet for whoever loads, signs and receives."""

from collections.abc import Mapping
from pathlib import Path

from intake.model.compliance import FormPlaces, Statement, Stream
from intake.model.load import Load, LoadTotals
from intake.model.paper import Paper
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import Furniture, PageFurniture
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.load.content import load_content
from intake.report.load.sections import (
    SIGN_OFF,
    place_conditions,
    place_entries,
    place_glance,
    place_packages,
    place_receipt,
)

NAME = "Load sheet"
_DIGEST_DIGITS = 12


def write_load_sheet(
    load: Load,
    totals: LoadTotals,
    path: Path,
    *,
    streams: tuple[Stream, ...],
    carriage: Mapping[str, str],
    warnings: tuple[Statement, ...],
    forms: tuple[FormPlaces, ...],
    cautions: tuple[str, ...],
    paper: Paper,
    source_sha256: str,
    rules_sha256: str,
    version: str,
) -> None:
    """Write the sheet of a load.

    Parameters
    ----------
    streams, carriage, warnings, forms, cautions
        What the rule data say of this load on its date.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    sheet, setter = sheet_of(paper), Typesetter()
    content = load_content(load, streams, carriage)
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
        f"rules {rules_sha256[:_DIGEST_DIGITS]} · intake {version}",
    )
    with pdf_pages(
        path, sheet=sheet, description=description, furnishing=PageFurniture(sheet, furniture)
    ) as pages:
        writer = Writer(Flow(sheet, pages), setter)
        place_glance(writer, load, content, totals.all, warnings)
        place_conditions(writer, content)
        writer.flow.turn_page()
        place_entries(writer, load, content, totals.all, forms)
        place_packages(writer, content, currency=load.head.currency)
        place_receipt(writer, load)
        writer.sign_off(SIGN_OFF, cautions)
