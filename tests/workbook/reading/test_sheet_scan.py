import pytest

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading import sheet_scan
from intake.workbook.reading.part_scan import scan_part
from intake.workbook.reading.sheet_scan import SheetFacts
from tests.workbook.archives import number_cell, row_xml, sheet_xml, text_cell


def scan_xml(xml: str) -> SheetFacts:
    found = scan_part("xl/worksheets/sheet1.xml", [xml.encode()], unpacked_bytes=len(xml))
    assert found is not None
    assert found.sheet is not None
    return found.sheet


def scan(rows: str, **more: str) -> SheetFacts:
    return scan_xml(sheet_xml(rows, **more))


def refused(rows: str, **more: str) -> str:
    with pytest.raises(WorkbookRefused) as caught:
        scan(rows, **more)
    assert "save it under a new name" in caught.value.hint
    return str(caught.value)


@pytest.mark.parametrize("number", [0, 1_048_577, 2_000_000_000, "1" + "0" * 30, "-1", "1.0", "01", "x", "١"])
def test_a_row_number_outside_the_sheet_is_refused(number: int | str) -> None:
    assert "rows run from 1 to 1,048,576" in refused(row_xml(number, ""))


@pytest.mark.parametrize("number", [1, 1_048_576])
def test_the_first_and_the_last_row_of_the_format_pass(number: int) -> None:
    assert scan(row_xml(number, number_cell(f"A{number}", 1))).last_row == number


@pytest.mark.parametrize(("first", "second"), [(3, 2), (2, 2)])
def test_rows_out_of_order_or_twice_are_refused(first: int, second: int) -> None:
    message = refused(row_xml(first, "") + row_xml(second, ""))
    assert f"row {second} after row {first}" in message


def test_rows_and_cells_without_numbers_count_on() -> None:
    facts = scan("<row><c><v>1</v></c><c/><c><v>2</v></c></row><row><c><v>3</v></c></row>")
    assert (2, 3, 3) == (facts.last_row, facts.last_column, facts.value_cells)


@pytest.mark.parametrize("ref", ["A2", "1A", "a1", "$A$1", "A", "XFE1", "AAAA1", "É1", "A01", "A1:B1"])
def test_a_cell_whose_name_does_not_fit_its_row_is_refused(ref: str) -> None:
    assert "has a cell named" in refused(row_xml(1, number_cell(ref, 1)))


def test_the_last_column_of_the_format_passes() -> None:
    assert 16_384 == scan(row_xml(12, number_cell("XFD12", 1))).last_column


def test_a_nameless_cell_beyond_the_last_column_is_refused() -> None:
    assert "beyond XFD" in refused(row_xml(1, number_cell("XFD1", 1) + "<c><v>2</v></c>"))


@pytest.mark.parametrize("refs", [("C1", "A1"), ("B1", "B1")])
def test_cells_out_of_order_or_twice_are_refused(refs: tuple[str, str]) -> None:
    assert f"cell {refs[1]} out of order in row 1" in refused(
        row_xml(1, "".join(number_cell(ref, 1) for ref in refs))
    )


def test_formatted_rows_down_to_the_end_hold_nothing() -> None:
    facts = scan(row_xml(2, number_cell("B2", 5)) + row_xml(1_048_576, '<c r="A1048576" s="1"/>'))
    assert (2, 2, 1) == (facts.last_row, facts.last_column, facts.value_cells)


def test_an_empty_value_holds_nothing() -> None:
    assert 0 == scan(row_xml(9, '<c r="A9"><v></v></c><c r="B9"><v/></c>')).last_row


def test_a_formula_without_a_saved_value_is_seen() -> None:
    cells = '<c r="A3"><f>1+1</f></c><c r="B3"><f>1+1</f><v></v></c><c r="D3"><f>1+1</f><v>2</v></c>'
    facts = scan(row_xml(3, cells))
    assert {3: (1, 2)} == facts.unsaved_formulas
    assert 3 == facts.last_row


def test_a_formula_with_a_saved_empty_text_is_blank() -> None:
    facts = scan(row_xml(3, '<c r="A3" t="str"><f>""</f><v></v></c><c r="B3" t="str"><f>""</f><v/></c>'))
    assert {} == facts.unsaved_formulas
    assert 0 == facts.last_row


def test_a_text_formula_whose_value_was_left_out_is_unsaved() -> None:
    assert {1: (1,)} == scan(row_xml(1, '<c r="A1" t="str"><f>""</f></c>')).unsaved_formulas


@pytest.mark.parametrize("hidden", ["1", "true"])
def test_hidden_rows_that_hold_something_are_known(hidden: str) -> None:
    rows = row_xml(1, number_cell("A1", 1), more=f' hidden="{hidden}"') + row_xml(2, "", more=' hidden="1"')
    assert frozenset({1}) == scan(rows + row_xml(3, number_cell("A3", 1), more=' hidden="0"')).hidden_rows


def test_a_filter_is_seen_and_its_absence_too() -> None:
    assert scan("", after='<autoFilter ref="A1:B2"/>').filtered is True
    assert scan("", after="<mergeCells/>").filtered is False


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("<x/>", "something other than rows"),
        ('<row xmlns="other" r="1"/>', "something other than rows"),
        (row_xml(1, '<x r="A1"><v>1</v></x>'), "something other than cells"),
        (row_xml(1, '<c xmlns="other" r="A1"/>'), "something other than cells"),
        (row_xml(1, '<c r="A1" t="new"><v>1</v></c>'), "unknown type"),
        (row_xml(1, '<c r="A1"><v>1</v><v>2</v></c>'), "two values"),
        (row_xml(1, '<c r="A1" t="s"><v>-1</v></c>'), "points to no text"),
        (row_xml(1, '<c r="A1" t="s"><v>1_0</v></c>'), "points to no text"),
        (row_xml(1, '<c r="A1" t="s"><v>١</v></c>'), "points to no text"),
        (row_xml(1, number_cell("A1", "1_000")), "digits 0 to 9"),
        (row_xml(1, number_cell("A1", "١٢")), "digits 0 to 9"),
        (row_xml(1, number_cell("A1", "１２")), "digits 0 to 9"),
        (row_xml(1, '<c r="A1"><is><t>lost</t></is></c>'), "marked as something else"),
        (row_xml(1, '<c r="A1" t="inlineStr"><v>lost</v></c>'), "marked as something else"),
    ],
)
def test_what_would_be_lost_or_misread_in_silence_is_refused(rows: str, words: str) -> None:
    assert words in refused(rows)


def test_an_inline_text_without_content_is_blank() -> None:
    assert 0 == scan(row_xml(1, '<c r="A1" t="inlineStr"/>')).last_row


@pytest.mark.parametrize("place", ["before", "after"])
@pytest.mark.parametrize("piece", ["<row r='1'/>", "<x><sheetData/></x>"])
def test_rows_outside_the_table_are_refused(place: str, piece: str) -> None:
    assert "rows outside its table" in refused("", **{place: piece})


def test_a_text_in_a_value_is_limited_to_the_formats_own_length() -> None:
    def cell(length: int) -> str:
        return row_xml(1, f'<c r="A1" t="str"><v>{"x" * length}</v></c>')

    assert 1 == scan(cell(32_767)).value_cells
    assert "32,767" in refused(cell(32_768))


def test_what_stands_beside_the_cells_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_scan, "OTHER_ELEMENTS_MOST", 3)
    assert 0 == scan("", after="<a/><a/>").last_row
    assert "over 3 pieces" in refused("", after="<a/><a/><a/>")


def test_what_the_reading_library_holds_of_one_row_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_scan, "ROW_ELEMENTS_MOST", 4)
    two = row_xml(1, text_cell("A1", "x")) + row_xml(2, text_cell("A2", "x") + text_cell("B2", "y"))
    assert 3 == scan(two).value_cells
    over = row_xml(1, '<c r="A1"><x/><x/><x/><x/><x/></c>')
    assert "over 4 pieces inside the cells of row 1" in refused(over)


def test_what_stands_above_the_rows_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_scan, "ROW_ELEMENTS_MOST", 3)
    assert 0 == scan("", before="<a/><a/>", after="<a/><a/>").last_row
    assert "over 3 pieces above its cells" in refused("", before="<a/><a/><a/>")


def test_many_short_texts_in_cells_are_no_pieces_beside_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_scan, "OTHER_ELEMENTS_MOST", 3)
    assert 9 == scan("".join(row_xml(n, text_cell(f"A{n}", "x")) for n in range(1, 10))).value_cells


def test_rows_below_the_last_that_is_read_leave_no_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_scan, "ROWS_MOST", 2)
    rows = "".join(row_xml(n, f'<c r="A{n}"><f>1</f></c>', more=' hidden="1"') for n in (1, 2, 3))
    facts = scan(rows)
    assert ({1, 2}, {1: (1,), 2: (1,)}) == (facts.hidden_rows, facts.unsaved_formulas)
    assert 3 == facts.last_row


def test_a_rich_text_counts_as_one_cell() -> None:
    cell = '<c r="B1" t="inlineStr"><is><r><t>two</t></r><r><t> parts</t></r></is></c>'
    facts = scan(row_xml(1, text_cell("A1", "Tag") + cell))
    assert (2, 2) == (facts.last_column, facts.value_cells)


def test_what_else_a_cell_carries_is_no_value() -> None:
    facts = scan(row_xml(1, '<c r="A1"><extLst><ext/></extLst></c>' + number_cell("B1", 1)))
    assert (2, 1) == (facts.last_column, facts.value_cells)
