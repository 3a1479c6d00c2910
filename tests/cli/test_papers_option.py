"""``--papers`` and ``--sheets``: which printed documents a batch gets; its record and workbook always."""

import pytest

from intake.cli.main import main
from tests.simple_workbook import write_workbook

ALWAYS = {"T-1-results.json", "T-1-results.xlsx", "SHA256SUMS"}


def grade(folder, *options):
    path = write_workbook(folder / "pallet.xlsx")
    code = main(["grade", str(path), "--out", str(folder / "graded"), "--quiet", *options])
    return code, {one.name for one in (folder / "graded" / "T-1").glob("*")}


def test_without_the_option_all_are_written(tmp_path):
    code, names = grade(tmp_path)

    assert 0 == code
    assert ALWAYS | {f"T-1-{one}.pdf" for one in ("manifest", "disposal", "resale", "labels")} == names


@pytest.mark.parametrize(
    ("listed", "papers"),
    [("manifest,labels", {"manifest", "labels"}), (" Disposal ", {"disposal"}), ("resale", {"resale"})],
)
def test_only_the_papers_that_are_listed_are_written_and_verify_knows_it(tmp_path, listed, papers):
    code, names = grade(tmp_path, "--papers", listed)

    assert 0 == code
    assert ALWAYS | {f"T-1-{one}.pdf" for one in papers} == names
    assert 0 == main(["verify", str(tmp_path / "graded"), "--workbooks", str(tmp_path)])


def test_all_sheets_are_verified_too(tmp_path):
    assert 0 == grade(tmp_path, "--sheets", "all")[0]
    assert 0 == main(["verify", str(tmp_path / "graded"), "--workbooks", str(tmp_path)])


@pytest.mark.parametrize("listed", ["", "poster", "manifest,poster"])
def test_an_unknown_paper_is_wrong_usage(tmp_path, listed, capsys):
    with pytest.raises(SystemExit) as ended:
        grade(tmp_path, "--papers", listed)

    assert 2 == ended.value.code
    assert "is none of manifest, disposal, resale, labels" in capsys.readouterr().err
