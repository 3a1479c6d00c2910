"""The same batch, written by different programs, reads the same."""

import csv
import json
import shutil
import subprocess
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from intake.cli.main import main
from intake.policy.grading_policy import load_grading_policy
from intake.runner.run_batch import ReadBatch, read_batch
from intake.runner.settings import Settings
from tests.example_workbooks import EXAMPLES, SINGLE
from tests.hostile.workbooks import filled
from tests.simple_workbook import BATCH, FLAT, GOOD, write_workbook
from tests.workbook.archives import save

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))
NEVER_SAVED = "a formula whose result was never saved"
"""What a program that calculates mends on the way."""


def told(read: ReadBatch) -> list[tuple[str, str, str]]:
    return [
        (one.severity.value, one.place, one.message)
        for one in read.findings
        if NEVER_SAVED not in one.message
    ]


def save_with_openpyxl(source: Path, target: Path) -> None:
    values = openpyxl.load_workbook(source, data_only=True)
    values.save(target)


def test_two_libraries_and_plain_parts_read_the_same(tmp_path: Path) -> None:
    first = write_workbook(tmp_path / "first.xlsx", [GOOD, FLAT])
    second = tmp_path / "second.xlsx"
    save_with_openpyxl(first, second)
    third = save(tmp_path, filled([GOOD, FLAT]), "third.xlsx")
    read = [read_batch(one, SETTINGS) for one in (first, second, third)]
    assert read[0].batch
    assert [read[0].batch] * 2 == [one.batch for one in read[1:]]
    assert [told(read[0])] * 2 == [told(one) for one in read[1:]]


@pytest.mark.parametrize("name", SINGLE)
def test_each_example_saved_by_another_library_reads_the_same(name: str, tmp_path: Path) -> None:
    """The examples' formulas become their results, as the library cannot keep both."""
    source = EXAMPLES / name / f"{name}.xlsx"
    target = tmp_path / source.name
    save_with_openpyxl(source, target)
    before, after = read_batch(source, SETTINGS), read_batch(target, SETTINGS)
    never_saved = {one.place for one in before.findings if NEVER_SAVED in one.message}
    assert told(before) == [one for one in told(after) if one[1] not in never_saved]  # a blank there now


def office(source: Path, target: Path, *more: str) -> None:
    profile = (target.parent / "profile").as_uri()
    command = ["soffice", f"-env:UserInstallation={profile}", "--headless", *more, "--convert-to", "xlsx"]
    outdir = target.parent / "saved"
    subprocess.run([*command, "--outdir", outdir, source], check=True, capture_output=True, timeout=600)
    shutil.move(outdir / source.with_suffix(".xlsx").name, target)


@pytest.mark.office
@pytest.mark.parametrize("name", SINGLE)
def test_each_example_saved_by_an_office_program_reads_the_same(name: str, tmp_path: Path) -> None:
    source = EXAMPLES / name / f"{name}.xlsx"
    target = tmp_path / source.name
    office(source, target)
    before, after = read_batch(source, SETTINGS), read_batch(target, SETTINGS)
    assert told(before) == told(after)
    mended = {one.tag for one in before.findings if NEVER_SAVED in one.message}
    if before.batch is None:
        assert after.batch is None
        return
    assert after.batch
    kept = [
        [one for one in read.batch.batteries if one.tag not in mended]
        for read in (before, after)
        if read.batch
    ]
    assert kept[0] == kept[1]


@pytest.mark.office
def test_a_csv_with_decimal_commas_that_an_office_program_turned_into_a_workbook_reads_as_meant(
    tmp_path: Path,
) -> None:
    """Semicolons between cells, commas in figures, opened by the rules of a language that writes so."""
    pages = {}
    for name, rows in {
        "Batch": [*BATCH.items()],
        "Batteries": [tuple(GOOD), tuple(GOOD.values()), tuple({**GOOD, "Tag": "B-2"}.values())],
    }.items():
        source = tmp_path / f"{name}.csv"
        with source.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, delimiter=";")
            writer.writerows(
                [str(cell).replace(".", ",") if isinstance(cell, float) else cell for cell in row]
                for row in rows
            )
        pages[name] = tmp_path / f"{name}.xlsx"
        office(source, pages[name], "--infilter=CSV:59,34,UTF-8,1,,1031,false,true")
    joined = openpyxl.load_workbook(pages["Batch"])
    joined.active.title = "Batch"
    sheet = joined.create_sheet("Batteries")
    for row in openpyxl.load_workbook(pages["Batteries"]).active.iter_rows(values_only=True):
        sheet.append(row)
    workbook = tmp_path / "joined.xlsx"
    joined.save(workbook)

    read = read_batch(workbook, SETTINGS)

    assert read.batch, read.findings
    assert [12.65, 12.65] == [one.rest_voltage_v for one in read.batch.batteries]
    assert (0.1, 0.01) == (read.batch.meter_accuracy_percent, read.batch.meter_accuracy_volts)
    assert 0 == main(["grade", str(workbook), "--out", str(tmp_path / "out")])
    document = json.loads((tmp_path / "out" / "T-1" / "T-1-results.json").read_text(encoding="utf-8"))
    assert ["B-1", "B-2"] == [one["tag"] for one in document["batteries"]]
