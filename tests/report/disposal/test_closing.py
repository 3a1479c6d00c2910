"""What follows the streams on the disposal sheet."""

from dataclasses import replace

from intake.model.paper import Paper
from intake.report.disposal.closing import ClosingSections
from intake.report.disposal.content import disposal_content
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import TEXT, Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from tests.report.builders import battery, result_of
from tests.report.read_blocks import told, writing_lines

SHEET = sheet_of(Paper.A4)
CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}
DEFERENCE = "Local codes, the maker's instructions and licensed practice come first."


def placed(result):
    flow = Flow(SHEET)
    ClosingSections(Clauses(Typesetter(), SHEET.room_width)).place(flow, result, disposal_content(result))
    return flow


def texts_of(*batteries):
    return told(placed(result_of(batteries)))


def without(result, **changes):
    return replace(result, compliance=replace(result.compliance, **changes))


def test_what_all_notes_say_is_said_once():
    assert 1 == texts_of(battery(1, **CRACKED)).count(DEFERENCE)


def test_without_notes_and_statements_their_headings_are_left_out():
    texts = told(placed(without(result_of([battery(1, **CRACKED)]), handling_notes=(), general=())))

    assert "Hazards and first measures" not in texts
    assert "For the whole consignment" not in texts
    assert "Cautions" in texts


def test_nothing_to_send_or_settle_leaves_cautions_and_lines_to_sign():
    flow = placed(result_of([battery(1, rest_voltage_v=12.7)]))
    texts = told(flow)

    assert "Cautions" == texts[0]
    assert "Index of evidence" not in texts
    assert 9 == writing_lines(flow)


def test_without_unresolved_batteries_their_list_is_left_out():
    assert not [text for text in texts_of(battery(1, **CRACKED)) if text.startswith("Unresolved")]


def test_an_unresolved_battery_has_its_next_step_and_handling():
    texts = texts_of(battery(1, "LFP", rest_voltage_v=None, rested_h=None, position=None))

    assert "Handle as suspect" in texts
    assert "position not given" in texts
    assert "A qualified person measures the rest voltage" in " ".join(texts)


def test_the_list_of_unresolved_names_itself_on_each_page():
    ones = [battery(n, "unknown", rest_voltage_v=1.0) for n in range(1, 40)]
    flow = placed(result_of(ones))
    texts = told(flow)

    assert texts.count("Unresolved batteries, continued") == texts.count("Tag, position") - 1 > 0


def test_cautions_are_numbered_and_whole():
    result = result_of([battery(1, **CRACKED)])
    text = " ".join(told(placed(result)))
    for number, caution in enumerate(result.compliance.cautions, start=1):
        assert f"{number} {caution}" in text


def test_signs_that_could_not_be_printed_are_counted():
    setter = Typesetter()
    setter.wrap("電", TEXT, 100)
    flow, result = Flow(SHEET), result_of([battery(1, **CRACKED)])
    ClosingSections(Clauses(setter, SHEET.room_width)).place(flow, result, disposal_content(result))

    assert "1 character could not be printed; shown as □." in told(flow)
