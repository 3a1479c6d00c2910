"""Sets that were forged, each named by ``verify``, and as many untouched ones of which it names nothing.

A forgery here is made by somebody who may write in the folder and knows the file formats; the workbook, kept
elsewhere, stays as it was, unless a forgery says otherwise.
"""

import hashlib
import json
import os
import re
import shutil
import zipfile
import zlib
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest
from pypdf import PdfWriter
from pypdf.generic import DecodedStreamObject, DictionaryObject, NameObject, NumberObject, TextStringObject

from intake.cli.main import main
from tests.runner.verify.test_verify_batches import repacked
from tests.simple_workbook import BAD_ROW, BATCH, CRACKED, FLAT, GOOD, UNKNOWN, write_workbook

Forgery = Callable[[Path], object]
"""Changes a season's folder: ``out/T-1``, ``out/T-2``, the list, and the workbooks in ``kept``."""


@pytest.fixture(scope="module")
def season_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("season")
    (root / "kept").mkdir()
    for name, rows in (("T-1", [GOOD, FLAT, CRACKED]), ("T-2", [GOOD, UNKNOWN])):
        write_workbook(root / "kept" / f"{name}.xlsx", rows, batch={**BATCH, "Batch": name})
    assert 0 == main(["grade", str(root / "kept"), "--out", str(root / "out"), "--quiet"])
    return root


@pytest.fixture
def season(season_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(season_once, tmp_path / "season"))


def verified(season: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    capsys.readouterr()
    code = main(["verify", str(season / "out"), "--workbooks", str(season / "kept"), "--quiet"])
    return code, capsys.readouterr().out


def at(name: str, change: Callable[[Path], object]) -> tuple[str, Forgery]:
    """Return a forgery of one document of T-1, named by its own name."""
    whole = name if name == "SHA256SUMS" else f"T-1-{name}"
    return whole, lambda season: change(season / "out" / "T-1" / whole)


def bytes_of(change: Callable[[bytes], bytes]) -> Callable[[Path], object]:
    def changed(file: Path) -> None:
        old = file.read_bytes()
        new = change(old)
        assert new != old
        file.write_bytes(new)

    return changed


def updated(change: Callable[[PdfWriter], object]) -> Callable[[Path], object]:
    """Append an update to a PDF, as programs that change one do."""

    def changed(file: Path) -> None:
        old = file.read_bytes()
        writer = PdfWriter(file, incremental=True)
        change(writer)
        writer.write(file)
        assert file.read_bytes().startswith(old)

    return changed


def written_again(change: Callable[[PdfWriter], object]) -> Callable[[Path], object]:
    """Let another library write a PDF anew."""

    def changed(file: Path) -> None:
        writer = PdfWriter(clone_from=file)
        change(writer)
        writer.write(file)

    return changed


def white_box(writer: PdfWriter) -> None:
    page = writer.pages[0]
    box = DecodedStreamObject()
    box.set_data(b"1 1 1 rg 0 0 600 400 re f")
    there = page["/Contents"].get_object()
    there.append(writer._add_object(box))
    page[NameObject("/Contents")] = there


def without_attachment(writer: PdfWriter) -> None:
    del writer.root_object["/Names"]


def with_script(writer: PdfWriter) -> None:
    script = {
        NameObject("/S"): NameObject("/JavaScript"),
        NameObject("/JS"): TextStringObject("app.alert(1);"),
    }
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(script)


def without_page(writer: PdfWriter) -> None:
    writer.remove_page(0)


def retitled(writer: PdfWriter) -> None:
    writer.add_metadata({"/Title": "Graded manifest, batch T-9"})


def nothing(writer: PdfWriter) -> None:
    pass


def page_of_ones_own(writer: PdfWriter) -> None:
    writer.add_blank_page(200, 200)


def another_attachment(writer: PdfWriter) -> None:
    writer.add_attachment("T-1-results.json", b"{}")


def attachment_taken_out_of(writer: PdfWriter) -> None:
    """Take it out where the document is updated, not written anew."""
    writer.root_object[NameObject("/Names")] = DictionaryObject()


def page_taken_out_of(writer: PdfWriter) -> None:
    pages = writer.root_object["/Pages"].get_object()
    pages["/Kids"].pop(0)
    pages[NameObject("/Count")] = NumberObject(len(pages["/Kids"]))


def record_inside_exchanged(old: bytes) -> bytes:
    """Exchange a grade in the record that rides inside, and pack the whole document anew."""
    changed = repacked(
        old,
        lambda content: (
            content.replace(b'"reconditionable"', b'"resale-after-charge"')
            if content.startswith(b"{")
            else content
        ),
    )
    assert changed != repacked(old)
    return changed


def with_link(writer: PdfWriter) -> None:
    note = DictionaryObject({NameObject("/Type"): NameObject("/Annot")})
    writer.pages[0][NameObject("/Annots")] = writer._add_object(note)


def record(change: Callable[[dict], object]) -> Callable[[Path], object]:
    def changed(file: Path) -> None:
        document = json.loads(file.read_bytes())
        change(document)
        file.write_text(json.dumps(document, ensure_ascii=False), encoding="utf-8")

    return changed


def archived(**options: object) -> Callable[[Path], object]:
    """Pack a workbook's archive anew: parts changed, added, dropped or turned round, a comment, a method."""

    def changed(file: Path) -> None:
        with zipfile.ZipFile(file) as old:
            parts = {one: old.read(one) for one in old.infolist()}
        names = list(parts)
        if options.get("turned"):
            names = [*names[1:], names[0]]
        with zipfile.ZipFile(file, "w") as new:
            new.comment = options.get("comment", b"")
            for one in names:
                content = parts[one]
                if one.filename == options.get("part"):
                    content = options["change"](content)
                    assert content != parts[one]
                new.writestr(
                    one, content, compress_type=options.get("method", zipfile.ZIP_DEFLATED), compresslevel=1
                )
            assert "part" not in options or options["part"] in new.namelist()
            if "added" in options:
                new.writestr(options["added"], b"x")

    return changed


def other_bytes(name: str) -> Callable[[bytes], bytes]:
    """Return a change of the bytes that keeps a PDF whole but for one word, packed anew."""
    return lambda old: repacked(old, lambda content: content.replace(b"Tj", b"TJ", 1) if name else content)


def exchanged(season: Path) -> None:
    one, two = season / "out" / "T-1", season / "out" / "T-2"
    one.rename(season / "aside")
    two.rename(one)
    (season / "aside").rename(two)


def exchanged_with_names(season: Path) -> None:
    exchanged(season)
    for folder, old in (("T-1", "T-2"), ("T-2", "T-1")):
        for file in list((season / "out" / folder).iterdir()):
            if file.name.startswith(old):
                file.rename(file.with_name(file.name.replace(old, folder)))


def sums_again(folder: Path) -> None:
    """Reckon the digests of a forged set anew."""
    names = [line.split("  ")[1] for line in (folder / "SHA256SUMS").read_text(encoding="utf-8").splitlines()]
    lines = [f"{hashlib.sha256((folder / one).read_bytes()).hexdigest()}  {one}\n" for one in names]
    (folder / "SHA256SUMS").write_text("".join(lines), encoding="utf-8")


def forged_with_sums(season: Path) -> None:
    folder = season / "out" / "T-1"
    updated(white_box)(folder / "T-1-manifest.pdf")
    sums_again(folder)


def forged_with_sums_and_list(season: Path) -> None:
    forged_with_sums(season)
    listed = season / "out" / "SEASON-SHA256SUMS"
    digest = hashlib.sha256((season / "out" / "T-1" / "SHA256SUMS").read_bytes()).hexdigest()
    listed.write_text(
        re.sub(r"(T-1\t1\t)\w+", rf"\g<1>{digest}", listed.read_text(encoding="utf-8")), encoding="utf-8"
    )


def graded_again(season: Path, *, keep_list: bool) -> None:
    """Change a battery in the workbook and grade it again, and put the old list back."""
    old = (season / "out" / "SEASON-SHA256SUMS").read_bytes()
    book = write_workbook(season / "kept" / "T-1.xlsx", [GOOD, {**FLAT, "Rest voltage (V)": 12.7}, CRACKED])
    assert 0 == main(
        ["grade", str(book), "--out", str(season / "out"), "--reason", "second readings", "--quiet"]
    )
    if keep_list:
        (season / "out" / "SEASON-SHA256SUMS").write_bytes(old)


def an_earlier_set_put_back(season: Path) -> None:
    shutil.copytree(season / "out" / "T-1", season / "old")
    book = (season / "kept" / "T-1.xlsx").read_bytes()
    graded_again(season, keep_list=False)
    shutil.rmtree(season / "out" / "T-1")
    (season / "old").rename(season / "out" / "T-1")
    (season / "kept" / "T-1.xlsx").write_bytes(book)


def revised(change: Callable[[Path], object]) -> Forgery:
    """Return a forgery of the revision before; ``change`` gets the folder that keeps it."""

    def changed(season: Path) -> None:
        graded_again(season, keep_list=False)
        change(season / "out" / "T-1" / "earlier" / "1")

    return changed


def revised_with_sums(folder: Path) -> None:
    record(lambda one: one["batteries"][1].update(grade="resale-after-charge"))(folder / "T-1-results.json")
    sums_again(folder)


def workbook_and_record_changed(season: Path) -> None:
    """Change a battery in the workbook and all of the record, but no other document."""
    elsewhere = season / "elsewhere"
    book = write_workbook(season / "kept" / "T-1.xlsx", [GOOD, {**FLAT, "Rest voltage (V)": 12.7}, CRACKED])
    assert 0 == main(["grade", str(book), "--out", str(elsewhere), "--quiet"])
    shutil.copy(elsewhere / "T-1" / "T-1-results.json", season / "out" / "T-1")
    shutil.rmtree(elsewhere)


def list_line(pattern: str, by: str) -> Forgery:
    def changed(season: Path) -> None:
        file = season / "out" / "SEASON-SHA256SUMS"
        old = file.read_text(encoding="utf-8")
        new = re.sub(pattern, by, old)
        assert new != old
        file.write_text(new, encoding="utf-8")

    return changed


def moved(season: Path, old: str, new: str) -> None:
    (season / "out" / old).rename(season / "out" / new)


def copied(season: Path) -> None:
    shutil.copytree(season / "out" / "T-1", season / "out" / "T-3")


def copied_with_names(season: Path) -> None:
    copied(season)
    for file in list((season / "out" / "T-3").glob("T-1-*")):
        file.rename(file.with_name(file.name.replace("T-1", "T-3")))


PDFS = ("manifest.pdf", "disposal.pdf", "resale.pdf", "labels.pdf")
FORGERIES: dict[str, tuple[str, Forgery]] = {
    **{
        f"update: {change.__name__} in {name}": at(name, updated(change))
        for name, change in product(
            PDFS[:2], (white_box, retitled, with_script, with_link, page_of_ones_own, another_attachment)
        )
    },
    **{
        f"update: {change.__name__}": at("manifest.pdf", updated(change))
        for change in (attachment_taken_out_of, page_taken_out_of)
    },
    "the record inside the manifest": at("manifest.pdf", bytes_of(record_inside_exchanged)),
    **{
        f"written again: {change.__name__}": at("manifest.pdf", written_again(change))
        for change in (nothing, without_page, without_attachment, retitled, with_script)
    },
    **{f"bytes after {name}": at(name, bytes_of(lambda old: old + b"\n%%EOF\n")) for name in PDFS},
    "bytes before a PDF": at("resale.pdf", bytes_of(lambda old: b"\n" + old)),
    "comment in a PDF": at("resale.pdf", bytes_of(lambda old: old.replace(b"endobj\n", b"endobj\n%x\n", 1))),
    "a PDF's own version": at("resale.pdf", bytes_of(lambda old: old.replace(b"%PDF-1.7", b"%PDF-1.4"))),
    "a page packed anew with another word": at("disposal.pdf", bytes_of(other_bytes("x"))),
    "a PDF cut off": at("labels.pdf", bytes_of(lambda old: old[:-9])),
    "an empty PDF": at("labels.pdf", bytes_of(lambda old: b"")),
    "another batch's manifest": at(
        "manifest.pdf", lambda file: shutil.copy(file.parents[1] / "T-2" / "T-2-manifest.pdf", file)
    ),
    "a manifest in place of the labels": at(
        "labels.pdf", lambda file: shutil.copy(file.with_name("T-1-manifest.pdf"), file)
    ),
    "a pipe in place of a document": at("resale.pdf", lambda file: (file.unlink(), os.mkfifo(file))),
    "a folder in place of a document": at("resale.pdf", lambda file: (file.unlink(), file.mkdir())),
    "workbook: archive in front": at("results.xlsx", bytes_of(lambda old: b"PK\x05\x06" + bytes(18) + old)),
    "workbook: bytes at the end": at("results.xlsx", bytes_of(lambda old: old + b"\0")),
    "workbook: comment": at("results.xlsx", archived(comment=b"x")),
    "workbook: stored": at("results.xlsx", archived(method=zipfile.ZIP_STORED)),
    "workbook: other packing": at("results.xlsx", archived(method=zipfile.ZIP_LZMA)),
    "workbook: part added": at("results.xlsx", archived(added="xl/media/x")),
    "workbook: parts turned round": at("results.xlsx", archived(turned=True)),
    "workbook: a text": at(
        "results.xlsx",
        archived(part="xl/worksheets/sheet2.xml", change=lambda old: old.replace(b"recycle", b"resale!")),
    ),
    "workbook: a maker": at(
        "results.xlsx",
        archived(part="docProps/core.xml", change=lambda old: old.replace(b"intake", b"others")),
    ),
    "record: a grade": at(
        "results.json", record(lambda one: one["batteries"][1].update(grade="resale-after-charge"))
    ),
    "record: a mass": at("results.json", record(lambda one: one["totals"].update(mass_estimated_kg=1))),
    "record: another workbook": at("results.json", record(lambda one: one["source"].update(sha256="0" * 64))),
    "record: another version": at("results.json", record(lambda one: one.update(version="9.9.9"))),
    "record: a battery less": at("results.json", record(lambda one: one["batteries"].pop())),
    "record: a key added": at("results.json", record(lambda one: one.update(remark="lawful"))),
    "record: a key twice": at(
        "results.json", bytes_of(lambda old: old.replace(b'"version"', b'"version":"1","version"', 1))
    ),
    "record: 1e400": at(
        "results.json", bytes_of(lambda old: re.sub(rb'"count": ?\d+', b'"count":1e400', old))
    ),
    "record: nested deeply": at("results.json", bytes_of(lambda old: b"[" * 100_000)),
    "record: white space": at("results.json", bytes_of(lambda old: old + b"\n")),
    "record and workbook, nothing else": ("T-1-manifest.pdf", workbook_and_record_changed),
    "a document is missing": at("disposal.pdf", Path.unlink),
    "a document is renamed": at("disposal.pdf", lambda file: file.rename(file.with_name("T-1-Disposal.pdf"))),
    "a document is moved up": at("labels.pdf", lambda file: file.rename(file.parents[1] / file.name)),
    "a document is moved across": at(
        "labels.pdf", lambda file: file.rename(file.parents[1] / "T-2" / file.name)
    ),
    "the digests are missing": at("SHA256SUMS", Path.unlink),
    "a digest is changed": at(
        "SHA256SUMS", bytes_of(lambda old: b"0" + old[1:] if old[:1] != b"0" else b"1" + old[1:])
    ),
    "a line of the digests is missing": at("SHA256SUMS", bytes_of(lambda old: old[old.index(b"\n") + 1 :])),
    "a line is added to the digests": at("SHA256SUMS", bytes_of(lambda old: old + b"0" * 64 + b"  x\n")),
    "a document and its digest": ("T-1-manifest.pdf", forged_with_sums),
    "a document, its digest and the list": ("T-1-manifest.pdf", forged_with_sums_and_list),
    "a document is added": (
        "T-1-approval.pdf",
        lambda season: shutil.copy(
            season / "out" / "T-1" / "T-1-labels.pdf", season / "out" / "T-1" / "T-1-approval.pdf"
        ),
    ),
    "two folders exchanged": ("T-1 differs", exchanged),
    "two folders exchanged with their names": ("T-1-manifest.pdf", exchanged_with_names),
    "a folder renamed": ("T-9 differs", lambda season: moved(season, "T-1", "T-9")),
    "a folder moved into another": ("T-1 differs", lambda season: moved(season, "T-1", "T-2/T-1")),
    "a folder hidden": ("T-1 differs", lambda season: moved(season, "T-1", ".T-1")),
    "a folder missing": ("T-1 differs", lambda season: shutil.rmtree(season / "out" / "T-1")),
    "a folder copied": ("T-3 differs", copied),
    "a folder copied with its names": ("T-3", copied_with_names),
    "an earlier set put back": ("an earlier set was put back", an_earlier_set_put_back),
    "graded again, the old list put back": (
        "SHA256SUMS differs",
        lambda season: graded_again(season, keep_list=True),
    ),
    "an earlier document": (
        "earlier/1/T-1-labels.pdf differs",
        revised(lambda folder: bytes_of(lambda old: old + b" ")(folder / "T-1-labels.pdf")),
    ),
    "an earlier record and its digest": ("earlier/1/T-1-results.json differs", revised(revised_with_sums)),
    "an earlier revision is missing": ("earlier/1/T-1-results.json differs", revised(shutil.rmtree)),
    "an earlier revision under another number": (
        "earlier/1/T-1-results.json differs",
        revised(lambda folder: folder.rename(folder.with_name("7"))),
    ),
    "the reason of a revision": (
        "SHA256SUMS",
        revised(
            lambda folder: record(lambda one: one.update(reason="typing"))(
                folder.parents[1] / "T-1-results.json"
            )
        ),
    ),
    "what a revision changed": (
        "T-1-results.json differs",
        revised(
            lambda folder: record(lambda one: one["changes"].pop())(folder.parents[1] / "T-1-results.json")
        ),
    ),
    "the list is missing": (
        "SEASON-SHA256SUMS differs",
        lambda season: (season / "out" / "SEASON-SHA256SUMS").unlink(),
    ),
    "a digest in the list": ("SHA256SUMS differs", list_line(r"(T-1\t1\t)\w", r"\1g")),
    "another digest in the list": ("SHA256SUMS differs", list_line(r"(T-1\t1\t)\w{8}", r"\g<1>00000000")),
    "a line less in the list": ("SHA256SUMS differs", list_line(r"T-1\t.*\n", "")),
    "a line too many in the list": (
        "SEASON-SHA256SUMS differs",
        list_line(r"(T-1\t1)(.*\n)", r"\1\2T-1\t3\2"),
    ),
}


@pytest.mark.parametrize("forgery", FORGERIES.values(), ids=FORGERIES)
def test_each_forgery_is_named(
    season: Path, capsys: pytest.CaptureFixture[str], forgery: tuple[str, Forgery]
) -> None:
    named, forge = forgery
    forge(season)
    code, printed = verified(season, capsys)
    assert named in printed
    assert 5 == code or named == "T-1-approval.pdf"


def test_there_are_forty_at_least() -> None:
    assert len(FORGERIES) >= 40


def test_a_set_that_is_graded_again_with_its_workbook_is_only_told_by_the_list(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing else can tell: workbook and set fit each other."""
    graded_again(season, keep_list=False)
    capsys.readouterr()
    assert 0 == main(["verify", str(season / "out"), "--workbooks", str(season / "kept")])
    assert "set 2 that was written of this batch, revision 2" in capsys.readouterr().out


ROWS = [[GOOD], [FLAT, CRACKED], [UNKNOWN, BAD_ROW], [GOOD, FLAT, CRACKED, UNKNOWN], [CRACKED] * 1]
CHOICES = [
    (rows, paper, jurisdiction, order)
    for rows, paper, jurisdiction, order in product(
        range(len(ROWS)), ("a4", "letter"), ("EU", "US"), ("", "--month-first")
    )
]


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Sets of many kinds in one folder, a user's own files beside some."""
    root = tmp_path_factory.mktemp("untouched")
    (root / "kept").mkdir()
    for number, (rows, paper, jurisdiction, order) in enumerate(CHOICES):
        about = {**BATCH, "Batch": f"U-{number}", "Jurisdiction": jurisdiction}
        book = write_workbook(root / "kept" / f"U-{number}.xlsx", ROWS[rows], batch=about)
        options = ["--out", str(root / "out"), "--paper", paper, "--quiet", *([order] if order else [])]
        assert main(["grade", str(book), *options]) in (0, 1)
    return root


def test_of_forty_untouched_sets_nothing_is_named(
    untouched: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert len(CHOICES) >= 40
    assert (0, "") == verified(untouched, capsys)


def test_of_forty_sets_packed_by_another_library_nothing_is_named(
    untouched: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As where another machine wrote them, its digests, seals and list with them."""
    season = Path(shutil.copytree(untouched, tmp_path / "season"))
    compressobj = zlib.compressobj

    def other(level: int = -1, *more: int) -> object:
        return compressobj(1, *more)

    shutil.rmtree(season / "out")
    zlib.compressobj = other  # type: ignore[assignment]  # as another library would
    try:
        for number, (_, paper, _, order) in enumerate(CHOICES):
            book = season / "kept" / f"U-{number}.xlsx"
            options = ["--out", str(season / "out"), "--paper", paper, "--quiet", *([order] if order else [])]
            assert main(["grade", str(book), *options]) in (0, 1)
    finally:
        zlib.compressobj = compressobj
    capsys.readouterr()
    code = main(["verify", str(season / "out"), "--workbooks", str(season / "kept")])
    printed = capsys.readouterr().out
    assert (0, 0) == (code, printed.count("differs") + printed.count("cannot be checked")), printed[:2000]
    assert printed.count("packed differently") >= 3 * len(CHOICES)
