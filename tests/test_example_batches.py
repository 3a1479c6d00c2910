"""Every folder of ``example_batches/`` against the grades, findings and exit codes worked out by hand."""

import csv
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from intake.model.result import BatchResult
from intake.policy.grading_policy import load_grading_policy
from intake.runner.run_batch import ReadBatch, grade_batch, read_batch
from intake.runner.settings import Settings
from tests.example_workbooks import EXAMPLES, LAYOUTS, SINGLE, build_workbook

FOLDERS = [EXAMPLES / name for name in SINGLE]
SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))

Line = tuple[str, ...]


def _expected(folder: Path, name: str) -> list[Line]:
    with (folder / "expected" / name).open(encoding="utf-8", newline="") as file:
        header, *lines = csv.reader(file)
    assert header
    return [tuple(line) for line in lines]


def _exit_codes(folder: Path) -> dict[str, int]:
    lines = (folder / "expected" / "exit_code.txt").read_text(encoding="utf-8").splitlines()
    return {command: int(code) for command, code in (line.split() for line in lines)}


def _read_and_grade(folder: Path) -> tuple[ReadBatch, BatchResult | None]:
    read = read_batch(folder / f"{folder.name}.xlsx", SETTINGS)
    return read, grade_batch(read, read.batch, SETTINGS) if read.batch else None


@pytest.fixture(params=FOLDERS, ids=lambda folder: folder.name)
def folder(request: pytest.FixtureRequest) -> Path:
    return request.param


def test_the_examples_are_there() -> None:
    assert len(FOLDERS) >= 5


def test_each_folder_tells_what_it_is_for(folder: Path) -> None:
    about = (folder / "about.md").read_text(encoding="utf-8")
    missing = [
        head
        for head in ("Why it exists", "What is in it", "What comes out", "How it was made", "Licence")
        if f"**{head}.**" not in about
    ]
    assert [] == missing


def test_each_battery_is_graded_as_worked_out_by_hand(folder: Path) -> None:
    _, result = _read_and_grade(folder)
    found = [
        (
            one.battery.tag,
            str(one.battery.row),
            one.verdict.grade.value,
            one.verdict.evidence.value,
            one.verdict.handling.value,
            one.verdict.decisive.rule.id,
        )
        for one in (result.graded if result else ())
    ]
    assert _expected(folder, "grades.csv") == found


def test_the_findings_are_those_of_the_input_contract(folder: Path) -> None:
    """Every error, warning and note, each at its cell, none beside them."""
    read, result = _read_and_grade(folder)
    found = Counter(
        (one.severity.value, one.sheet, one.cell, one.tag, one.field)
        for one in (result.findings if result else read.findings)
    )
    expected = Counter(_expected(folder, "findings.csv"))
    assert {"missing": Counter(), "not expected": Counter()} == {
        "missing": expected - found,
        "not expected": found - expected,
    }


def test_each_finding_says_what_is_wrong_and_what_to_do(folder: Path) -> None:
    read, result = _read_and_grade(folder)
    findings = result.findings if result else read.findings
    assert [] == [one for one in findings if not one.message or not one.hint]


def test_a_grade_has_a_line_of_working(folder: Path) -> None:
    working = (folder / "expected" / "working.md").read_text(encoding="utf-8").splitlines()
    tags = Counter(line.split(" | ")[0].removeprefix("| ") for line in working)
    assert Counter(tag for tag, *_ in _expected(folder, "grades.csv")) - tags == Counter()


@pytest.mark.parametrize("command", ["check", "grade"])
def test_the_command_ends_with_the_documented_exit_code(folder: Path, command: str, tmp_path: Path) -> None:
    workbook = folder / f"{folder.name}.xlsx"
    out = ["--out", str(tmp_path / "graded")] if command == "grade" else []
    run = subprocess.run(
        [sys.executable, "-m", "intake", command, str(workbook), *out],
        capture_output=True,
        text=True,
        cwd=EXAMPLES.parent,
        check=False,
    )
    assert _exit_codes(folder)[command] == run.returncode, run.stderr
    assert "Traceback" not in run.stdout + run.stderr
    assert "This is a defect" not in run.stderr


def test_a_rejected_workbook_leaves_no_document(tmp_path: Path) -> None:
    workbook = EXAMPLES / "bad_rejected" / "bad_rejected.xlsx"
    command = [sys.executable, "-m", "intake", "grade", str(workbook), "--out", str(tmp_path / "graded")]
    subprocess.run(command, capture_output=True, cwd=EXAMPLES.parent, check=False)
    assert [] == [path for path in tmp_path.rglob("*") if path.is_file()]


def _cells(content: BytesIO | Path) -> Iterator[tuple[str, str, object, str]]:
    workbook = openpyxl.load_workbook(content)
    for sheet in workbook.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    yield sheet.title, cell.coordinate, cell.value, cell.number_format


@pytest.mark.parametrize("name", LAYOUTS)
def test_the_builder_still_writes_the_workbook_that_lies_there(name: str) -> None:
    there = list(_cells(EXAMPLES / name / f"{name}.xlsx"))
    assert there == list(_cells(BytesIO(build_workbook(name))))
