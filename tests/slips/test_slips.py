"""Thirty natural slips on a pallet of thirty: each is named, in words that help, or read rightly."""

import warnings
from datetime import date

import pytest
from openpyxl import load_workbook

from intake.cli.main import main
from intake.model.finding import Severity
from intake.policy.grading_policy import load_grading_policy
from intake.runner.run_batch import read_batch
from intake.runner.settings import Settings
from tests.slips.pallet_of_slips import HEADER_ROW, SLIPS, write_pallet

SETTINGS = Settings(load_grading_policy(), date(2026, 11, 25))
MOST_LINES = 40
ERRORS = 18
"""Counted by hand from the list of slips: ones that are named as errors, both twins of a tag, and a time."""


@pytest.fixture(scope="module")
def pallet(tmp_path_factory):
    return write_pallet(tmp_path_factory.mktemp("slips") / "pallet.xlsx")


@pytest.fixture(scope="module")
def read(pallet):
    return read_batch(pallet, SETTINGS)


def test_thirty_slips_stand_in_thirty_rows():
    assert list(range(1, 31)) == [one.row for one in SLIPS]


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip.row} {slip.header} {slip.typed}")
def test_a_slip_is_named_at_its_cell_or_read_rightly(read, slip):
    row = HEADER_ROW + slip.row
    here = [one for one in read.findings if one.row == row and one.field == slip.header]
    if slip.read is None:
        (finding,) = (one for one in here if slip.named in one.message)
        assert finding.hint
        assert f"{finding.cell}".endswith(str(row))
    else:
        key, value = slip.read
        (battery,) = (one for one in read.batch.batteries if one.row == row)
        found = getattr(battery, key)
        assert found == (value if isinstance(value, str) else pytest.approx(value))
        assert [] == [one for one in here if one.severity is not Severity.NOTE]


def test_clock_times_are_read_and_an_end_before_its_start_asks_for_the_day(read):
    by_row = {one.row - HEADER_ROW: one for one in read.batch.batteries}
    assert 18 == by_row[2].rested_h
    assert any("before Rest began" in message for message in by_row[28].row_errors)


def test_all_of_it_is_few_lines_with_the_errors_last_and_one_closing_line(pallet, capsys):
    assert 1 == main(["check", str(pallet)])
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= MOST_LINES
    kinds = [line.split()[0] for line in lines[1:-1]]
    assert kinds == sorted(kinds, key=["note", "warning", "error"].index)
    assert lines[-1].startswith(f"pallet.xlsx: 30 batteries read, {ERRORS} errors, ")
    assert "16 batteries stay unresolved until then." in lines[-1]


MENDED = {
    "B6": "flooded", "B7": "AGM", "B8": "LFP", "B10": "AGM", "D12": 12.47, "D13": 12.47, "D14": 12.47,
    "D17": 12.5, "D18": 12.55, "E19": 17.5, "E20": 17.5, "H25": 18, "I28": 60, "C31": "leaking",
    "C32": "sound", "A35": "B-30", "A34": "B-29", "F33": "2026-06-05 16:00", "J33": "corroded",
}  # fmt: skip
"""What each message says to do, done to the letter."""


def test_every_way_out_works_when_followed_to_the_letter(pallet, tmp_path):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(pallet)
    for cell, value in MENDED.items():
        book["Batteries"][cell] = value
    book["Batteries"]["E20"].number_format = "General"  # as its message says
    book.save(tmp_path / "mended.xlsx")
    read = read_batch(tmp_path / "mended.xlsx", SETTINGS)
    assert [] == [one for one in read.findings if one.severity is not Severity.NOTE]
    assert () == tuple(error for one in read.batch.batteries for error in one.row_errors)
