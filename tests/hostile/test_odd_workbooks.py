"""Odd but honest workbooks: read as they are meant, or an error at the very cell; nothing is guessed."""

import json
import socket
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

from intake.cli.main import main
from tests.hostile.command import COMMANDS, run, run_afresh
from tests.hostile.workbooks import BATTERIES, Raw, batteries_xml, filled, one
from tests.simple_workbook import BATCH, GOOD
from tests.workbook.archives import pack, parts, row_xml, save, sheet_xml, text_cell

ANY_MB_MOST = 400
DONE, ROW_ERRORS, REJECTED = 0, 1, 3


class Odd(NamedTuple):
    """A workbook, the code it ends with, and where which words are said; empty place: nothing is said."""

    content: Mapping[str, str | bytes]
    code: int
    place: str = ""
    words: str = ""


def number(text: str) -> Raw:
    return Raw(f'<c r="{{ref}}"><v>{text}</v></c>')


def named(name: str) -> Mapping[str, str | bytes]:
    return filled(batch={**BATCH, "Batch": name})


def rows_of(xml: str) -> Mapping[str, str | bytes]:
    return {**filled(), BATTERIES: sheet_xml(xml)}


ERROR_CELL = Raw('<c r="{ref}" t="e"><v>#DIV/0!</v></c>')
UNSAVED = Raw('<c r="{ref}"><f>12+0.65</f></c>')
SAVED = Raw('<c r="{ref}"><f>12+0.65</f><v>12.65</v></c>')
TWINS = [{**GOOD, "Tag": "b-1"}, {**GOOD, "Tag": "B-1"}]
ROW = batteries_xml([GOOD])

ODD = {
    "infinity as a number": Odd(one(rest_voltage=number("1e999")), ROW_ERRORS, "D2", '"inf" is no number'),
    "NaN as a number": Odd(one(rest_voltage=number("NaN")), REJECTED, "", "'Batteries' has a cell D2"),
    "infinity as text": Odd(one(rest_voltage="inf"), ROW_ERRORS, "D2", "is no number"),
    "NaN as text": Odd(one(rest_voltage="nan"), ROW_ERRORS, "D2", "is no number"),
    "the largest number": Odd(one(rest_voltage=1e308), ROW_ERRORS, "D2", "outside the limits"),
    "minus nought where it may be": Odd(one(rest_voltage=-0.0), DONE),
    "minus nought where it may not be": Odd(one(mass=-0.0), DONE, "G2", "outside the limits"),
    "a true in a number column": Odd(one(rest_voltage=True), ROW_ERRORS, "D2", '"TRUE" is no number'),
    "an error cell": Odd(one(rest_voltage=ERROR_CELL), ROW_ERRORS, "D2", "#DIV/0!"),
    "a formula without a saved value": Odd(one(rest_voltage=UNSAVED), ROW_ERRORS, "D2", "never saved"),
    "a formula with a saved value": Odd(one(rest_voltage=SAVED), DONE),
    "a number as tag": Odd(one(tag=number("123")), DONE, "A2", "123"),
    "a broken number as tag": Odd(one(tag=number("12.5")), ROW_ERRORS, "A2", "cannot be used"),
    "a tag that became scientific": Odd(one(tag=number("1.23E+20")), ROW_ERRORS, "A2", "digits"),
    "a scientific tag as text": Odd(one(tag="1E+5"), ROW_ERRORS, "A2", "cannot be used"),
    "a tag with noughts in front as text": Odd(one(tag="00123"), DONE),
    "tags that differ only in capitals": Odd(filled(TWINS), ROW_ERRORS, "A2", "stands in A2 and A3"),
    "a batch name that leads up": Odd(named("../../etc"), REJECTED, "B1", "cannot be used"),
    "a batch name that is a path": Odd(named("/tmp/x"), REJECTED, "B1", "cannot be used"),
    "a batch name of dots": Odd(named(".."), REJECTED, "B1", "cannot be used"),
    "a batch name of another system's path": Odd(named("a\\..\\b"), REJECTED, "B1", "cannot be used"),
    "a hidden batch name": Odd(named(".git"), REJECTED, "B1", "cannot be used"),
    "a batch name with a line break": Odd(named("T-1\nT-2"), REJECTED, "B1", "cannot be used"),
    "a declared size of the whole sheet": Odd(filled(before='<dimension ref="A1:XFD1048576"/>'), DONE),
    "a declared size of one cell": Odd(filled(before='<dimension ref="A1"/>'), DONE),
    "an empty formatted last cell": Odd(
        rows_of(ROW + row_xml(1_048_576, '<c r="XFD1048576" s="0"/>')),
        DONE,
    ),
    "a merge over the whole sheet": Odd(
        filled(after='<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'), DONE
    ),
    "hidden columns": Odd(filled(before='<cols><col min="1" max="9" hidden="1"/></cols>'), DONE),
    "a hidden row": Odd(rows_of(ROW.replace('<row r="2"', '<row r="2" hidden="1"')), DONE, "", "hidden"),
    "a filter": Odd(
        {
            **filled(),
            BATTERIES: sheet_xml(
                ROW.replace('<row r="2"', '<row r="2" hidden="1"'), after='<autoFilter ref="A1:F2"/>'
            ),
        },
        DONE,
        "",
        "hidden by a filter",
    ),
    "a hidden sheet": Odd(
        {
            **filled(),
            "xl/workbook.xml": str(filled()["xl/workbook.xml"]).replace(
                'name="Batteries"', 'name="Batteries" state="veryHidden"'
            ),
        },
        DONE,
    ),
    "macros": Odd({**filled(), "xl/vbaProject.bin": b"macro"}, DONE),
    "an external link": Odd(
        {
            **filled(),
            "xl/externalLinks/externalLink1.xml": "<externalLink/>",
            "xl/externalLinks/_rels/externalLink1.xml.rels": "<Relationships/>",
        },
        DONE,
    ),
    "dates counted from 1904": Odd(filled(workbook_more='<workbookPr date1904="1"/>'), DONE),
    "a foreign sheet": Odd(
        parts(
            {
                "Batch": str(filled()["xl/worksheets/sheet1.xml"]),
                "Batteries": sheet_xml(ROW),
                "Own": sheet_xml(ROW),
            }
        ),
        DONE,
        "",
        '"Own"',
    ),
}


@pytest.mark.parametrize("name", ODD)
def test_it_is_read_as_meant_or_told_at_its_cell(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket, "socket", None)
    odd = ODD[name]
    workbook = save(tmp_path, odd.content)

    code = main(["check", str(workbook), "--json"])
    findings = [json.loads(line) for line in capsys.readouterr().out.splitlines()]

    assert odd.code == code
    own = [one for one in findings if "accuracy" not in one["message"]]
    if odd.words:
        (first, *_) = [one for one in own if odd.words in one["message"]]
        assert odd.place in first["cell"]
    else:
        assert [] == [one for one in own if one["severity"] != "note"]

    assert odd.code == main(["grade", str(workbook), "--out", str(tmp_path / "out"), "--quiet"])
    printed = capsys.readouterr()
    assert "defect" not in printed.out + printed.err
    assert (odd.code != REJECTED) == (tmp_path / "out" / "T-1").exists()
    assert {workbook.name, "out"} >= {entry.name for entry in tmp_path.iterdir()}


@pytest.mark.parametrize(
    "name", ["a batch name that leads up", "macros", "an external link", "an error cell"]
)
def test_nothing_is_fetched_started_or_written_outside_the_target(name: str, tmp_path: Path) -> None:
    odd = ODD[name]
    ran = run("grade", save(tmp_path, odd.content), "--out", tmp_path / "out", target=tmp_path / "out")
    assert odd.code == ran.code
    assert "Traceback" not in ran.out + ran.err


def _rows_to_the_end(cells: str) -> Mapping[str, str | bytes]:
    blank = "".join(f'<row r="{n}" s="0" customFormat="1">{cells}</row>' for n in range(3, 1_048_577))
    return rows_of(ROW + blank)


def test_a_million_formatted_but_empty_rows_cost_little_memory(tmp_path: Path) -> None:
    ran = run("check", save(tmp_path, _rows_to_the_end("")), target=tmp_path / "none")
    assert 0 == ran.code
    assert "1 battery read, 0 errors" in ran.out
    assert ran.peak_mb < ANY_MB_MOST


def test_a_headers_merge_and_a_title_above_do_no_harm(tmp_path: Path) -> None:
    shifted = "".join(
        row_xml(
            number, "".join(text_cell(f"{'ABCDEF'[n]}{number}", str(value)) for n, value in enumerate(row))
        )
        for number, row in ((7, list(GOOD)), (9, list(GOOD.values())))
    )
    merged = '<mergeCells count="2"><mergeCell ref="A1:F1"/><mergeCell ref="A7:A8"/></mergeCells>'
    xml = sheet_xml(row_xml(1, text_cell("A1", "Our pallet")) + shifted, after=merged)
    workbook = save(tmp_path, {**filled(), BATTERIES: xml})
    assert 0 == main(["check", str(workbook)])


def test_a_date_counted_from_1904_is_the_day_that_the_sheet_shows(tmp_path: Path) -> None:
    received = Raw('<c r="{ref}" s="1"><v>44711</v></c>')
    content = parts(
        {
            "Batch": str(filled(batch={**BATCH, "Received": received})["xl/worksheets/sheet1.xml"]),
            "Batteries": sheet_xml(ROW),
        },
        workbook_more='<workbookPr date1904="1"/>',
        number_formats=("yyyy-mm-dd",),
    )
    assert 0 == main(["grade", str(save(tmp_path, content)), "--out", str(tmp_path / "out")])
    results = json.loads((tmp_path / "out" / "T-1" / "T-1-results.json").read_text(encoding="utf-8"))
    assert "2026-05-31" == results["batch"]["received"]


def test_each_kind_of_text_cell_reads_the_same(tmp_path: Path) -> None:
    rich = Raw(
        '<c r="{ref}" t="inlineStr"><is><r><rPr><b/></rPr><t>B</t></r><r><t>-1</t></r>'
        "<rPh sb='0' eb='1'><t>read aloud</t></rPh></is></c>"
    )
    shared = Raw('<c r="{ref}" t="s"><v>0</v></c>')
    formula = Raw('<c r="{ref}" t="str"><f>"B-"&amp;1</f><v>B-1</v></c>')
    found = []
    for tag in ("B-1", rich, shared, formula):
        content = parts(
            {
                "Batch": str(filled()["xl/worksheets/sheet1.xml"]),
                "Batteries": sheet_xml(batteries_xml([{**GOOD, "Tag": tag}])),
            },
            strings="<si><t>B-1</t></si>",
        )
        out = tmp_path / str(len(found))
        assert 0 == main(["grade", str(save(tmp_path, content)), "--out", str(out)])
        results = json.loads((out / "T-1" / "T-1-results.json").read_text(encoding="utf-8"))
        found.append(results["batteries"][0]["tag"])
    assert ["B-1"] * 4 == found


@pytest.mark.parametrize("command", COMMANDS)
def test_a_workbook_passes_whole_through_the_watch_while_the_command_is_loaded(
    command: str, tmp_path: Path
) -> None:
    option = {"check": "--marked", "grade": "--out"}[command]
    book = save(tmp_path, pack(filled()))
    ran = run_afresh(command, book, option, tmp_path / "out", target=tmp_path / "out")
    assert (0, "") == (ran.code, ran.err)
    assert ran.peak_mb < ANY_MB_MOST
    assert any((tmp_path / "out").iterdir())


def in_date_format(serial: str, **changed: str) -> bytes:
    """Return a workbook where the named field of the batch or of the battery is this day count."""
    dated = Raw(f'<c r="{{ref}}" s="1"><v>{serial}</v></c>')
    batch = {**BATCH, **{field: dated for field in changed.values() if field in BATCH}}
    battery = {**GOOD, **{field: dated for field in changed.values() if field in GOOD}}
    sheets = {
        "Batch": str(filled(batch=batch)["xl/worksheets/sheet1.xml"]),
        "Batteries": sheet_xml(batteries_xml([battery])),
    }
    return pack(parts(sheets, number_formats=("yyyy-mm-dd",)))


@pytest.mark.parametrize(
    ("serial", "code", "words"),
    [
        ("0", REJECTED, "Batch!B3"),
        ("0.5", REJECTED, "Batch!B3"),
        ("2958466", REJECTED, "Batch!B3"),
        ("-700000", REJECTED, "Batch!B3"),
        ("60", REJECTED, "Batch!B3"),
        ("46178", DONE, "0 errors"),
    ],
)
def test_a_day_count_that_is_no_day_rejects_the_batch_at_its_cell(
    serial: str, code: int, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    workbook = save(tmp_path, in_date_format(serial, batch="Received"))
    assert code == main(["check", str(workbook)])
    printed = capsys.readouterr()
    assert ("", True) == (printed.err, words in printed.out)


def test_a_reading_in_a_date_format_is_refused_as_a_reading(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    workbook = save(tmp_path, in_date_format("12.65", battery="Rest voltage (V)"))
    assert ROW_ERRORS == main(["check", str(workbook)])
    assert "Batteries!D2" in capsys.readouterr().out


def test_a_note_of_the_greatest_length_comes_through_whole(tmp_path: Path) -> None:
    text = "wörd " * 6_553 + "ab"
    assert 32_767 == len(text)
    workbook = save(tmp_path, one(note=text))
    assert 0 == main(["grade", str(workbook), "--out", str(tmp_path / "out"), "--quiet"])
    results = json.loads((tmp_path / "out" / "T-1" / "T-1-results.json").read_text(encoding="utf-8"))
    assert text == results["batteries"][0]["note"]
