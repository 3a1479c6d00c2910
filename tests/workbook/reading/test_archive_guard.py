import struct
import zlib
from io import BytesIO
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZIP_LZMA, ZIP_STORED, ZipFile

import pytest

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading import archive_guard
from intake.workbook.reading.archive_guard import guard_archive
from tests.workbook.archives import MAIN, SHEET, pack, parts, sheet_xml


def refused(content: bytes) -> str:
    with pytest.raises(WorkbookRefused) as caught:
        guard_archive(content)
    assert caught.value.hint.endswith(".")
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize("method", [ZIP_STORED, ZIP_DEFLATED])
def test_an_ordinary_workbook_passes_and_its_parts_are_known(method: int) -> None:
    guarded = guard_archive(pack(parts(), method=method))
    assert f"{MAIN} worksheet" == guarded.parts[SHEET].root
    assert (("Batteries",),) == guarded.sheet_lists


@pytest.mark.parametrize("method", [ZIP_BZIP2, ZIP_LZMA])
def test_a_packing_method_that_spreadsheets_do_not_use_is_refused(method: int) -> None:
    assert "packed in a way" in refused(pack(parts(), method=method))


def test_a_file_cut_short_is_refused() -> None:
    whole = pack(parts())
    assert "damaged" in refused(whole[: len(whole) // 2])


def test_a_part_whose_check_sum_is_wrong_is_refused_before_a_cell_is_read() -> None:
    content = bytearray(pack(parts(), method=ZIP_STORED))
    place = content.index(b"Tag")
    content[place : place + 3] = b"Tug"
    assert "damaged" in refused(bytes(content))


def test_a_part_longer_than_it_declares_is_refused() -> None:
    content = bytearray(pack({**parts(), "xl/media/photo.png": b"P" * 500}))
    central = content.rindex(b"PK\x01\x02")
    struct.pack_into("<L", content, central + 24, 100)
    assert "damaged" in refused(bytes(content))


@pytest.mark.parametrize("flag", [0x1, 0x40, 0x2000])
def test_an_encrypted_part_is_refused_as_a_password(flag: int) -> None:
    content = bytearray(pack(parts()))
    central = content.index(b"PK\x01\x02")
    flags = struct.unpack_from("<H", content, central + 8)[0]
    struct.pack_into("<H", content, central + 8, flags | flag)
    assert "password" in refused(bytes(content))


def test_two_parts_of_one_name_are_refused_whatever_their_capitals() -> None:
    assert "twice" in refused(pack({**parts(), SHEET.upper(): b"<a/>"}))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_part_stored_twice_is_refused() -> None:
    target = BytesIO(pack(parts()))
    with ZipFile(target, "a") as archive:
        archive.writestr(SHEET, sheet_xml(""))
    assert "twice" in refused(target.getvalue())


@pytest.mark.parametrize(
    "name", ["/etc/passwd.xml", "../up.xml", "xl/../../up.xml", "xl\\sheet.xml", "C:sheet.xml", "xl/a\tb.xml"]
)
def test_a_part_whose_name_leads_elsewhere_is_refused(name: str) -> None:
    assert "leads out of the file" in refused(pack({**parts(), name: b"<a/>"}))


def test_a_nameless_part_is_refused() -> None:
    content = pack({**parts(), "n": b"<a/>"})
    central = content.rindex(b"PK\x01\x02")
    patched = bytearray(content)
    patched[central + 46] = 0
    assert "leads out of the file" in refused(bytes(patched))


def test_two_dots_inside_a_name_lead_nowhere() -> None:
    assert guard_archive(pack({**parts(), "xl/a..b.xml": b"<a/>"})).parts["xl/a..b.xml"].root == "a"


def test_parts_that_lie_over_each_other_are_refused() -> None:
    content = bytearray(pack(parts(), method=ZIP_STORED))
    first = content.index(b"PK\x01\x02")
    second = content.index(b"PK\x01\x02", first + 4)
    struct.pack_into("<L", content, second + 42, 0)
    assert "lie over each other" in refused(bytes(content))


def test_the_number_of_parts_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive_guard, "MEMBERS_MOST", len(parts()))
    assert guard_archive(pack(parts())).parts
    assert "over 5 parts" in refused(pack({**parts(), "more.xml": b"<a/>"}))


def bomb_of_spaces(mebibytes: int) -> bytes:
    return pack({**parts(), "xl/theme/theme1.bin": b" " * (mebibytes * 1024 * 1024)})


def test_a_part_that_unpacks_to_far_over_its_size_is_refused() -> None:
    assert "200 times its size" in refused(bomb_of_spaces(3))


def test_a_small_part_may_pack_as_well_as_it_likes() -> None:
    assert guard_archive(bomb_of_spaces(2)).parts


def test_a_part_at_the_packing_limit_passes_and_one_over_it_not(monkeypatch: pytest.MonkeyPatch) -> None:
    body = b" " * (3 * 1024 * 1024)
    packer = zlib.compressobj(6, zlib.DEFLATED, -15)
    packed = len(packer.compress(body) + packer.flush())
    monkeypatch.setattr(archive_guard, "RATIO_MOST", len(body) // packed + 1)
    assert guard_archive(bomb_of_spaces(3)).parts
    monkeypatch.setattr(archive_guard, "RATIO_MOST", len(body) // packed)
    assert "times its size" in refused(bomb_of_spaces(3))


def test_one_part_and_all_parts_together_are_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    content = {**parts(), "xl/media/a.bin": bytes(70_000), "xl/media/b.bin": bytes(70_000)}
    total = sum(len(one) for one in content.values())
    monkeypatch.setattr(archive_guard, "TOTAL_BYTES_MOST", total)
    monkeypatch.setattr(archive_guard, "SHEET_BYTES_MOST", 70_000)
    assert guard_archive(pack(content)).parts
    monkeypatch.setattr(archive_guard, "TOTAL_BYTES_MOST", total - 1)
    assert "The workbook unpacks to" in refused(pack(content))
    monkeypatch.setattr(archive_guard, "SHEET_BYTES_MOST", 69_999)
    assert "A part of the workbook unpacks to" in refused(pack(content))


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ("word/document.xml", "text document"),
        ("ppt/presentation.xml", "presentation"),
        ("xl/workbook.bin", "binary .xlsb"),
        ("content.xml", ".ods"),
    ],
)
def test_other_office_files_are_named(mark: str, words: str) -> None:
    assert words in refused(pack({"[Content_Types].xml": b"<Types/>", mark: b"<a/>"}))


def test_any_other_archive_is_named_as_one() -> None:
    assert "zip archive" in refused(pack({"photo.jpg": b"x"}))
    assert "zip archive" in refused(b"PK\x05\x06" + bytes(18))


def test_a_workbook_that_lists_no_sheet_is_refused() -> None:
    assert "no worksheet" in refused(pack(parts({})))


def test_the_number_of_sheets_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive_guard, "SHEETS_MOST", 2)
    two = {"One": sheet_xml(""), "Two": sheet_xml("")}
    assert (("One", "Two"),) == guard_archive(pack(parts(two))).sheet_lists
    assert "holds 3 sheets, and at most 2" in refused(pack(parts({**two, "Three": sheet_xml("")})))


def test_the_tags_of_a_large_part_are_counted_before_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    content = {**parts(), SHEET: sheet_xml("<row/>" * 1000)}
    monkeypatch.setattr(archive_guard, "TAGS_MOST", 1004)
    monkeypatch.setattr(archive_guard, "TAGS_FROM_BYTES", 6000)
    assert guard_archive(pack(content)).parts
    monkeypatch.setattr(archive_guard, "TAGS_MOST", 1003)
    assert "million tags" in refused(pack(content))
    monkeypatch.setattr(archive_guard, "TAGS_FROM_BYTES", 10_000)
    assert guard_archive(pack(content)).parts


@pytest.mark.parametrize("name", ["Batteries", "Yard &amp; bench"])
def test_a_refusal_names_the_sheet_it_is_about(name: str) -> None:
    with pytest.raises(WorkbookRefused) as caught:
        guard_archive(pack(parts({"Other": sheet_xml(""), name: "<worksheet><broken"})))
    assert str(caught.value).endswith(f"This is the sheet {name.replace('&amp;', '&')!r}.")


def test_a_refusal_of_a_part_that_is_no_sheet_names_none() -> None:
    with pytest.raises(WorkbookRefused) as caught:
        guard_archive(pack({**parts(strings="<sst"), SHEET: sheet_xml("")}))
    assert "This is the sheet" not in str(caught.value)
