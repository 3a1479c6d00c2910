"""Pages into a file."""

import re
from datetime import date

from pypdf import PdfReader

from intake.model.paper import Paper
from intake.report.marks import DiscMark, LineMark, TextMark, rectangle
from intake.report.page import Page, sheet_of
from intake.report.palette import INK, PALE, WHITE
from intake.report.pdf_file import Attachment, Description, pdf_pages
from intake.report.typesetter import Style

SHEET = sheet_of(Paper.A4)
DESCRIPTION = Description("Title Ω", "Subject", "1.2.3", date(2026, 11, 20))


def written(folder, *marks, **kwargs):
    page = Page()
    page.add([(mark, 0.0, 0.0) for mark in marks])
    path = folder / "p.pdf"
    with pdf_pages(path, sheet=SHEET, description=DESCRIPTION, **kwargs) as pages:
        pages.append(page)
    return path


def content(path):
    return PdfReader(path).pages[0].get_contents().get_data().decode("latin-1")


def test_a_page_may_be_empty(tmp_path):
    assert 1 == len(PdfReader(written(tmp_path)).pages)


def test_places_count_from_the_top(tmp_path):
    marks = (LineMark(10, 0, 20, 0), LineMark(10, SHEET.height, 20, SHEET.height))

    drawn = content(written(tmp_path, *marks))
    assert "10 841.89 m 20 841.89 l" in drawn
    assert "10 0 m 20 0 l" in drawn


def test_a_white_text_on_a_filled_box_and_a_dark_one_after_it_keep_their_colours(tmp_path):
    """Only changes are told to the file, so each change must be."""
    drawn = content(
        written(
            tmp_path,
            TextMark(0, 10, "a", Style(8)),
            rectangle(0, 0, 10, 10, fill=INK),
            TextMark(0, 20, "b", Style(8, colour=WHITE)),
            TextMark(0, 30, "c", Style(8)),
            DiscMark(5, 5, 2, fill=PALE),
            TextMark(0, 40, "d", Style(8, colour=PALE)),
        )
    )
    told = re.findall(r"(\S+ \S+ \S+) rg", drawn)

    assert ["0.1 0.11 0.12", "1 1 1", "0.1 0.11 0.12", "0.93 0.94 0.945"] == told


def test_several_attachments_are_all_there(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.txt").write_text(name)
    files = [Attachment(tmp_path / f"{name}.txt", "text/plain", "A text") for name in ("a", "b")]
    attached = PdfReader(written(tmp_path, attachments=files)).attachments

    assert {"a.txt": [b"a"], "b.txt": [b"b"]} == {name: attached[name] for name in attached}


def test_titles_in_any_script_are_kept(tmp_path):
    assert "Title Ω" == PdfReader(written(tmp_path)).metadata.title


def test_text_of_several_fonts_and_scripts_reads_back(tmp_path):
    path = written(tmp_path, TextMark(10, 20, "Ωμ Жи ≥ ±", Style(8)))

    assert "Ωμ Жи ≥ ±" in PdfReader(path).pages[0].extract_text()
