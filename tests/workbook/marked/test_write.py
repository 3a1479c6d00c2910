"""A marked copy shows every finding at its cell, loses nothing else, and checks as the workbook does."""

import hashlib
import re
import subprocess
import sys
import time
import warnings
from collections.abc import Sequence
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
import xlsxwriter

from intake.cli.main import main
from intake.model.finding import Finding, Severity
from intake.workbook.blank import new_file
from intake.workbook.blank.new_file import write_new_file
from intake.workbook.blank.write import write_blank_workbook
from intake.workbook.marked import write as module
from intake.workbook.marked.sheet import SheetText
from intake.workbook.marked.write import MarkedCopyRefused, write_marked_copy
from intake.workbook.reading.read_workbook import read_workbook
from tests.example_workbooks import EXAMPLES, SINGLE
from tests.simple_workbook import BAD_ROW, BATCH, GOOD, write_workbook
from tests.workbook.archives import SHEET, number_cell, pack, parts, row_xml, save, sheet_xml, text_cell
from tests.workbook.test_office_round_trip import office

ERROR = Finding(Severity.ERROR, "Bad.", "Mend it.", sheet="Batteries", cell="B2", row=2, column=2)
WARNING = Finding(Severity.WARNING, "Odd.", "Look.", sheet="Batteries", cell="C7", row=7, column=3)
NOTE = Finding(Severity.NOTE, "Row.", "Nothing.", sheet="Batteries", row=3)


def mark(workbook: Path, findings: Sequence[Finding] = (ERROR,), *, folder: str = "marked") -> Path:
    target = workbook.parent / folder / workbook.name
    digest = hashlib.sha256(workbook.read_bytes()).hexdigest()
    write_marked_copy(workbook, target, findings, sha256=digest)
    return target


def part(path: Path, name: str) -> str:
    with ZipFile(path) as archive:
        return archive.read(name).decode()


def opened(path: Path) -> openpyxl.Workbook:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return openpyxl.load_workbook(path)


def notes(path: Path, sheet: str = "Batteries") -> dict[str, str]:
    page = opened(path)[sheet]
    return {cell.coordinate: cell.comment.text for row in page.iter_rows() for cell in row if cell.comment}


def marks(path: Path, sheet: str = "Batteries") -> dict[str, str]:
    """Return the fill pattern of every marked cell."""
    found = {}
    for area, rules in opened(path)[sheet].conditional_formatting._cf_rules.items():
        for rule in rules:
            if 'N("intake mark")=0' in rule.formula[0]:
                found |= {str(ref): rule.dxf.fill.patternType for ref in str(area.sqref).split()}
    return found


def checked(path: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, str]:
    capsys.readouterr()
    code = main(["check", str(path), "--json", *more])
    return code, capsys.readouterr().out.replace(str(path), "WORKBOOK")


@pytest.fixture
def flawed(tmp_path: Path) -> Path:
    return write_workbook(tmp_path / "flawed.xlsx", [GOOD, BAD_ROW])


@pytest.mark.parametrize("name", SINGLE)
def test_a_marked_copy_of_each_example_checks_as_the_example_does(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    workbook = EXAMPLES / name / f"{name}.xlsx"
    before = workbook.read_bytes()
    expected = checked(workbook, capsys, "--marked", str(tmp_path))
    assert expected == checked(tmp_path / workbook.name, capsys)
    assert before == workbook.read_bytes()
    assert [workbook.name] == [one.name for one in tmp_path.iterdir()]


def test_marking_a_marked_copy_again_changes_no_byte(flawed: Path) -> None:
    once = mark(flawed, [ERROR, WARNING, NOTE])
    assert once.read_bytes() == mark(once, [ERROR, WARNING, NOTE], folder="again").read_bytes()


def test_the_same_workbook_and_findings_give_the_same_bytes(flawed: Path) -> None:
    assert mark(flawed).read_bytes() == mark(flawed, folder="again").read_bytes()


def test_each_severity_has_a_pattern_of_its_own_and_a_row_without_cell_is_marked_in_front(
    flawed: Path,
) -> None:
    found = marks(mark(flawed, [ERROR, WARNING, NOTE]))
    assert {"B2": "lightUp", "C7": "lightHorizontal", "A3": "gray0625"} == found


def test_the_gravest_finding_of_a_cell_decides_its_pattern_and_all_stand_in_its_note(flawed: Path) -> None:
    second = Finding(Severity.NOTE, "Also.", "Fine.", sheet="Batteries", cell="B2", row=2, column=2)
    copy = mark(flawed, [second, ERROR])
    assert {"B2": "lightUp"} == marks(copy)
    assert {"B2": "[intake check] note: Also.\nFine.\n\nerror: Bad.\nMend it."} == notes(copy)


def test_cells_formats_and_saved_values_stay_byte_for_byte(tmp_path: Path) -> None:
    rows = row_xml(1, text_cell("A1", "Tag")) + row_xml(2, '<c r="B2"><f>1+1</f><v>2</v></c>')
    workbook = save(tmp_path, parts({"Batteries": sheet_xml(rows)}))
    data = re.compile("<sheetData>.*</sheetData>", re.DOTALL)
    found = data.search(part(mark(workbook), SHEET))
    assert found
    assert f"<sheetData>{rows}</sheetData>" == found[0]


def test_the_first_sheet_lists_each_finding_with_a_link_to_its_cell(flawed: Path) -> None:
    elsewhere = Finding(Severity.ERROR, "=1+1", "<b>", sheet="Batch", rejects=True)
    book = opened(mark(flawed, [elsewhere, ERROR, NOTE, Finding(Severity.NOTE, "Whole.", "None.")]))
    assert ["Findings", "Batch", "Batteries"] == book.sheetnames
    assert "Findings" == book.active.title
    page = book["Findings"]
    listed = [[cell.value for cell in row] for row in page.iter_rows(min_row=8)]
    assert [
        [1, "error of the batch", "Batch", "sheet", None, None, "=1+1", "<b>"],
        [2, "error", "Batteries", "B2", None, None, "Bad.", "Mend it."],
        [3, "note", "Batteries", "row 3", None, None, "Row.", "Nothing."],
        [4, "note", None, None, None, None, "Whole.", "None."],
    ] == listed
    assert "s" == page["G8"].data_type
    links = [page[f"D{row}"].hyperlink for row in (8, 9, 10, 11)]
    assert ["'Batch'!A1", "'Batteries'!B2", "'Batteries'!A3", None] == [one and one.location for one in links]
    assert [None, None] == [book[name].sheet_view.tabSelected for name in ("Batch", "Batteries")]


def test_a_note_of_the_persons_own_stays_and_comes_back_alone_once_mended(tmp_path: Path) -> None:
    workbook = tmp_path / "own.xlsx"
    with xlsxwriter.Workbook(str(workbook)) as book:
        page = book.add_worksheet("Batteries")
        page.write("B2", "x")
        page.write_comment("B2", "mine", {"author": "Bench"})
        page.write_comment("D4", "also mine")
    copy = mark(workbook)
    assert {"B2": "mine\n\n[intake check] error: Bad.\nMend it.", "D4": "also mine"} == notes(copy)
    assert {"B2": "mine", "D4": "also mine"} == notes(mark(copy, [], folder="mended"))
    assert part(workbook, "xl/drawings/vmlDrawing1.vml").count("<v:shape ") == 2


def test_a_note_gets_a_box_and_loses_it_once_mended(flawed: Path) -> None:
    copy = mark(flawed, [ERROR, WARNING])
    drawing = part(copy, "xl/drawings/vmlDrawing1.vml")
    assert 2 == drawing.count("<v:shape ")
    assert "<x:Row>6</x:Row><x:Column>2</x:Column>" in drawing
    mended = mark(copy, [WARNING], folder="mended")
    assert {"C7": "lightHorizontal"} == marks(mended)
    assert ["C7"] == list(notes(mended))
    assert 1 == part(mended, "xl/drawings/vmlDrawing1.vml").count("<v:shape ")


def test_once_nothing_is_wrong_no_mark_and_no_note_is_left(flawed: Path) -> None:
    mended = mark(mark(flawed, [ERROR, WARNING, NOTE]), [], folder="mended")
    assert ({}, {}) == (marks(mended), notes(mended))


def test_the_headers_of_the_blank_workbook_keep_their_notes(tmp_path: Path) -> None:
    workbook = tmp_path / "blank.xlsx"
    write_blank_workbook(workbook)
    before = notes(workbook)
    at_header = Finding(Severity.ERROR, "Twice.", "Rename.", sheet="Batteries", cell="A5", row=5, column=1)
    copy = mark(workbook, [at_header])
    after = notes(copy)
    assert after.pop("A5").startswith(before["A5"])
    assert {ref: text for ref, text in before.items() if ref != "A5"} == after
    assert before == notes(mark(copy, [], folder="mended"))


def test_print_titles_and_filters_still_belong_to_their_sheet(tmp_path: Path) -> None:
    workbook = tmp_path / "named.xlsx"
    with xlsxwriter.Workbook(str(workbook)) as book:
        book.add_worksheet("Batch")
        page = book.add_worksheet("Batteries")
        page.write_row(0, 0, ["Tag", "Case"])
        page.repeat_rows(0)
        page.autofilter("A1:B1")
    page = opened(mark(workbook))["Batteries"]
    assert ("$1:$1", "A1:B1") == (page.print_title_rows, page.auto_filter.ref)


def test_charts_and_pictures_pass_through(tmp_path: Path) -> None:
    workbook = tmp_path / "chart.xlsx"
    with xlsxwriter.Workbook(str(workbook)) as book:
        page = book.add_worksheet("Batteries")
        page.write("A1", 1)
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=Batteries!$A$1:$A$1"})
        page.insert_chart("D1", chart)
    copy = mark(workbook)
    assert part(workbook, "xl/charts/chart1.xml") == part(copy, "xl/charts/chart1.xml")
    assert 1 == len(opened(copy)["Batteries"]._charts)
    assert str(opened(copy)["Findings"]["A3"].value).startswith("Nothing was left out.")


def test_macros_and_a_signature_are_left_out_and_the_copy_says_so(tmp_path: Path) -> None:
    content = parts()
    content["[Content_Types].xml"] = str(content["[Content_Types].xml"]).replace(
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        "application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    )
    relation = '<Relationship Id="m" Type="http://x/vbaProject" Target="vbaProject.bin"/></Relationships>'
    rels = str(content["xl/_rels/workbook.xml.rels"]).replace("</Relationships>", relation)
    origin = (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        '<Relationship Id="s" Type="http://x/digital-signature/origin" Target="_xmlsignatures/origin.sigs"/>'
        "</Relationships>"
    )
    content |= {
        "xl/_rels/workbook.xml.rels": rels,
        "xl/vbaProject.bin": b"macro",
        "_rels/.rels": origin,
        "_xmlsignatures/origin.sigs": b"",
    }
    copy = mark(save(tmp_path, content, "macros.xlsm"))
    with ZipFile(copy) as archive:
        everything = b"".join(archive.read(name) for name in archive.namelist())
        assert {"xl/vbaProject.bin", "_xmlsignatures/origin.sigs"}.isdisjoint(archive.namelist())
    assert b"macroEnabled" not in everything
    assert b"vbaProject" not in everything
    assert b"origin.sigs" not in everything
    said = opened(copy)["Findings"]["A3"].value
    assert str(said).startswith("Not kept in this copy: macros, the digital signature.")


def test_a_rule_of_the_workbooks_own_comes_after_the_marks(tmp_path: Path) -> None:
    workbook = tmp_path / "rules.xlsx"
    with xlsxwriter.Workbook(str(workbook)) as book:
        page = book.add_worksheet("Batteries")
        page.write("A1", "Tag")
        for value in (1, 2):
            page.conditional_format("B2:B9", {"type": "cell", "criteria": ">", "value": value})
    copy = mark(workbook)
    assert ["1", "4", "5"] == re.findall(r'priority="(\d+)"', part(copy, SHEET))
    again = mark(copy, folder="again")
    assert ["1", "4", "5"] == re.findall(r'priority="(\d+)"', part(again, SHEET))


def test_a_workbook_without_styles_gets_some(tmp_path: Path) -> None:
    content = parts()
    del content["xl/styles.xml"]
    types = str(content["[Content_Types].xml"])
    content["[Content_Types].xml"] = re.sub('<Override PartName="/xl/styles.xml"[^>]*>', "", types)
    assert {"B2": "lightUp"} == marks(mark(save(tmp_path, content)))


def test_a_sheet_that_is_written_with_a_prefix_is_marked(tmp_path: Path) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 1)))
    xml = re.sub(r"<(/?)(\w)", r"<\1x:\2", xml).replace("xmlns=", "xmlns:x=")
    copy = mark(save(tmp_path, parts({"Batteries": xml})))
    assert {"B2": "lightUp"} == marks(copy)
    assert ["B2"] == list(notes(copy))


def test_a_workbook_that_is_declared_as_what_every_part_is_by_default_is_marked(flawed: Path) -> None:
    """So do libraries that write the document formats in general."""
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    by_default = flawed.with_name("default.xlsx")
    with ZipFile(flawed) as old, ZipFile(by_default, "w") as new:
        for one in old.infolist():
            text = old.read(one)
            if one.filename == "[Content_Types].xml":
                text = re.sub(rb'<Override PartName="/xl/workbook.xml"[^>]*>', b"", text)
                text = re.sub(
                    rb'(<Default Extension="xml" ContentType=)"[^"]*"', rb'\1"%s"' % kind.encode(), text
                )
                assert kind.encode() in text
            new.writestr(one, text)
    assert marks(mark(flawed)) == marks(mark(by_default, folder="other"))


def test_a_sheet_that_is_formatted_to_its_last_row_is_not_looked_through_row_by_row() -> None:
    rows = "".join(f'<row r="{row}" s="1" customFormat="1"/>' for row in range(1, 200_000))

    def seconds(odd: str) -> float:
        xml = sheet_xml(rows + odd).encode()
        begun = time.process_time()
        SheetText(xml)
        return time.process_time() - begun

    assert 5 * seconds("") < seconds("<!-- a comment makes it look at each -->")


@pytest.mark.parametrize("odd", ["<!-- </sheetData> -->", ""])
def test_the_pieces_of_a_sheet_stand_where_they_do_whatever_is_between_its_rows(odd: str) -> None:
    xml = sheet_xml(row_xml(1, number_cell("A1", 1)) + odd).encode()
    sheet = SheetText(xml)
    (rows,) = [one for one in sheet.pieces if one.name == "sheetData"]
    assert sheet.inside(rows).startswith(b"<sheetData")
    assert sheet.inside(rows).endswith(b"</sheetData>")
    assert b"</worksheet" == xml[sheet.place_after(frozenset({one.name for one in sheet.pieces})) :][:11]


def test_signs_that_no_part_may_hold_are_left_out_and_codes_stay_as_typed(flawed: Path) -> None:
    odd = Finding(Severity.ERROR, "a\x07b _x0041_ \ud800", "c", sheet="Batteries", cell="B2", row=2, column=2)
    copy = mark(flawed, [odd])
    assert "a b _x005F_x0041_  " == opened(copy)["Findings"]["G8"].value
    assert "_x005F_x0041_" in part(copy, "xl/comments1.xml")


def test_more_findings_than_a_list_can_hold_are_counted(
    flawed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from intake.workbook.marked import findings_list as marked_copy_list

    monkeypatch.setattr(marked_copy_list, "_ROWS_MOST", 2)
    page = opened(mark(flawed, [ERROR, WARNING, NOTE]))["Findings"]
    assert 9 == page.max_row
    assert "The last 1 of 3 are not listed" in str(page["A5"].value)


def test_more_marks_than_a_sheet_can_have_notes_stay_marked_and_listed(
    flawed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "NOTES_MOST", 1)
    copy = mark(flawed, [ERROR, WARNING])
    assert ["B2"] == list(notes(copy))
    assert {"B2", "C7"} == marks(copy).keys()
    assert 9 == opened(copy)["Findings"].max_row


def test_a_sheet_of_the_workbooks_own_called_findings_is_not_replaced(tmp_path: Path) -> None:
    own = sheet_xml(row_xml(1, text_cell("A1", "What we found")))
    workbook = save(tmp_path, parts({"Batteries": sheet_xml(""), "Findings": own}))
    with pytest.raises(MarkedCopyRefused, match="its own sheet Findings; rename it"):
        mark(workbook)
    assert not list((tmp_path / "marked").iterdir())


def test_a_workbook_with_a_macro_sheet_is_not_marked(tmp_path: Path) -> None:
    content = parts({"Batteries": sheet_xml(""), "Old": sheet_xml("")})
    content["xl/worksheets/sheet2.xml"] = str(content["xl/worksheets/sheet2.xml"]).replace(
        "worksheet", "macrosheet"
    )
    with pytest.raises(MarkedCopyRefused, match="sheets of macros"):
        mark(save(tmp_path, content))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        (SHEET, sheet_xml("").encode("utf-16")),
        (SHEET, b'<?xml version="1.0" encoding="iso-8859-1"?>' + sheet_xml("").encode()),
        ("xl/styles.xml", b"<styleSheet/>"),
        ("xl/_rels/workbook.xml.rels", b"<Relationships/>"),
        ("[Content_Types].xml", b"<Types/>"),
    ],
)
def test_an_unusual_workbook_is_told_in_one_sentence(tmp_path: Path, name: str, text: bytes) -> None:
    with pytest.raises(MarkedCopyRefused, match="put together in an unusual way") as refusal:
        mark(save(tmp_path, {**parts(), name: text}))
    assert "\n" not in str(refusal.value)


def test_a_copy_that_would_not_pass_the_guard_is_not_written(
    flawed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "marked_copy_bytes", lambda *_, **__: pack({"photo.jpg": b"x"}))
    with pytest.raises(MarkedCopyRefused, match="zip archive"):
        mark(flawed)
    assert not list((flawed.parent / "marked").iterdir())


def test_a_workbook_that_changed_meanwhile_is_not_marked(flawed: Path) -> None:
    with pytest.raises(MarkedCopyRefused, match="changed while it was checked"):
        write_marked_copy(flawed, flawed.parent / "m" / "flawed.xlsx", [ERROR], sha256="0" * 64)


class TestCommand:
    def test_the_copy_stands_under_the_workbooks_name_and_its_place_is_told(
        self, flawed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert 1 == main(["check", str(flawed), "--marked", str(tmp_path / "m")])
        assert f"marked copy in {tmp_path / 'm' / 'flawed.xlsx'}" in capsys.readouterr().out

    def test_an_existing_copy_gives_code_4_and_stays_unless_it_may_be_replaced(
        self, flawed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        there = tmp_path / "m" / "flawed.xlsx"
        there.parent.mkdir()
        there.write_bytes(b"mine")
        command = ["check", str(flawed), "--marked", str(there.parent)]
        assert 4 == main(command)
        assert "--overwrite" in capsys.readouterr().err
        assert b"mine" == there.read_bytes()
        assert 1 == main([*command, "--overwrite"])
        assert b"mine" != there.read_bytes()
        assert [there] == list(there.parent.iterdir())

    def test_the_workbook_itself_is_never_replaced(
        self, flawed: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        before = flawed.read_bytes()
        assert 4 == main(["check", str(flawed), "--marked", str(flawed.parent), "--overwrite"])
        assert "name another folder" in capsys.readouterr().err
        assert before == flawed.read_bytes()
        assert [flawed] == list(flawed.parent.iterdir())

    def test_a_file_that_can_not_be_read_has_no_copy_and_keeps_its_code(self, tmp_path: Path) -> None:
        (tmp_path / "text.xlsx").write_text("Tag,Case", encoding="utf-8")
        assert 3 == main(["check", str(tmp_path / "text.xlsx"), "--marked", str(tmp_path / "m")])
        assert not (tmp_path / "m").exists()

    def test_a_rejected_workbook_is_marked_too(self, tmp_path: Path) -> None:
        rejected = write_workbook(tmp_path / "no.xlsx", batch={**BATCH, "Jurisdiction": "Atlantis"})
        assert 3 == main(["check", str(rejected), "--marked", str(tmp_path / "m")])
        assert {"B5": "lightUp"} == marks(tmp_path / "m" / "no.xlsx", "Batch")

    def test_a_folder_that_can_not_be_made_gives_code_4_in_one_line(
        self, flawed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        (tmp_path / "m").write_text("in the way", encoding="utf-8")
        assert 4 == main(["check", str(flawed), "--marked", str(tmp_path / "m")])
        assert 1 == len(capsys.readouterr().err.splitlines())

    def test_a_mended_copy_is_graded(self, flawed: Path, tmp_path: Path) -> None:
        main(["check", str(flawed), "--marked", str(tmp_path / "m")])
        copy = tmp_path / "m" / "flawed.xlsx"
        book = opened(copy)
        book["Batteries"]["D3"] = 12.6
        book.save(copy)
        assert 0 == main(["grade", str(copy), "--out", str(tmp_path / "out")])
        assert (tmp_path / "out" / "T-1" / "T-1-results.json").is_file()


class TestNewFile:
    def test_what_a_killed_run_left_is_cleared_and_a_living_runs_file_stays(self, tmp_path: Path) -> None:
        done = subprocess.run(
            [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True
        )
        dead = tmp_path / f".intake-{int(done.stdout)}-0123456789ab.tmp"
        living = tmp_path / ".intake-1-0123456789ab.tmp"
        beyond = tmp_path / f".intake-{'9' * 30}-0123456789ab.tmp"
        for one in (dead, living, beyond):
            one.write_bytes(b"half")
        write_new_file(tmp_path / "new", b"whole")
        assert {living.name, "new"} == {one.name for one in tmp_path.iterdir()}

    def test_where_processes_can_not_be_asked_after_nothing_is_cleared(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(new_file.sys, "platform", "win32")
        (tmp_path / f".intake-{'9' * 9}-0123456789ab.tmp").write_bytes(b"half")
        write_new_file(tmp_path / "new", b"whole")
        assert 2 == len(list(tmp_path.iterdir()))


@pytest.mark.office
def test_a_copy_saved_by_an_office_program_checks_the_same_and_its_marks_are_replaced(
    flawed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    expected = checked(flawed, capsys, "--marked", str(tmp_path / "m"))
    saved = office(tmp_path / "m" / "flawed.xlsx", "xlsx")
    assert expected == checked(saved, capsys, "--marked", str(tmp_path / "again"))
    again = tmp_path / "again" / "flawed.xlsx"
    assert {"D3": "lightUp"} == {ref: one for ref, one in marks(again).items() if one == "lightUp"}
    assert 1 == notes(again)["D3"].count("[intake check]")
    assert 1 == opened(again).sheetnames.count("Findings")
    assert read_workbook(flawed).sheets == read_workbook(again).sheets[1:]


def test_a_marked_copy_reads_as_the_workbook_does(flawed: Path) -> None:
    assert read_workbook(flawed).sheets == read_workbook(mark(flawed)).sheets[1:]
