"""A file that is no workbook, or a hostile one: code 3, one sentence, little memory, nothing written."""

import os
import socket
from pathlib import Path

import pytest

from intake.cli.main import main
from tests.hostile.command import run
from tests.hostile.workbooks import Refused, filled, refused_files
from tests.simple_workbook import write_workbook
from tests.workbook.archives import pack

REFUSED = refused_files()
REFUSED_MB_MOST = 200


@pytest.fixture(params=REFUSED, ids=lambda name: name.replace(" ", "-"))
def refused(request: pytest.FixtureRequest) -> Refused:
    return REFUSED[request.param]


def test_check_refuses_it_in_one_sentence_that_names_the_file(refused: Refused, tmp_path: Path) -> None:
    path = tmp_path / "pallet.xlsx"
    path.write_bytes(refused.content)

    ran = run("check", path, "--marked", tmp_path / "marked", target=tmp_path / "marked")

    assert (3, "") == (ran.code, ran.err)
    head, finding, closing = ran.lines
    assert f"{path}: REJECTED, 1 error, 0 warnings, 0 notes" == head
    assert refused.words in finding
    assert finding.endswith(".")
    assert closing.startswith(f"{path.name}: REJECTED, nothing was written for it: 1 error")
    assert ran.peak_mb < REFUSED_MB_MOST
    assert [path] == list(tmp_path.iterdir())


def test_grade_writes_nothing_for_it_and_goes_on(
    refused: Refused, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket, "socket", None)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a-bad.xlsx").write_bytes(refused.content)
    write_workbook(tmp_path / "in" / "good.xlsx")

    assert 3 == main(["grade", str(tmp_path / "in"), "--out", str(tmp_path / "out")])

    printed = capsys.readouterr()
    assert "" == printed.err
    assert refused.words in printed.out
    assert "defect" not in printed.out
    assert ["SEASON-SHA256SUMS", "T-1"] == sorted(one.name for one in (tmp_path / "out").iterdir())
    assert {"in", "out"} == {one.name for one in tmp_path.iterdir()}


@pytest.mark.parametrize("kind", ["pipe", "device", "dangling link", "missing"])
def test_what_is_no_file_is_refused_and_not_waited_for(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "pallet.xlsx"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "dangling link":
        path.symlink_to(tmp_path / "nowhere")

    ran = run("grade", path, "--out", tmp_path / "out", target=tmp_path / "out")

    assert (3, "") == (ran.code, ran.err)
    head, finding = ran.lines
    assert f"{path}: REJECTED, nothing was written for it." == head
    assert finding.lstrip().startswith("error ")
    assert finding.endswith(".")
    assert not (tmp_path / "out").exists()


def test_a_folder_that_is_called_like_a_workbook_is_looked_into(tmp_path: Path) -> None:
    (tmp_path / "pallet.xlsx").mkdir()

    ran = run("check", tmp_path / "pallet.xlsx", target=tmp_path / "none")

    assert 2 == ran.code
    assert [f"The folder {tmp_path / 'pallet.xlsx'} holds no .xlsx workbook."] == ran.lines


def test_a_name_that_would_steer_a_terminal_is_shown_without_it(tmp_path: Path) -> None:
    path = tmp_path / "a\x1b[31m\nb.xlsx"
    path.write_bytes(b"")

    ran = run("check", path, target=tmp_path / "none")

    assert 3 == ran.code
    assert "\x1b" not in ran.out
    assert 3 == len(ran.lines)


def test_the_watch_itself_sees_a_file_outside_the_target(tmp_path: Path) -> None:
    """A watch that sees nothing would pass always."""
    (tmp_path / "pallet.xlsx").write_bytes(pack(filled()))
    with pytest.raises(AssertionError, match="FORBIDDEN"):
        run("grade", tmp_path / "pallet.xlsx", "--out", tmp_path / "out", target=tmp_path / "other")
