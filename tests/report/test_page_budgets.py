"""How many pages the example's documents take: in a longer one nobody finds what to do."""

import pytest
from pypdf import PdfReader

from intake.cli.main import main
from tests.example_workbooks import EXAMPLES

PAPERS = pytest.mark.parametrize(("paper", "more"), [("a4", 0), ("letter", 1)])
"""Letter is shorter: one page more."""
DISPOSAL = 5


def pages(folder, kind):
    (path,) = folder.glob(f"**/*-{kind}.pdf")
    return len(PdfReader(path).pages)


def example(name):
    return str(EXAMPLES / name / f"{name}.xlsx")


@PAPERS
def test_the_disposal_sheet_of_forty_eight_batteries(tmp_path, paper, more):
    options = ["--paper", paper, "--papers", "disposal", "--quiet"]
    assert 0 == main(["grade", example("counter_returns_48"), "--out", str(tmp_path), *options])

    assert pages(tmp_path, "disposal") <= DISPOSAL + more
