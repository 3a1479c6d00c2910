"""Label sheets as a file: read back with a decoder and other libraries."""

from datetime import date

import pytest
from pypdf import PdfReader

from intake.model.condition import Condition
from intake.model.paper import Paper
from intake.model.verdict import Grade
from intake.report.drawing.marks import DiscMark, LineMark, ShapeMark
from intake.report.drawing.palette import WHITE
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.codes import BLACK, qr_modules
from intake.report.labels.label import label_marks
from intake.report.labels.stock import STOCKS
from intake.report.labels.write import write_labels
from tests.changed import replace
from tests.report.builders import (
    CYRILLIC,
    GREEK,
    LONG_NOTE,
    LONG_TAG,
    battery,
    many_batteries,
    mixed_batteries,
    result_of,
)
from tests.report.read_codes import CODE_128, QR, codes_by_page
from tests.report.read_pdf import flat, fonts, outside, overlapping, smallest_size, words_by_page

BOTH = pytest.mark.parametrize("paper", list(Paper))
COUNTS = pytest.mark.parametrize("count", [1, 21, 22, 48])
POINTS_PER_MM = 72 / 25.4
TITLES = {
    Grade.RESALE: "Resale",
    Grade.RECONDITIONABLE: "Recondition",
    Grade.RECYCLE: "Recycle",
    Grade.UNRESOLVED: "Unresolved",
}
HANDLING = {
    Condition.SUSPECT: "Suspect",
    Condition.DAMAGED: "Damaged",
    Condition.LOOK_AGAIN: "Look again",
    Condition.CASE_NOT_READ: "Check case",
}
HEADLINES = (
    *TITLES.values(),
    "CHARGE, LEVEL",
    "CHARGE, THEN TEST",
    "LITHIUM",
    "MEND TERMINAL",
    "NOT IDENTIFIED",
    "READ AGAIN",
    "RECOVER",
    "SET APART",
    "TEST CAPACITY",
    "TEST STRENGTH",
    "TESTED",
)
SMALLEST_READABLE_MM = 2.9
"""Five minutes of arc at two metres: the sign that a sharp eye just reads (ISO 8596, from memory)."""


def labels(folder, result, paper=Paper.A4):
    path = folder / "l.pdf"
    write_labels(replace(result, paper=paper), path)
    return path


def rectangles(paper, size):
    """Return the labels of one sheet as left, top, right and bottom, from the figures of the stock."""
    first_x, first_y, across, down, width, height, columns, rows = {
        Paper.A4: (7.2, 15.1, 66.0, 38.1, 63.5, 38.1, 3, 7),
        Paper.LETTER: (4.8, 12.7, 69.8, 25.4, 66.7, 25.4, 3, 10),
    }[paper]
    return [
        tuple(
            POINTS_PER_MM * length
            for length in (
                first_x + column * across,
                first_y + row * down,
                first_x + column * across + width,
                first_y + row * down + height,
            )
        )
        for row in range(rows)
        for column in range(columns)
    ]


def inside(box, rectangle, *, slack=0.0):
    left, top, right, bottom = rectangle
    return (
        box[0] >= left - slack
        and box[1] >= top - slack
        and box[2] <= right + slack
        and box[3] <= bottom + slack
    )


def meets(box, rectangle):
    left, top, right, bottom = rectangle
    return box[0] < right and box[2] > left and box[1] < bottom and box[3] > top


def words_on(path, paper):
    """Yield for each page the words of each label and those in the margins, boxes from the top left."""
    for size, words in words_by_page(path):
        placed = [
            (word, (word.left, size[1] - word.top, word.right, size[1] - word.bottom)) for word in words
        ]
        areas = rectangles(paper, size)
        on_labels = [[word for word, box in placed if inside(box, area)] for area in areas]
        margin = [(word, box) for word, box in placed if not any(inside(box, area) for area in areas)]
        yield on_labels, margin, areas


def label_texts(path, paper):
    """Return the text of each label that carries any, in workbook order."""
    texts = [
        " ".join(word.text for word in words)
        for on_labels, _, _ in words_on(path, paper)
        for words in on_labels
    ]
    return [text for text in texts if text]


def strained():
    """Return a pallet with twin tags, no tag, tags and positions of every length and script."""
    pallet = list(mixed_batteries()[:24])
    changes = {
        3: {"tag": "W" * 32},
        4: {"tag": "row 9", "row": 9},
        5: {"tag": "b-007"},
        7: {"position": LONG_NOTE},
        8: {"position": GREEK},
        9: {"position": f"{CYRILLIC}, {GREEK}"},
        10: {"tag": "2026-0714-0013"},
        11: {"tag": "pallet_12.row-3.pos-4"},
        12: {"tag": "A"},
        13: {"tag": "abcdefghijklmnopqrstuvwxyz012345"},
        14: {"position": "Q" * 300},
        15: {"position": None},
    }
    for place, fields in changes.items():
        pallet[place] = replace(pallet[place], **fields)
    return tuple(pallet)


@pytest.fixture(scope="module")
def hard():
    return result_of(strained())


@BOTH
@COUNTS
def test_every_label_is_decoded_where_it_stands(tmp_path, paper, count):
    """Both codes of every label read ``batch/tag`` and lie inside that label, in workbook order."""
    path = labels(tmp_path, result_of(many_batteries(count)), paper)
    expected = iter([f"2026-W47-P03/T-{number:05d}" for number in range(1, count + 1)])
    seen = 0
    for found in codes_by_page(path):
        for area in rectangles(paper, None):
            here = [code for code in found if inside(code[2:], area, slack=0.2)]
            if not here:
                continue
            text = next(expected)
            assert {(QR, text), (CODE_128, text)} == {(code.kind, code.text) for code in here}
            seen += len(here)
    assert 2 * count == seen


@BOTH
@COUNTS
def test_no_more_sheets_than_the_labels_need(tmp_path, paper, count):
    labels_per_sheet = {Paper.A4: 21, Paper.LETTER: 30}[paper]
    pages = len(PdfReader(labels(tmp_path, result_of(many_batteries(count)), paper)).pages)
    assert -(-count // labels_per_sheet) == pages


@BOTH
def test_a_tag_of_32_signs_is_decoded_and_printed_whole(tmp_path, paper):
    path = labels(tmp_path, result_of((battery(1, tag=LONG_TAG),)), paper)
    (found,) = codes_by_page(path)
    assert [(QR, f"2026-W47-P03/{LONG_TAG}")] == [(code.kind, code.text) for code in found]
    (text,) = label_texts(path, paper)
    assert LONG_TAG in text.replace(" ", "")


@BOTH
def test_the_longest_batch_and_tag_have_a_qr_code_alone(tmp_path, paper):
    batch, tag = "b" * 40, "t" * 32
    path = labels(tmp_path, result_of((battery(1, tag=tag),), batch={"batch": batch}), paper)
    (found,) = codes_by_page(path)
    assert [(QR, f"{batch}/{tag}")] == [(code.kind, code.text) for code in found]


@BOTH
def test_strained_labels_are_all_decoded(tmp_path, hard, paper):
    found = [code for page in codes_by_page(labels(tmp_path, hard, paper)) for code in page]
    expected = sorted(f"2026-W47-P03/{one.battery.tag}" for one in hard.graded)
    assert expected == sorted(code.text for code in found if code.kind == QR)
    assert {code.text for code in found if code.kind == CODE_128} < set(expected)


@BOTH
@pytest.mark.parametrize("batch", ["2026-W47-P03", "W" * 40])
def test_no_word_leaves_the_page_and_none_lies_on_another(tmp_path, paper, batch):
    path = labels(tmp_path, result_of(strained(), batch={"batch": batch}), paper)
    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=12)
        assert [] == overlapping(words)


@BOTH
def test_each_label_says_tag_grade_handling_and_the_facts(tmp_path, paper):
    doubtful = (
        battery(60, rest_voltage_v=12.7, note="side dented"),
        battery(61, rest_voltage_v=12.7, case=None),
        battery(62, rest_voltage_v=12.0),
        battery(63, "LFP", rest_voltage_v=13.3, terminals="corroded"),
    )
    result = result_of((*mixed_batteries(), *doubtful))
    texts = label_texts(labels(tmp_path, result, paper), paper)
    assert len(result.graded) == len(texts)
    for one, text in zip(result.graded, texts, strict=True):
        joined = text.replace(" ", "")
        for part in (
            one.battery.tag,
            HANDLING.get(one.condition, ""),
            TITLES[one.verdict.grade],
            one.battery.chemistry.value,
            "not a transport label",
        ):
            assert part.replace(" ", "") in joined


def test_only_what_is_not_intact_names_its_handling(tmp_path):
    result = result_of((battery(1, rest_voltage_v=12.7), battery(2, case="leaking")))
    intact, damaged = label_texts(labels(tmp_path, result), Paper.A4)

    assert "ntact" not in intact
    assert "Damaged" in damaged


@BOTH
def test_twins_carry_their_row_and_a_row_without_tag_says_so(tmp_path, hard, paper):
    texts = label_texts(labels(tmp_path, hard, paper), paper)
    assert texts[4].startswith("no tag, row 9 ")
    assert texts[5].startswith("b-007 (row 10) ")
    assert texts[6].startswith("B-007 (row 11) ")
    assert texts[8].startswith("B-009 Recycle: LITHIUM")


@BOTH
def test_a_position_in_greek_or_cyrillic_is_printed(tmp_path, paper):
    pair = (battery(1, position=GREEK[:9]), battery(2, position=CYRILLIC[:9]))
    texts = label_texts(labels(tmp_path, result_of(pair), paper), paper)
    assert GREEK[:9] in texts[0]
    assert CYRILLIC[:9] in texts[1]


def test_a_position_without_end_is_shortened_and_says_so_or_left_out(tmp_path, hard):
    texts = label_texts(labels(tmp_path, hard), Paper.A4)
    assert "Q" * 30 not in texts[14].replace(" ", "")
    assert "see workbook" not in texts[0]


@BOTH
def test_small_print_is_at_least_eight_points_on_ordinary_labels(tmp_path, paper):
    plain = tuple(battery(number, rest_voltage_v=12.7) for number in range(30))
    assert 8 <= smallest_size(labels(tmp_path, result_of(plain), paper))


@BOTH
def test_every_page_has_its_furniture_and_none_of_it_on_a_label(tmp_path, paper):
    overdue = {"calibration_due": date(2026, 1, 31)}
    path = labels(tmp_path, result_of(many_batteries(48), batch=overdue), paper)
    pages = list(words_on(path, paper))
    for number, (_, margin, areas) in enumerate(pages, start=1):
        text = flat(" ".join(word.text for word, _ in margin))
        assert text.startswith("Batch 2026-W47-P03 Labels, read 2026-11-20, revision 1 · ")
        assert f" · page {number} of {len(pages)} workbook" in text
        assert "Meter calibration was due 2026-01-31" in text
        assert "workbook 0123456789ab · policy fedcba987654 · " in text
        assert "· intake 9.9.9" in text
        assert [] == [word for word, box in margin if any(meets(box, area) for area in areas)]


@BOTH
def test_the_paper_has_its_size_and_the_fonts_are_embedded(tmp_path, paper):
    path = labels(tmp_path, result_of(many_batteries(2)), paper)
    (size, _), *_ = words_by_page(path)
    expected = {Paper.A4: (595.28, 841.89), Paper.LETTER: (612.0, 792.0)}[paper]
    assert pytest.approx(expected, abs=0.1) == size
    assert all(name.endswith(" embedded") for name in fonts(path))


@BOTH
def test_tag_and_grade_are_readable_at_two_metres(tmp_path, paper):
    path = labels(tmp_path, result_of(mixed_batteries()), paper)
    smallest = SMALLEST_READABLE_MM * POINTS_PER_MM
    for on_labels, _, _ in words_on(path, paper):
        for words in filter(None, on_labels):
            large = [word for word in words if any(word.text.strip(",:") in one for one in HEADLINES)]
            assert large
            assert max(word.top - word.bottom for word in large) >= smallest
            assert words[0].top - words[0].bottom >= smallest


@BOTH
def test_the_marks_are_pure_black_and_large_enough_for_two_metres(paper):
    """Anything lighter is broken into dots in print; 2.9 mm is what a sharp eye reads at that distance."""
    setter, smallest = Typesetter(), SMALLEST_READABLE_MM * POINTS_PER_MM
    result = result_of(mixed_batteries())
    for one in result.graded:
        marks = label_marks(setter, one, "B", paper, day=date(2026, 11, 20), twin=False)
        (grade,) = [found for found in _outlines(marks) if found[0] == one.verdict.grade]
        assert grade[1] >= smallest
        assert {BLACK} == grade[2]


def _outlines(marks):
    """Return grade, height in points and colours of the grade's mark, told by its shape."""
    for mark in marks:
        if isinstance(mark, DiscMark):
            yield Grade.RESALE, 2 * mark.radius, {mark.fill}
        elif isinstance(mark, ShapeMark) and mark.fill == WHITE:
            heights = [y for _, y in mark.points]
            kind = {3: Grade.UNRESOLVED, 4: Grade.RECONDITIONABLE}[len(heights)]
            yield kind, max(heights) - min(heights) + mark.width, {mark.stroke}
    arms = [mark for mark in marks if isinstance(mark, LineMark)]
    if arms:
        yield Grade.RECYCLE, max(abs(one.y2 - one.y1) for one in arms), {one.colour for one in arms}


@BOTH
def test_the_next_step_is_larger_than_the_grade_where_both_take_a_line(tmp_path, paper):
    path = labels(tmp_path, result_of([battery(1, rest_voltage_v=12.75)]), paper)
    (on_labels, _, _), *_ = words_on(path, paper)
    height = {word.text: word.top - word.bottom for word in on_labels[0]}

    assert height["CHARGE,"] >= SMALLEST_READABLE_MM * POINTS_PER_MM
    assert height["CHARGE,"] >= next(size for text, size in height.items() if text.startswith("Resale"))


EVERY_STEP = {
    "CHARGE TEST": {"rest_voltage_v": 12.75},
    "RECOVER": {"rest_voltage_v": 12.0},
    "READ AGAIN": {"rest_voltage_v": None},
    "ASK OFFICE": {"rest_voltage_v": 12.7, "row_errors": ("x",)},
    "SET APART": {"rest_voltage_v": 12.7, "note": "side dented"},
}


@BOTH
@pytest.mark.parametrize("tag", ["B-001", "PALLET-7.ROW_12.POSITION_03.A-01"])
@pytest.mark.parametrize("case", ["sound", None])
@pytest.mark.parametrize(("step", "fields"), EVERY_STEP.items(), ids=EVERY_STEP)
def test_every_step_reads_at_two_metres_beside_its_grade_on_every_layout(
    tmp_path, paper, tag, case, step, fields
):
    """With and without bars, strip and frame: the step is never another one, and never small."""
    result = result_of([battery(1, tag=tag, case=case, **fields)])
    (on_labels, _, _), *_ = words_on(labels(tmp_path, result, paper), paper)
    heights = {word.text.strip(",:"): word.top - word.bottom for word in on_labels[0]}
    others = {word for name in EVERY_STEP for word in name.split()} - set(step.split())

    assert TITLES[result.graded[0].verdict.grade] in heights
    assert [] == [word for word in step.split() if heights[word] < SMALLEST_READABLE_MM * POINTS_PER_MM]
    assert not others & heights.keys()


def test_the_same_result_gives_the_same_bytes(tmp_path, hard):
    first = labels(tmp_path, hard).read_bytes()
    qr_modules.cache_clear()
    assert first == labels(tmp_path, hard).read_bytes()


def test_the_file_names_itself_and_lists_its_sheets(tmp_path):
    reader = PdfReader(labels(tmp_path, result_of(many_batteries(22))))
    assert "Labels, batch 2026-W47-P03" == reader.metadata.title
    assert ["T-00001 to T-00021", "T-00022"] == [entry.title for entry in reader.outline]


def test_a_file_that_can_not_be_written_is_an_error(tmp_path):
    with pytest.raises(OSError, match="No such file"):
        write_labels(result_of((battery(1),)), tmp_path / "missing" / "l.pdf")


def test_the_stock_is_what_the_documents_promise():
    assert {Paper.A4: (3, 7), Paper.LETTER: (3, 10)} == {
        paper: (stock.columns, stock.rows) for paper, stock in STOCKS.items()
    }
