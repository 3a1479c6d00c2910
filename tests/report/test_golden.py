"""Every text of every printed document of the example batch, in one file a document.

A changed sentence fails one test. ``INTAKE_GOLDEN=write python -m pytest tests/report/test_golden.py`` writes
the files anew: read what changed before it is kept. The texts are the program's own output; that they are
right is for the other tests, and for people, to say.
"""

import os
import re
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.example_workbooks import EXAMPLES
from tests.report.read_pdf import texts

GOLDEN = Path(__file__).parent / "golden"
EXAMPLE = EXAMPLES / "counter_returns_48" / "counter_returns_48.xlsx"
BATCH = "2026-06-returns-07"
DOCUMENTS = ("manifest", "disposal", "resale", "labels", "plan")
_DIGEST = re.compile(r"\b[0-9a-f]{12}(?:[0-9a-f]{52})?\b")
_VERSION = re.compile(r"intake [0-9]+\.[0-9]+\.[0-9]+\S*")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("golden")
    assert 0 == main(["grade", str(EXAMPLE), "--out", str(out), "--quiet"])
    assert 0 == main(
        ["plan", str(EXAMPLE), "--stations", "4", "--start", "2026-06-10", "--out", str(out / "plans")]
    )
    return out


def text_of(folder: Path, document: str) -> str:
    """Return the text of a document, page by page, without the digests and the version."""
    path = folder / BATCH / f"{BATCH}-{document}.pdf"
    if document == "plan":
        path = folder / "plans" / f"{BATCH}-plan" / f"{BATCH}-plan.pdf"
    pages = (
        f"=== page {number}\n" + "\n".join(line.rstrip() for line in page.splitlines())
        for number, page in enumerate(texts(path), start=1)
    )
    return _VERSION.sub("intake VERSION", _DIGEST.sub("DIGEST", "\n".join(pages))) + "\n"


@pytest.mark.parametrize("document", DOCUMENTS)
def test_a_document_says_what_it_said_before(folder, document):
    kept = GOLDEN / f"{document}.txt"
    told = text_of(folder, document)
    if os.environ.get("INTAKE_GOLDEN") == "write":
        kept.write_text(told, encoding="utf-8")

    # Word by word: readers of other versions break the lines elsewhere.
    assert kept.read_text(encoding="utf-8").split() == told.split()


@pytest.mark.parametrize("document", DOCUMENTS)
def test_no_paper_speaks_of_probabilities_or_prints_more_decimals_than_a_reader_needs(folder, document):
    told = text_of(folder, document)

    assert [] == re.findall(r"P\([^)]*\)|\bu [0-9]", told)
    assert [] == re.findall(r"[0-9]*\.[0-9]{5,}", told)
