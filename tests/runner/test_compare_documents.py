"""Two documents, and where they differ in words."""

import json
import zipfile
import zlib
from pathlib import Path

import pytest

from intake.runner.compare_documents import Comparison, Standing, compare


@pytest.fixture
def pair(tmp_path):
    def written(name: str, old: bytes, new: bytes) -> Comparison:
        for folder, content in (("old", old), ("new", new)):
            (tmp_path / folder).mkdir(exist_ok=True)
            (tmp_path / folder / name).write_bytes(content)
        return compare(tmp_path / "old" / name, tmp_path / "new" / name)

    return written


def archive(path: Path, parts: dict[str, bytes]) -> bytes:
    with zipfile.ZipFile(path, "w") as book:
        for name, content in parts.items():
            book.writestr(zipfile.ZipInfo(name), content)
    return path.read_bytes()


def pdf(*streams: bytes, frame: bytes = b"<<>>") -> bytes:
    return b"%PDF-1.7\n" + frame + b"".join(b"stream\n%s\nendstream\n" % one for one in streams)


def test_a_file_that_can_not_be_read_is_not_checked(tmp_path):
    (tmp_path / "old").mkdir()
    (tmp_path / "new").write_bytes(b"x")

    found = compare(tmp_path / "old", tmp_path / "new")

    assert Standing.UNCHECKED is found.standing
    assert "can not be read" in found.remark


def test_a_file_that_is_gone_differs(tmp_path):
    (tmp_path / "new.json").write_bytes(b"{}")

    assert Comparison("new.json", Standing.DIFFERS, "the file is missing") == compare(
        tmp_path / "old.json", tmp_path / "new.json"
    )


def test_json_that_is_none_any_more(pair):
    assert "it is no JSON file any more" == pair("a.json", b"{", b"{}").remark


def test_json_that_differs_in_white_space_only_differs_all_the_same(pair):
    found = pair("a.json", b'{"a": 1}', b'{"a":1}')

    assert (Standing.DIFFERS, "white space or the order of keys") == (found.standing, found.remark)


def test_json_names_a_few_places_and_counts_the_rest(pair):
    old, new = (json.dumps({str(key): key + shift for key in range(8)}).encode() for shift in (0, 1))

    assert pair("a.json", old, new).remark.endswith("and 3 more")


def test_json_cuts_long_values(pair):
    found = pair("a.json", json.dumps({"a": "x" * 100}).encode(), b'{"a": ""}')

    assert len(found.remark) < 100
    assert "…" in found.remark


def test_json_tells_a_number_from_a_truth_value(pair):
    assert "a: true instead of 1" == pair("a.json", b'{"a": true}', b'{"a": 1}').remark


def test_a_workbook_that_is_none_any_more(pair, tmp_path):
    assert "it is no workbook any more" == pair("a.xlsx", b"PK", archive(tmp_path / "z", {"a": b"1"})).remark


def test_a_workbook_names_the_parts_that_differ_or_are_missing(pair, tmp_path):
    old = archive(tmp_path / "y", {"a": b"1", "b": b"2"})
    new = archive(tmp_path / "z", {"a": b"1", "b": b"3", "c": b"4"})

    assert "part b; part c" == pair("a.xlsx", old, new).remark


def test_a_workbook_of_equal_parts_that_was_touched_outside_them(pair, tmp_path):
    whole = archive(tmp_path / "z", {"a": b"1"})

    assert "the workbook's container" == pair("a.xlsx", whole + b" ", whole).remark


def test_a_pdf_with_another_number_of_streams(pair):
    assert "1 streams instead of 2" == pair("a.pdf", pdf(b"a"), pdf(b"a", b"b")).remark


def test_a_pdf_names_the_stream_that_differs(pair):
    assert "stream 2 of 2" == pair("a.pdf", pdf(b"a", b"c"), pdf(b"a", b"b")).remark


def test_a_pdf_that_was_touched_outside_its_streams(pair):
    assert (
        "the document's frame" == pair("a.pdf", pdf(b"a", frame=b"<<1>>"), pdf(b"a", frame=b"<<2>>")).remark
    )


def test_a_pdf_of_the_same_lengths_is_not_taken_for_one_packed_by_another_library(pair):
    """Spare bits at the end of a packed stream can be changed without changing what comes out."""
    packed = zlib.compress(b"words " * 40)
    spare = next(
        changed
        for place in range(len(packed) * 8)
        if (changed := _flipped(packed, place)) != packed and _opens_to(changed, b"words " * 40)
    )
    found = pair("a.pdf", pdf(spare), pdf(packed))
    assert (Standing.DIFFERS, "bytes between its pages or pictures, or their packing, were changed") == (
        found.standing,
        found.remark,
    )


def _flipped(content, bit):
    changed = bytearray(content)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def _opens_to(packed, content):
    try:
        return content == zlib.decompress(packed)
    except zlib.error:
        return False
