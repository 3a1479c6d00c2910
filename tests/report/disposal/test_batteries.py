"""The list of a stream's batteries."""

from intake.model.paper import Paper
from intake.report.disposal.batteries import StreamBatteries
from intake.report.disposal.content import disposal_content
from intake.report.drawing.flow import Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.marks import TextMark
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from tests.report.builders import battery, result_of
from tests.report.read_blocks import told

SHEET = sheet_of(Paper.A4)
CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}


def placed(*batteries):
    flow = Flow(SHEET)
    (part,) = disposal_content(result_of(batteries)).parts
    StreamBatteries(Clauses(Typesetter(), SHEET.room_width)).place(flow, part)
    return flow


def marks(flow):
    return [(mark, dx) for page in flow.pages for mark, dx, _ in page.placed if isinstance(mark, TextMark)]


def test_decimal_points_stand_below_each_other():
    setter = Typesetter()
    flow = placed(battery(1, **CRACKED, mass_kg=9.5), battery(2, **CRACKED, mass_kg=14.5))
    points = {
        round(mark.x + dx + setter.width(mark.text.partition(".")[0], mark.style), 6)
        for mark, dx in marks(flow)
        if mark.text in ("9.5", "14.5")
    }

    assert 1 == len(points)


def test_what_is_damaged_stands_out():
    (damaged,) = [mark for mark, _ in marks(placed(battery(1, **CRACKED))) if "Diagnosable" in mark.text]
    whole = battery(1, rest_voltage_v=12.5, terminals="broken")
    (intact,) = [mark for mark, _ in marks(placed(whole)) if "Diagnosable" in mark.text]

    assert Face.BOLD is damaged.style.face
    assert Face.REGULAR is intact.style.face


def test_the_head_repeats_with_the_name_of_the_stream():
    flow = placed(*(battery(number, **CRACKED) for number in range(1, 30)))
    texts = told(flow)

    assert len(flow.pages) > 1
    assert len(flow.pages) - 1 == texts.count("1 Lead-acid, damaged or leaking, continued")
    assert len(flow.pages) == texts.count("Tag, position")
