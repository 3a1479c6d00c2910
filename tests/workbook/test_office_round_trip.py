"""What people do: take the blank workbook, fill it in, and save it with an office program."""

import subprocess
import warnings
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook

from intake.model.raw_workbook import RawWorkbook
from intake.workbook.blank.write import write_blank_workbook
from intake.workbook.reading.read_workbook import read_workbook

pytestmark = pytest.mark.office

BATCH = {"B4": "T-1", "B5": "Test yard", "B6": datetime(2026, 6, 5), "B13": 0.1, "B14": 0.01}
BATTERIES = {
    "A5": "007",
    "B5": "AGM",
    "C5": 60,
    "F5": 15.25,
    "G5": "2021-03",
    "H5": "=1+1 is no formula",
    "P5": "12,43 V",
    "Q5": 24,
    "R5": -3.5,
    "AC5": "=10+2",
    "AQ5": "long note, Ω and ° and ü " * 20,
    "A6": "2-3",
    "B6": "LiFePO4",
    "N6": "cracked",
    "A300": "B-300",
}


def office(path: Path, kind: str) -> Path:
    """Let the office program open a file and save it as another kind."""
    target = path.parent / "saved"
    command = ["soffice", f"-env:UserInstallation={(path.parent / 'profile').as_uri()}", "--headless"]
    subprocess.run(
        [*command, "--convert-to", kind, "--outdir", target, path],
        check=True,
        capture_output=True,
        timeout=600,
    )
    return target / path.with_suffix(f".{kind}").name


@pytest.fixture
def filled(tmp_path: Path) -> Path:
    path = tmp_path / "filled.xlsx"
    write_blank_workbook(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(path)
    for page, cells in (("Batch", BATCH), ("Batteries", BATTERIES)):
        for ref, value in cells.items():
            book[page][ref] = value
    book["Batteries"]["H5"].data_type = "s"
    book["Batteries"].row_dimensions[6].hidden = True
    book.save(path)
    return path


def values(raw: RawWorkbook) -> dict[str, object]:
    return {
        f"{sheet.name}!{cell.ref}": cell.value
        for sheet in raw.sheets
        for row in sheet.rows
        for cell in row.cells.values()
    }


def test_a_filled_in_workbook_reads_the_same_once_an_office_program_has_saved_it(filled: Path) -> None:
    before, after = values(read_workbook(filled)), values(read_workbook(office(filled, "xlsx")))
    assert None is before.pop("Batteries!AC5")
    assert 12 == after.pop("Batteries!AC5")
    assert before == after
    typed = {f"Batteries!{ref}": value for ref, value in BATTERIES.items() if ref != "AC5"}
    typed |= {f"Batch!{ref}": value for ref, value in BATCH.items()}
    assert typed == {place: after[place] for place in typed}


def test_a_row_hidden_by_hand_stays_known(filled: Path) -> None:
    sheet = read_workbook(office(filled, "xlsx")).sheets[1]
    assert "Batteries" == sheet.name
    assert frozenset({6}) == sheet.hidden_rows


def test_the_blank_saved_by_an_office_program_holds_no_battery(tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    write_blank_workbook(path)
    last = [sheet.rows[-1].number for sheet in read_workbook(office(path, "xlsx")).sheets[1:4]]
    assert [5, 4, 4] == last  # the headers


def test_the_printed_blank_has_six_pages_of_batteries_and_nothing_runs_off(tmp_path: Path) -> None:
    """One page each for Batch, Hold readings and Prices, six for Batteries, five for the Guide."""
    path = tmp_path / "blank.xlsx"
    write_blank_workbook(path)
    printed = office(path, "pdf")
    listed = subprocess.run(
        ["pdftotext", "-layout", printed, "-"], check=True, capture_output=True, text=True
    )
    pages = listed.stdout.split("\f")[:-1]
    assert 6 == sum("blank.xlsx, Batteries" in page for page in pages)
    assert 14 == len(pages)
    text = " ".join(listed.stdout.split())
    assert "call the fire service." in text
    assert "It is no promise about how long a battery will last." in text
