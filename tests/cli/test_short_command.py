"""``intake WORKBOOK.xlsx``: check, grade beside the workbook, say what to print first."""

import pytest

from intake.cli.main import main
from tests.simple_workbook import BAD_ROW, BATCH, GOOD, write_workbook


def test_a_workbook_alone_is_graded_beside_itself(tmp_path, capsys):
    path = write_workbook(tmp_path / "pallet.xlsx")
    assert 0 == main([str(path)])
    manifest = tmp_path / "graded" / "T-1" / "T-1-manifest.pdf"
    assert manifest.is_file()
    assert f"Print this paper first: {manifest}" == capsys.readouterr().out.splitlines()[-1]


def test_the_same_workbook_again_says_the_same(tmp_path, capsys):
    path = write_workbook(tmp_path / "PALLET.XLSX")
    main([str(path)])
    first = capsys.readouterr().out
    assert 0 == main([str(path)])
    assert first == capsys.readouterr().out


def test_row_errors_are_graded_and_give_code_1(tmp_path, capsys):
    path = write_workbook(tmp_path / "pallet.xlsx", (GOOD, BAD_ROW))
    assert 1 == main([str(path), "--out", str(tmp_path / "papers")])
    assert (tmp_path / "papers" / "T-1" / "T-1-manifest.pdf").is_file()
    assert "1 battery stays unresolved until then." in capsys.readouterr().out


def test_a_rejected_workbook_ends_with_what_to_do_and_writes_nothing(tmp_path, capsys):
    path = write_workbook(tmp_path / "pallet.xlsx", batch={**BATCH, "Batch": ""})
    assert 3 == main([str(path)])
    last = capsys.readouterr().out.splitlines()[-1]
    assert last.startswith("pallet.xlsx: REJECTED, nothing was written for it: 1 error")
    assert not (tmp_path / "graded").exists()


def test_a_changed_workbook_asks_for_a_reason(tmp_path, capsys):
    path = write_workbook(tmp_path / "pallet.xlsx")
    main([str(path)])
    write_workbook(path, ({**GOOD, "Case": "cracked"},))
    assert 4 == main([str(path)])
    assert "--reason" in capsys.readouterr().err
    assert 0 == main([str(path), "--reason", "second look"])


def test_a_workbook_that_is_not_there_is_rejected(tmp_path, capsys):
    assert 3 == main([str(tmp_path / "none.xlsx")])


def test_the_short_way_is_not_listed_as_a_command(capsys):
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "\n    short" not in capsys.readouterr().out


def test_grade_writes_beside_the_workbook_unless_told_where(tmp_path, capsys):
    write_workbook(tmp_path / "pallet.xlsx")
    assert 0 == main(["grade", str(tmp_path / "pallet.xlsx")])
    assert 0 == main(["grade", str(tmp_path), "--overwrite"])
    assert (tmp_path / "graded" / "T-1" / "T-1-manifest.pdf").is_file()
