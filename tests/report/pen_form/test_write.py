"""The form for a pen, read back with other libraries."""

from itertools import pairwise

import pytest
from pypdf import PdfReader

from intake.model.paper import Paper
from intake.report.pen_form.write import write_pen_form
from tests.report.read_pdf import flat, fonts, outside, overlapping, texts, words_by_page

COLUMNS = (
    "Tag", "Chemistry", "Case", "Rest voltage (V)", "Rested (h)", "Rest began", "Rest read at",
    "Temperature (°C)", "Rated capacity (Ah)", "Terminals", "Position", "Note",
)  # fmt: skip
LEAST_STEP = 13
"""Points: 4.6 mm, as narrow as a ruled form gets."""


@pytest.fixture(params=list(Paper), ids=lambda paper: paper.value)
def form(tmp_path, request):
    path = tmp_path / "form.pdf"
    write_pen_form(path, paper=request.param, version="9.9.9")
    return path


def test_it_is_one_page_on_its_side(form):
    (page,) = PdfReader(form).pages
    assert page.mediabox.width > page.mediabox.height


def test_the_columns_are_those_of_the_short_workbook_in_its_order(form):
    text = flat(texts(form)[0])
    places = [text.index(header, text.index(" Tag ")) for header in COLUMNS]
    assert places == sorted(places)


def test_the_rows_are_counted_to_thirty_under_one_worked_example(form):
    ((_, words),) = words_by_page(form)
    edge = min(word.left for word in words) + 15
    numbers = [word for word in words if word.text.isdigit() and word.left < edge]
    assert list(range(1, 31)) == [int(word.text) for word in numbers]
    assert all(above.top - below.top > LEAST_STEP for above, below in pairwise(numbers))
    (example,) = (word for word in words if word.text == "12.55")
    assert example.bottom > numbers[0].top


def test_the_questions_settle_the_chemistry(form):
    text = flat(texts(form)[0])
    for words in (
        "Caps that come off: flooded",
        "look for AGM, gel or EFB on the label",
        "Li, LFP or LiFePO4: LFP",
        "Not sure: unknown",
        "sound, scuffed, dented, cracked, leaking, swollen, burnt",
        "do not measure, move or charge it",
    ):
        assert words in text


def test_every_word_keeps_to_the_page_and_to_itself(form):
    ((size, words),) = words_by_page(form)
    assert [] == outside(words, size, margin=12)
    assert [] == overlapping(words)


def test_fonts_are_embedded(form):
    assert fonts(form)
    assert all(name.endswith(" embedded") for name in fonts(form) if "DejaVu" in name)


def test_the_bytes_never_change(tmp_path):
    paths = [tmp_path / name for name in ("one.pdf", "other.pdf")]
    for path in paths:
        write_pen_form(path, paper=Paper.A4, version="9.9.9")
    assert paths[0].read_bytes() == paths[1].read_bytes()
