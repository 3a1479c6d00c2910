"""What every PDF says of itself to a screen reader and to an archive: language, title, bookmarks."""

import pytest
from pypdf import PdfReader

from intake.cli.main import main
from tests.example_workbooks import EXAMPLES

BOOK = str(EXAMPLES / "powersports_20" / "powersports_20.xlsx")
DOCUMENTS = ("manifest", "disposal", "resale", "labels", "plan", "form")
CARRIES_DATA = ("manifest", "disposal")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("every")
    assert 0 == main(["grade", BOOK, "--out", str(out), "--quiet"])
    assert 0 == main(["plan", BOOK, "--stations", "2", "--start", "2026-06-10", "--out", str(out / "plans")])
    assert 0 == main(["new", "--pen", str(out / "pen-form.pdf")])
    return out


@pytest.mark.parametrize("document", DOCUMENTS)
def test_language_title_and_bookmarks(folder, document):
    (path,) = folder.glob(f"**/*-{document}.pdf")
    reader = PdfReader(path)
    catalog, described = reader.trailer["/Root"], reader.xmp_metadata

    assert "en-GB" == catalog["/Lang"]
    assert {"x-default": reader.metadata.title} == described.dc_title
    assert ["en-GB"] == described.dc_language
    assert reader.outline
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"]
    attached = [one.get_object()["/AFRelationship"] for one in catalog.get("/AF", ())]
    assert (["/Data"] if document in CARRIES_DATA else []) == attached
