"""How many pages the example's documents take: in a longer one nobody finds what to do."""

import pytest
from pypdf import PdfReader

from intake.cli.main import main
from tests.example_workbooks import EXAMPLES

PAPERS = pytest.mark.parametrize(("paper", "more"), [("a4", 0), ("letter", 1)])
"""Letter is shorter: one page more."""
DISPOSAL = 5
PLAN = 10
"""Page 1, five days with two of them on two sheets, what is not on the bench, and how it is worked out."""


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


@PAPERS
def test_the_plan_has_its_chart_on_page_one_and_a_sheet_a_day(tmp_path, paper, more):
    options = ["--stations", "4", "--start", "2026-06-10", "--paper", paper, "--out", str(tmp_path)]
    assert 0 == main(["plan", example("counter_returns_48"), *options])
    (path,) = tmp_path.glob("**/*-plan.pdf")
    read = [page.extract_text() for page in PdfReader(path).pages]

    assert len(read) <= PLAN + more
    assert "Wall chart" in read[0]
    assert "Tuesday 2026-06-16" in read[0], "the last of its days is on page 1 too"
