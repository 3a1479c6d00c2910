"""What people stumble over: files of other kinds beside workbooks, names nearly alike, long names."""

import shutil
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.simple_workbook import BAD_ROW, BATCH, GOOD, write_workbook

OLD_OFFICE_FILE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)


def named(folder: Path, name: str, batch: str, *rows: dict[str, str | float]) -> Path:
    return write_workbook(folder / name, rows or (GOOD,), batch={**BATCH, "Batch": batch})


@pytest.fixture
def mixed(tmp_path: Path) -> Path:
    """Return a folder with one workbook, spreadsheets of other kinds, and a thousand pictures."""
    folder = tmp_path / "in"
    folder.mkdir()
    named(folder, "a.xlsx", "T-1")
    (folder / "b.xls").write_bytes(OLD_OFFICE_FILE)
    (folder / "c.csv").write_text("Tag;Case\nB-1;sound\n", encoding="ascii")
    (folder / "~$a.xlsx").write_bytes(b"\x05Bench 1")
    (folder / ".~lock.a.xlsx#").write_bytes(b"Bench 1")
    for number in range(1000):
        (folder / f"{number}.jpg").write_bytes(b"x")
    return folder


class TestOtherSpreadsheets:
    @pytest.mark.parametrize("command", ["grade", "check"])
    def test_a_folder_s_are_named_and_hinder_nothing(
        self, mixed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], command: str
    ) -> None:
        out = ["--out", str(tmp_path / "out")] if command == "grade" else []
        assert 0 == main([command, str(mixed), *out])
        told = capsys.readouterr().err
        assert f"Not read in {mixed}: b.xls, c.csv. Save an intake workbook as .xlsx.\n" == told

    def test_those_beyond_the_third_are_counted(
        self, mixed: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        for name in ("d.ods", "e.xlsb"):
            (mixed / name).write_bytes(b"x")
        assert 0 == main(["check", str(mixed)])
        assert "b.xls, c.csv, d.ods and 1 more. Save" in capsys.readouterr().err

    def test_a_folder_that_holds_nothing_else_names_them(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        (tmp_path / "b.xls").write_bytes(OLD_OFFICE_FILE)
        assert 2 == main(["check", str(tmp_path)])
        told = capsys.readouterr().err
        assert "holds no .xlsx workbook" in told
        assert "b.xls" in told

    def test_in_a_watched_folder_each_is_told_once_with_what_to_do(
        self, mixed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        named(mixed, "d.ods", "T-4")  # a workbook whose name says otherwise
        command = ["watch", str(mixed), "--out", str(tmp_path / "out"), "--once", "--moment", "0.1"]
        assert 3 == main(command)
        lines = {line.split()[2]: line for line in capsys.readouterr().out.splitlines()}
        assert {"a.xlsx:", "b.xls:", "c.csv:", "d.ods:"} == set(lines)
        assert "graded, batch T-1, 1 battery," in lines["a.xlsx:"]
        assert "graded, batch T-4" in lines["d.ods:"]
        assert "old .xls workbook" in lines["b.xls:"]
        assert "save it as an ordinary .xlsx workbook" in lines["b.xls:"]
        assert "text or .csv file" in lines["c.csv:"]
        assert not any("marked" in line for line in lines.values())
        assert 0 == main(command)
        assert "" == capsys.readouterr().out


def test_a_copy_saved_into_a_watched_folder_is_told_as_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "in").mkdir()
    book = named(tmp_path / "in", "a.xlsx", "T-1")
    shutil.copy(book, book.with_name("b.xlsx"))
    assert 0 == main(["watch", str(book.parent), "--out", str(tmp_path), "--once", "--moment", "0.1"])
    first, second = capsys.readouterr().out.splitlines()
    assert "a.xlsx: graded" in first
    assert second.endswith(f"b.xlsx: the same bytes as {book}; graded once")


def test_a_name_too_long_for_a_marked_copy_is_told_and_the_papers_are_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "in").mkdir()
    named(tmp_path / "in", f"{'p' * 245}.xlsx", "T-1", BAD_ROW)
    assert 1 == main(["watch", str(tmp_path / "in"), "--out", str(tmp_path), "--once", "--moment", "0.1"])
    told = capsys.readouterr().out
    assert "graded, batch T-1" in told
    assert told.endswith("No marked copy can be made: file name too long.\n")
    assert (tmp_path / "T-1" / "T-1-manifest.pdf").is_file()


class TestNamesAlike:
    def test_a_batch_that_differs_in_capitals_only_takes_no_place_beside_the_other(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """On other systems both would be one folder, and a register counts neither."""
        first, second = named(tmp_path, "a.xlsx", "abc"), named(tmp_path, "b.xlsx", "ABC")
        out = tmp_path / "out"
        assert 0 == main(["grade", str(first), "--out", str(out)])
        capsys.readouterr()
        assert 4 == main(["grade", str(second), "--out", str(out)])
        told = capsys.readouterr().err
        assert "holds abc already, which differs from the batch name ABC in capitals only" in told
        assert ["abc"] == [one.name for one in out.iterdir() if one.is_dir()]
        assert 0 == main(["grade", str(first), "--out", str(out), "--overwrite"])

    @pytest.mark.parametrize("name", ["SEASON-SHA256SUMS", "season-sha256sums"])
    @pytest.mark.parametrize("there", [True, False])
    def test_no_batch_takes_the_name_of_the_season_s_list(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, there: bool
    ) -> None:
        out = tmp_path / "out"
        if there:
            assert 0 == main(["grade", str(named(tmp_path, "a.xlsx", "T-1")), "--out", str(out), "--quiet"])
        before = sorted(out.iterdir()) if there else []
        assert 4 == main(["grade", str(named(tmp_path, "b.xlsx", name)), "--out", str(out)])
        assert "name of its own" in capsys.readouterr().err
        assert before == (sorted(out.iterdir()) if out.exists() else [])


@pytest.mark.parametrize("name", ["pallet.xls", "pallet.csv", "pallet.ods", "pallet", "pallet.XLSX"])
def test_a_workbook_counts_by_its_content_under_any_name(tmp_path: Path, name: str) -> None:
    book = named(tmp_path, name, "T-1")
    assert 0 == main(["grade", str(book), "--out", str(tmp_path / "out"), "--quiet"])
    assert 0 == main(["verify", str(tmp_path / "out"), "--workbooks", str(book), "--quiet"])


def test_a_marked_copy_of_a_load_that_is_there_already_is_told_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = named(tmp_path, "a.xlsx", "T-1")
    command = ["load", "write", str(book), "--out", str(tmp_path / "loads"), "--marked", str(tmp_path / "m")]
    assert 3 == main(command)
    capsys.readouterr()
    assert 4 == main(command)  # no copy written weighs more than rejected, as with check
    (line,) = capsys.readouterr().err.splitlines()
    assert f"{tmp_path / 'm' / 'a.xlsx'} exists already. Add --overwrite to replace it." == line
