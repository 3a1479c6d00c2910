"""Pages into a file."""

import random
import re
import tracemalloc
from datetime import date

import pypdfium2
import pytest
from pypdf import PdfReader

from intake.model.paper import Paper
from intake.report.drawing.marks import DiscMark, LineMark, TextMark, rectangle
from intake.report.drawing.page import Page, sheet_of
from intake.report.drawing.palette import INK, PALE, WHITE
from intake.report.drawing.pdf_file import Attachment, Description, pdf_pages
from intake.report.drawing.typesetter import Style

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
    assert "10 841.8898 m 20 841.8898 l" in drawn
    assert "10 0 m 20 0 l" in drawn


def test_a_white_text_on_a_filled_box_and_a_dark_one_after_it_keep_their_colours(tmp_path):
    """Only changes are written to the file, so each change must be."""
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

    assert [".1 .11 .12", "1 1 1", ".1 .11 .12", ".93 .94 .945"] == told


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


def test_signs_that_a_file_writes_in_another_way_read_back(tmp_path):
    """Brackets and strokes are escaped; the 10th and 13th sign of a font would be line ends."""
    letters = "".join(chr(code) for code in range(0x410, 0x450)) + "ΩμΔΣλ≥±°·"
    path = written(tmp_path, TextMark(10, 20, r"(a\b) ) (", Style(8)), TextMark(10, 40, letters, Style(8)))
    text = PdfReader(path).pages[0].extract_text()

    assert r"(a\b) ) (" in text
    assert letters in text


def test_a_disc_is_round_and_a_shape_closed(tmp_path):
    marks = (
        DiscMark(50, 50, 20, fill=INK),
        rectangle(100, 30, 40, 40, stroke=INK),
        DiscMark(200, 50, 20, stroke=INK),
    )
    page = pypdfium2.PdfDocument(written(tmp_path, *marks))[0]
    picture = page.render(scale=1, grayscale=True)
    dark = {
        (index % picture.stride, index // picture.stride)
        for index, level in enumerate(bytes(picture.buffer))
        if level < 128
    }

    def inside(x, y):
        return (x - 50) ** 2 + (y - 50) ** 2 < 18**2

    assert all(((x, y) in dark) == inside(x, y) for x in range(28, 73) for y in range(28, 73) if far(x, y))
    assert not {(x, y) for x, y in dark if 103 < x < 137 and 33 < y < 67}, "drawn round, not filled"
    assert all(any((x, y) in dark for x in (138, 139, 140)) for y in range(32, 68)), "the last side"
    assert not {(x, y) for x, y in dark if (x - 200) ** 2 + (y - 50) ** 2 < 17**2}


def far(x, y):
    """Say whether a place is not on the edge of the disc of 20 about 50, 50."""
    return not 18**2 <= (x - 50) ** 2 + (y - 50) ** 2 <= 22**2


class Numbers:
    """Each page's number before its content, a word after it."""

    foot = ((TextMark(10, 60, "foot", Style(8)), 0.0, 0.0),)

    def head(self, number, count):
        return ((TextMark(10, 20, f"page {number} of {count}", Style(8)), 0.0, 0.0),)


def many_pages(path, count, marks):
    with pdf_pages(path, sheet=SHEET, description=DESCRIPTION, furnishing=Numbers()) as pages:
        for number in range(count):
            page = Page()
            pages.append(page)
            page.add(
                [(TextMark(10, 40, f"content {number} {one}", Style(8)), 0.0, 0.0) for one in range(marks)]
            )
    return path


def test_every_page_has_its_head_before_and_its_foot_after_its_content(tmp_path):
    path = many_pages(tmp_path / "p.pdf", 3, 1)
    read = [page.extract_text().split() for page in PdfReader(path, strict=True).pages]

    assert [["page", f"{one}", "of", "3", "content", f"{one - 1}", "0", "foot"] for one in (1, 2, 3)] == read
    assert path.read_bytes() == many_pages(tmp_path / "q.pdf", 3, 1).read_bytes()


def test_a_page_is_let_go_when_the_next_one_begins(tmp_path):
    """Fifty pages with 1,000 marks each, all held, would take up 15 MB."""
    many_pages(tmp_path / "first.pdf", 1, 1)
    tracemalloc.start()
    many_pages(tmp_path / "p.pdf", 50, 1000)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert peak < 6e6


def test_an_attachment_is_in_memory_once_and_packed(tmp_path):
    """What cannot be packed further is the worst case: the library's own way would hold it four times."""
    noise = random.Random(7).randbytes(8_000_000)
    (tmp_path / "noise.bin").write_bytes(noise)
    many_pages(tmp_path / "first.pdf", 1, 1)
    tracemalloc.start()
    path = written(tmp_path, attachments=[Attachment(tmp_path / "noise.bin", "text/plain", "Noise")])
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert peak < 14e6
    assert [noise] == PdfReader(path).attachments["noise.bin"]


def test_a_file_that_can_not_be_written_is_an_oserror(tmp_path):
    (tmp_path / "p.pdf").mkdir()
    with pytest.raises(OSError, match="directory"):
        written(tmp_path)


def test_a_file_that_opens_no_section_is_listed_by_its_title(tmp_path):
    reader = PdfReader(many_pages(tmp_path / "p.pdf", 2, 1))

    assert [reader.metadata.title] == [one.title for one in reader.outline]
    assert 0 == reader.get_destination_page_number(reader.outline[0])
