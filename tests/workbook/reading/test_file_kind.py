import os
from pathlib import Path

import pytest

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading import file_kind
from intake.workbook.reading.file_kind import read_content, refuse_other_kinds


def refusal(path: Path) -> WorkbookRefused:
    with pytest.raises(WorkbookRefused) as caught:
        read_content(path)
    return caught.value


def kind(content: bytes) -> str:
    with pytest.raises(WorkbookRefused) as caught:
        refuse_other_kinds(content)
    assert caught.value.hint.endswith(".")
    return str(caught.value)


def test_a_missing_file_is_refused_in_words(tmp_path: Path) -> None:
    refused = refusal(tmp_path / "none.xlsx")
    assert str(refused) == "There is no such file."
    assert refused.hint == "Check the name and the folder."


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert "folder" in str(refusal(tmp_path))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_without_a_writer_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.xlsx")
    assert "pipe or a device" in str(refusal(tmp_path / "pipe.xlsx"))


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no /dev/zero")
def test_a_link_to_an_endless_device_is_refused(tmp_path: Path) -> None:
    (tmp_path / "zero.xlsx").symlink_to("/dev/zero")
    assert "pipe or a device" in str(refusal(tmp_path / "zero.xlsx"))


def test_a_name_that_the_system_does_not_take_is_refused() -> None:
    assert "does not accept its name" in str(refusal(Path("a\0b.xlsx")))


def test_a_file_that_may_not_be_read_is_refused_with_the_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "closed.xlsx"
    path.write_bytes(b"PK")

    def deny(*_arguments: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", deny)
    assert str(refusal(path)) == "The file cannot be opened: Permission denied."


def test_the_size_limit_lets_its_own_size_through_and_one_byte_more_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(file_kind, "FILE_BYTES_MOST", 1024 * 1024)
    path = tmp_path / "large.xlsx"
    path.write_bytes(bytes(1024 * 1024))
    assert len(read_content(path)) == 1024 * 1024
    path.write_bytes(bytes(1024 * 1024 + 1))
    assert str(refusal(path)) == "The file is 1.0 MiB, and at most 1 MiB are read."


def test_a_file_that_grows_between_look_and_read_is_still_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "growing.xlsx"
    path.write_bytes(bytes(200))
    monkeypatch.setattr(file_kind, "FILE_BYTES_MOST", 100)
    checked: list[int] = []
    real = file_kind._refuse_large

    def first_time_blind(size: int) -> None:
        checked.append(size)
        if len(checked) > 1:
            real(size)

    monkeypatch.setattr(file_kind, "_refuse_large", first_time_blind)
    assert "at most 0 MiB" in str(refusal(path))
    assert checked == [200, 101]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "zero bytes"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "old .xls workbook"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600) + "EncryptedPackage".encode("utf-16-le"),
            "protected by a password",
        ),
        (b"%PDF-1.7\n%\xe2\xe3", "PDF document"),
        (b"\xef\xbb\xbfTag;Chemistry\r\nB-1;AGM\r\n", "text or .csv"),
        (b"Tag,Chemistry\nB-1,AGM\n", "text or .csv"),
        ("Tag\tChemie\n".encode("utf-16"), "text or .csv"),
        (b"\n<html><table><tr><td>Tag</td></tr></table></html>", "web page or an XML file"),
        (b'<?xml version="1.0"?><Workbook/>', "web page or an XML file"),
        (b"\x89PNG\r\n\x1a\n" + bytes(40), "another kind of file"),
    ],
)
def test_each_other_kind_of_file_is_named(content: bytes, words: str) -> None:
    assert words in kind(content)


@pytest.mark.parametrize("start", [b"PK\x03\x04rest", b"PK\x05\x06" + bytes(18)])
def test_an_archive_passes_whatever_the_file_is_called(start: bytes) -> None:
    assert refuse_other_kinds(start) is None
