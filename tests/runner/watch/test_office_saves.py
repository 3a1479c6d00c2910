"""Workbooks saved into the folder by an office program: over themselves, with lock and passing files."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from openpyxl import load_workbook

from tests.simple_workbook import BATCH, GOOD, write_workbook

pytestmark = pytest.mark.office
WAIT_S = 600
LOG = "intake-watch.log"


@pytest.fixture
def watched(tmp_path):
    """Serve a folder while a test runs."""
    inbox, out = tmp_path / "inbox", tmp_path / "out"
    inbox.mkdir()
    process = subprocess.Popen(
        [sys.executable, "-m", "intake", "watch", str(inbox), "--out", str(out), "--moment", "0.5", "--quiet"]
    )
    try:
        yield inbox, out
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(WAIT_S)


def save(path: Path, *, into: Path) -> None:
    """Open a workbook in the office program and save it as .xlsx into a folder, maybe over itself."""
    profile = into.parent / "profile"
    command = ["soffice", f"-env:UserInstallation=file://{profile}", "--headless"]
    kind = "xlsx:Calc MS Excel 2007 XML"
    subprocess.run(
        [*command, "--convert-to", kind, "--outdir", str(into), str(path)], check=True, capture_output=True
    )


def logged(out: Path, words: str) -> str:
    """Wait for a line of the log."""
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        lines = (out / LOG).read_text(encoding="utf-8").splitlines() if (out / LOG).exists() else []
        for line in lines:
            if words in line:
                return line
        time.sleep(0.2)
    raise AssertionError(f"no line with {words!r}: {lines}")


def test_a_save_into_the_folder_and_a_save_over_itself(watched, tmp_path):
    inbox, out = watched
    save(write_workbook(tmp_path / "pallet.xlsx"), into=inbox)
    logged(out, "pallet.xlsx: graded, batch T-1, 1 battery, 0 errors")
    save(inbox / "pallet.xlsx", into=inbox)
    time.sleep(5)
    lines = (out / LOG).read_text(encoding="utf-8").splitlines()
    assert {"watching", "pallet.xlsx:"} == {line.split()[2] for line in lines}
    assert [] == [line for line in lines if "rejected" in line or "not written" in line]
    assert ["pallet.xlsx"] == sorted(os.listdir(inbox))


def test_the_marked_copy_mended_and_saved_by_the_office_program_gets_its_papers(watched, tmp_path):
    inbox, out = watched
    flawed = [{**GOOD, "Tag": "B-1"}, {**GOOD, "Tag": "B-2", "Rest voltage (V)": "1,247"}]
    save(write_workbook(tmp_path / "pallet.xlsx", flawed, batch={**BATCH, "Site": ""}), into=inbox)
    assert "pallet-marked.xlsx" in logged(out, "pallet.xlsx: rejected, 2 errors")
    book = load_workbook(inbox / "pallet-marked.xlsx")
    mended = tmp_path / "mended" / "pallet-marked.xlsx"
    mended.parent.mkdir()
    book["Batteries"]["D3"] = 12.47
    (site,) = (row for row in book["Batch"].iter_rows() if row[0].value == "Site")
    site[1].value = "Yard 2"
    book.save(mended)
    save(mended, into=inbox)
    logged(out, "pallet-marked.xlsx: graded, batch T-1, 2 batteries, 0 errors")
    assert (out / "T-1" / "T-1-manifest.pdf").is_file()
