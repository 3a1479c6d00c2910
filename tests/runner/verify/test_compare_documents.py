"""Two documents, and where they differ in words."""

import io
import json
import os
import zipfile
import zlib
from pathlib import Path

import pytest

from intake.runner.verify.compare_documents import Comparison, Standing, compare


@pytest.fixture
def pair(tmp_path):
    def written(name: str, old: bytes, new: bytes) -> Comparison:
        for folder, content in (("old", old), ("new", new)):
            (tmp_path / folder).mkdir(exist_ok=True)
            (tmp_path / folder / name).write_bytes(content)
        return compare(tmp_path / "old" / name, tmp_path / "new" / name)

    return written


def pdf(*streams: bytes, told: bytes = b"<<>>", level: int = 6) -> bytes:
    """Return a file put together as the documents are: packed streams, a plain object, the table, the end."""
    packed = [zlib.compress(one, level) for one in streams]
    objects = [
        b"%d 0 obj\n<<\n/Filter /FlateDecode /Length %d\n>>\nstream\n%sendstream\nendobj\n"
        % (number, len(one), one)
        for number, one in enumerate(packed, start=1)
    ]
    return assembled([*objects, b"%d 0 obj\n%s\nendobj\n" % (len(objects) + 1, told)])


def assembled(objects: list[bytes], head: bytes = b"%PDF-1.7\n") -> bytes:
    body, places = head, []
    for one in objects:
        places.append(len(body))
        body += one
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    rest = b"trailer\n<<\n/Size %d\n>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, len(body))
    return body + b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1) + table + rest


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo, lambda path: path.symlink_to("/dev/zero")])
def test_what_is_no_file_differs_and_is_not_waited_for(tmp_path, make):
    make(tmp_path / "old.pdf")
    (tmp_path / "new.pdf").write_bytes(b"x")

    found = compare(tmp_path / "old.pdf", tmp_path / "new.pdf")

    assert (Standing.DIFFERS, "it is a folder, a pipe or a device, not a file") == (
        found.standing,
        found.remark,
    )


def test_a_file_that_the_system_does_not_open_is_not_checked(tmp_path):
    (tmp_path / "old.pdf").symlink_to(tmp_path / "old.pdf")
    (tmp_path / "new.pdf").write_bytes(b"x")

    found = compare(tmp_path / "old.pdf", tmp_path / "new.pdf")

    assert Standing.UNCHECKED is found.standing
    assert "cannot be read" in found.remark


def test_a_file_far_too_large_is_not_read(tmp_path):
    (tmp_path / "new.json").write_bytes(b"{}")
    with (tmp_path / "old.json").open("wb") as file:
        file.truncate(1 << 40)

    assert "it is larger than 1 MiB" == compare(tmp_path / "old.json", tmp_path / "new.json").remark


def test_a_document_of_another_kind_is_told_by_its_bytes(pair):
    assert "its bytes" == pair("SUMS", b"a", b"b").remark
    assert Standing.STANDS is pair("SUMS", b"a", b"a").standing


def test_a_file_that_is_gone_differs(tmp_path):
    (tmp_path / "new.json").write_bytes(b"{}")

    assert Comparison("new.json", Standing.DIFFERS, "the file is missing") == compare(
        tmp_path / "old.json", tmp_path / "new.json"
    )


def test_json_that_is_none_any_more(pair):
    assert "it is no JSON file any more" == pair("a.json", b"{", b"{}").remark


def test_json_that_differs_in_white_space_only_differs_all_the_same(pair):
    found = pair("a.json", b'{"a": 1}', b'{"a":1}')

    assert (Standing.DIFFERS, "white space, the order of keys, or a key that appears twice") == (
        found.standing,
        found.remark,
    )


def test_json_names_a_few_places_and_counts_the_rest(pair):
    old, new = (json.dumps({str(key): key + shift for key in range(8)}).encode() for shift in (0, 1))

    assert pair("a.json", old, new).remark.endswith("and 3 more")


def test_json_cuts_long_values(pair):
    found = pair("a.json", json.dumps({"a": "x" * 100}).encode(), b'{"a": ""}')

    assert len(found.remark) < 100
    assert "…" in found.remark


def test_json_tells_a_number_from_a_truth_value(pair):
    assert "a: true instead of 1" == pair("a.json", b'{"a": true}', b'{"a": 1}').remark


PARTS = {"a": b"1" * 300, "b": b"2" * 300}


def archive(
    parts: dict[str, bytes] = PARTS,
    level: int = 6,
    comment: bytes = b"",
    method: int = zipfile.ZIP_DEFLATED,
    **member: object,
) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as book:
        book.comment = comment
        for name, content in parts.items():
            about = zipfile.ZipInfo(name)
            for key, value in member.items():
                setattr(about, key, value)
            book.writestr(about, content, compress_type=method, compresslevel=level)
    return file.getvalue()


class TestArchive:
    def test_parts_packed_otherwise_stand(self, pair):
        found = pair("a.xlsx", archive(level=0), archive())
        assert (Standing.STANDS, True) == (found.standing, "packed differently" in found.remark)

    def test_one_written_on_another_system_stands(self, pair):
        assert Standing.STANDS is pair("a.xlsx", archive(level=0, create_system=0), archive()).standing

    @pytest.mark.parametrize(
        ("forged", "says"),
        [
            (b"PK", "no whole workbook"),
            (b"", "no whole workbook"),
            (archive({**PARTS, "b": b"3" * 300}), "part b"),
            (archive({**PARTS, "b": b"3" * 300}, level=0), "the head of part b"),
            (archive({"a": PARTS["a"]}, level=0), "the head of part b"),
            (archive({"b": PARTS["b"], "a": PARTS["a"]}, level=0), "the head of part a"),
            (archive({**PARTS, "c": b"4"}, level=0), "entry of part a"),
            (archive(level=0, comment=b"x"), "the end"),
            (archive(comment=b"x"), "the end"),
            (archive() + b" ", "the end"),
            (archive(level=0) + b" ", "the end"),
            (archive({"c": b"4"}) + archive(), "the head of part a"),
            (b" " + archive(level=0), "the head of part a"),
            (archive(method=zipfile.ZIP_STORED), "the head of part a"),
            (archive(method=zipfile.ZIP_BZIP2), "the head of part a"),
            (archive(level=0, date_time=(1999, 1, 1, 0, 0, 0)), "the head of part a"),
            (archive(level=0, extra=b"\x99\x99\x01\x00x"), "the head of part a"),
            (archive(level=0, external_attr=1), "entry of part a"),
            (archive(level=0)[:-30], "no whole workbook"),
        ],
    )
    def test_anything_else_does_not(self, pair, forged, says):
        found = pair("a.xlsx", forged, archive())
        assert (Standing.DIFFERS, True) == (found.standing, says in found.remark), found.remark

    def test_bytes_behind_a_packed_part_are_seen(self, pair):
        """A packed part says itself where it ends; what follows up to the next would never be unpacked."""
        whole = archive({"a": PARTS["a"]})
        packed = whole.index(b"PK\x01\x02")
        forged = bytearray(whole[:packed] + b"hidden" + whole[packed:])
        for place in (18, forged.index(b"PK\x01\x02") + 20):
            forged[place] += 6
        forged[-6] += 6
        assert "part a" == pair("a.xlsx", bytes(forged), whole).remark

    def test_spare_bits_do_not_pass_for_another_packing(self, pair):
        whole = archive({"a": PARTS["a"]})
        start = 31
        spare = next(
            one
            for bit in range(start * 8, whole.index(b"PK\x01\x02") * 8)
            if _opened(one := _flipped(whole, bit)) == PARTS["a"]
        )
        assert "its packing, was changed" in pair("a.xlsx", spare, whole).remark


def _opened(content: bytes) -> bytes:
    try:
        return zipfile.ZipFile(io.BytesIO(content)).read("a")
    except (zipfile.BadZipFile, zlib.error, EOFError):
        return b""


WHOLE = pdf(b"words " * 40, b"more " * 40)


class TestPdf:
    @pytest.mark.parametrize("level", [0, 1])
    def test_streams_packed_otherwise_stand(self, pair, level):
        figures = b" ".join(b"%d" % (number * number) for number in range(500))
        found = pair("a.pdf", pdf(figures, b"more", level=level), pdf(figures, b"more"))
        assert (Standing.STANDS, True) == (found.standing, "packed differently" in found.remark)

    @pytest.mark.parametrize(
        ("forged", "says"),
        [
            (b"", "missing"),
            (b"%PDF-1.7\n", "missing"),
            (WHOLE[:-1], "missing"),
            (WHOLE + b" ", "1 bytes were added after its end"),
            (WHOLE + b"4 0 obj\n<<>>\nendobj\nstartxref\n0\n%%EOF\n", "after its end"),
            (b" " + WHOLE, "before its beginning"),
            (pdf(b"words " * 40, b"more " * 41, level=0), "object 2 of 3"),
            (pdf(b"WORDS " * 40, b"more " * 40, level=0), "object 1 of 3"),
            (pdf(b"words " * 40, level=0), "object 2 of 3"),
            (pdf(b"words " * 40, b"more " * 40, b"third", level=0), "object 3 of 3"),
            (pdf(b"words " * 40, b"more " * 40, told=b"<<1>>", level=0), "object 3 of 3"),
            (pdf(b"words " * 40, b"more " * 40, level=0) + b"\n", "outside its pages"),
            (
                pdf(b"words " * 40, b"more " * 40, level=0).replace(b"\nxref", b"\n% hidden\nxref"),
                "outside its pages",
            ),
            (
                pdf(b"words " * 40, b"more " * 40, level=0).replace(b"/Size 4", b"/Size 5"),
                "outside its pages",
            ),
            (pdf(b"words " * 40, b"more " * 40, level=0).replace(b"1.7", b"1.6"), "outside its pages"),
            (
                pdf(b"words " * 40, b"more " * 40, level=0).replace(b"endobj\n2", b"endobj\n% x\n2"),
                "object 2",
            ),
            (pdf(b"words " * 40, b"more " * 40, level=0).replace(b"/Length ", b"/Length 0", 1), "object 1"),
            (
                pdf(b"words " * 40, b"more " * 40, level=0).replace(b"startxref\n", b"startxref\n1"),
                "outside its pages",
            ),
            (pdf(b"words " * 40, b"more " * 40, level=0).replace(b"00 n", b"01 n", 1), "outside its pages"),
        ],
    )
    def test_anything_else_does_not(self, pair, forged, says):
        found = pair("a.pdf", forged, WHOLE)
        assert (Standing.DIFFERS, True) == (found.standing, says in found.remark), found.remark

    def test_a_document_that_is_put_together_otherwise_is_told_by_its_bytes(self, pair):
        assert "the PDF file was changed outside its pages" in pair("a.pdf", b"%PDF-1", b"%PDF-2").remark
        odd = assembled([b"no object\n"])
        assert (
            "the PDF file was changed outside its pages"
            in pair("a.pdf", odd.replace(b"no", b"an"), odd).remark
        )

    def test_content_is_told_in_plain_words_and_once(self, pair):
        forged = pdf(b"WORDS " * 40, b"MORE " * 40, level=0)
        assert "its content is not what the workbook gives (objects 1, 2 of 3 in the PDF file)" == (
            pair("a.pdf", forged, WHOLE).remark
        )

    def test_many_changed_objects_are_counted(self, pair):
        streams = [b"word%d" % number * 20 for number in range(5)]
        forged = pdf(*(one.upper() for one in streams), level=0)
        assert "(objects 1, 2, 3 and 2 more of 6 in the PDF file)" in (
            pair("a.pdf", forged, pdf(*streams)).remark
        )

    def test_bytes_behind_a_packed_stream_are_seen(self, pair):
        packed = zlib.compress(b"words " * 40, 0) + b"hidden"
        stream = b"1 0 obj\n<<\n/Filter /FlateDecode /Length %d\n>>\nstream\n%sendstream\nendobj\n"
        forged = assembled([stream % (len(packed), packed), b"2 0 obj\n<<>>\nendobj\n"])
        assert "object 1 of 2 in the PDF" in pair("a.pdf", forged, pdf(b"words " * 40)).remark

    def test_a_stream_that_unpacks_to_far_more_is_not_unpacked(self, pair):
        forged = pdf(b"w" * (1 << 24))
        assert "object 1 of 2 in the PDF" in pair("a.pdf", forged, pdf(b"words")).remark

    def test_spare_bits_do_not_pass_for_another_packing(self, pair):
        """Bits at the end of a packed stream can be changed without changing what comes out."""
        whole = pdf(b"words " * 40)
        start, end = whole.index(b"stream\n") + 7, whole.index(b"endstream")
        spare = next(
            changed
            for bit in range(start * 8, end * 8)
            if _opens_to((changed := _flipped(whole, bit))[start:end], b"words " * 40)
        )
        found = pair("a.pdf", spare, whole)
        assert Standing.DIFFERS is found.standing
        assert (
            "bytes of the file were changed, though its text and pictures unpack to the same" == found.remark
        )


def _flipped(content: bytes, bit: int) -> bytes:
    changed = bytearray(content)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def _opens_to(packed: bytes, content: bytes) -> bool:
    try:
        return content == zlib.decompress(packed)
    except zlib.error:
        return False
