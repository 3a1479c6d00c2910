"""Signs that steer a terminal, wherever they stand: no command prints one, and no log holds one."""

import shutil
import unicodedata
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.hostile.workbooks import batch_xml, batteries_xml
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD
from tests.workbook.archives import parts, save, sheet_xml

EVIL = "a_x001B_[31mb\x9b2Jc\u202ed\x85e_x0007_f_x000D_g\u2028h\u200b"
"""Escape, bell and carriage return as a workbook spells them, and others that it holds as they are."""
TYPED = "a\x1b[31mb\x9b2Jc\u202ed\x85e\x07f\rg\u2028h"
NAME = "p\x1b[31m\x9b2J\nX\u202e"
BATTERIES = [
    {**GOOD, "Note": EVIL, "Marking": EVIL, "Position": EVIL},
    {**CRACKED, "Note": EVIL, "Mass (kg)": EVIL, EVIL: EVIL},
    {**FLAT, "Tag": "B-7", "Rest voltage (V)": EVIL},
    {**GOOD, "Tag": EVIL},
    {**GOOD, "Tag": "B-9", "Chemistry": EVIL},
]
ABOUT = {
    **BATCH,
    **dict.fromkeys(("Site", "Inspector", "Received from", "Consignee", "Meter", "Region", "Note"), EVIL),
}


def workbook(folder: Path, name: str, batch: str) -> Path:
    sheets = {
        "Batch": sheet_xml(batch_xml({**ABOUT, "Batch": batch})),
        "Batteries": sheet_xml(batteries_xml(BATTERIES)),
        "Own\x9b2J\u202e": sheet_xml(""),
    }
    return save(folder, parts(sheets), f"{name}.xlsx")


def steering(text: str) -> set[str]:
    return {
        one for one in text if one != "\n" and unicodedata.category(one) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    }


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("yard")
    (root / "in").mkdir()
    workbook(root / "in", NAME, "T-1")
    workbook(root / "in", f"bad{NAME}", "T\x9b2J")
    (root / "policy.json").write_text('{"a\\u001b[31m": "\\u009b2J"}', encoding="utf-8")
    assert 3 == main(["grade", str(root / "in"), "--out", str(root / "out"), "--quiet"])
    return root


COMMANDS = {
    "check": "check {in}",
    "check --json": "check {in} --json",
    "check --marked": "check {book} --marked {new}",
    "grade": "grade {in} --out {new}",
    "grade --json": "grade {in} --out {new} --json",
    "grade into another set": "grade {book} --out {out}",
    "explain": "explain {book} B-7 --all",
    "explain --json": "explain {book} B-7 --json --all",
    "explain a row": "explain {book} {typed}",
    "plan": "plan {book} --stations 2 --out {new}",
    "plan --json": "plan {book} --stations 2 --out {new} --json",
    "custody": "custody B-1 {out}",
    "custody --json": "custody B-1 {out} --json",
    "custody of no battery": "custody {typed} {out}",
    "verify": "verify {out} --workbooks {in}",
    "verify without workbook": "verify {out} --workbooks {new}",
    "summarise": "summarise {out} --from 2026-06-01 --to 2026-06-30 --out {new}",
    "load new": "load new {out} --out {new}.xlsx --consignee {typed}",
    "load write": "load write {book} --out {new}",
    "policy": "policy --check {policy}",
    "watch": "watch {inbox} --out {new} --once --moment 0.1",
    "usage: option": "check -{typed}",
    "usage: command": "{typed}",
    "usage: papers": "grade {book} --papers {typed}",
    "usage: number": "grade {book} --jobs {typed}",
    "usage: day": "summarise {out} --from {typed} --to 2026-06-30",
    "usage: stations": "plan {book} --stations {typed}",
    "usage: folder": "watch {typed}",
}


@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_prints_one(
    yard: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    places = {
        "in": yard / "in",
        "inbox": shutil.copytree(yard / "in", tmp_path / "inbox"),
        "book": yard / "in" / f"{NAME}.xlsx",
        "out": yard / "out",
        "new": tmp_path / "new\x1b[31m",
        "policy": yard / "policy.json",
        "typed": TYPED,
    }
    try:
        code = main([one.format_map(places) for one in COMMANDS[name].split(" ")])
    except SystemExit as stop:
        code = int(stop.code or 0)
    told = capsys.readouterr()
    assert told.out + told.err
    assert set() == steering(told.out + told.err)
    assert (code == 2) == name.startswith("usage") or name in ("explain a row", "custody of no battery")


def test_the_log_of_a_watch_holds_none_and_a_line_for_each_workbook(yard: Path, tmp_path: Path) -> None:
    inbox = shutil.copytree(yard / "in", tmp_path / "in")
    assert 3 == main(["watch", str(inbox), "--out", str(tmp_path), "--once", "--moment", "0.1", "--quiet"])
    log = (tmp_path / "intake-watch.log").read_bytes().decode("utf-8")
    assert set() == steering(log)
    assert 2 == len(log.splitlines())


def test_the_probe_sees_them() -> None:
    assert {"\x1b", "\x9b", "\u202e", "\x85", "\x07", "\r", "\u2028"} == steering(TYPED)
