"""The guard before the reading library: an archive looked through part by part, or refused."""

from collections.abc import Iterator, Mapping
from io import BytesIO
from itertools import pairwise
from typing import NamedTuple
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading.file_kind import NO_WORKSHEET, PROTECTED, SAVE_AS_XLSX
from intake.workbook.reading.limits import (
    MEMBERS_MOST,
    MIB,
    RATIO_FROM_BYTES,
    RATIO_MOST,
    READ_BLOCK_BYTES,
    SHEET_BYTES_MOST,
    SHEETS_MOST,
    TAGS_FROM_BYTES,
    TAGS_MOST,
    TOTAL_BYTES_MOST,
)
from intake.workbook.reading.part_scan import PartFacts, scan_part
from intake.workbook.reading.sheet_of_part import sheet_of_part
from intake.workbook.reading.sheet_scan import SAVE_AGAIN, SPLIT

_DAMAGED = "The file is damaged or was copied only in part."
_COPY_AGAIN = "Copy or download it once more, or open and save it in a spreadsheet program."
_CENTRAL_ENTRY = b"PK\x01\x02"
_ENCRYPTED_FLAGS = 0x1 | 0x40 | 0x2000
"""Bits of a member's flags: encrypted, strongly encrypted, hidden header."""
_LOCAL_HEADER_BYTES = 30


class GuardedArchive(NamedTuple):
    """An archive that passed: what each of its XML parts is."""

    parts: Mapping[str, PartFacts] = {}
    """By the part's name in the archive."""

    @property
    def sheet_lists(self) -> tuple[tuple[str, ...], ...]:
        """The sheet names that each workbook part lists."""
        return tuple(part.sheet_names for part in self.parts.values() if part.sheet_names)


def guard_archive(content: bytes) -> GuardedArchive:
    """Look through the whole of an .xlsx file that is held in memory, reading every part once.

    Raises
    ------
    WorkbookRefused
        the archive is damaged, protected, too large, made to mislead, or no workbook.
    """
    if content.count(_CENTRAL_ENTRY) > MEMBERS_MOST:
        raise WorkbookRefused(
            f"The file holds over {MEMBERS_MOST:,} parts, more than any intake workbook.", SAVE_AS_XLSX
        )
    try:
        with ZipFile(BytesIO(content)) as archive:
            members = archive.infolist()
            _refuse_other_archives(frozenset(archive.namelist()))
            _refuse_members(members, end=archive.start_dir)
            _refuse_many_tags(archive, members)
            guarded = GuardedArchive({one.filename: facts for one, facts in _scan(archive, members) if facts})
    except WorkbookRefused:
        raise
    except Exception as error:
        raise WorkbookRefused(_DAMAGED, _COPY_AGAIN) from error
    _refuse_sheet_count(guarded)
    return guarded


def _refuse_other_archives(names: frozenset[str]) -> None:
    """Name the likely kind of an archive that is no .xlsx workbook."""
    for kind, mark in (
        ("a text document", "word/document.xml"),
        ("a presentation", "ppt/presentation.xml"),
        ("a binary .xlsb workbook", "xl/workbook.bin"),
        ("an OpenDocument file such as .ods", "content.xml"),
    ):
        if mark in names:
            raise WorkbookRefused(f"This is {kind}, not an .xlsx workbook.", SAVE_AS_XLSX)
    if "[Content_Types].xml" not in names:
        raise WorkbookRefused("This is a zip archive, but not an .xlsx workbook.", SAVE_AS_XLSX)


def _refuse_members(members: list[ZipInfo], *, end: int) -> None:
    seen: set[str] = set()
    for one in members:
        _refuse_member(one)
        folded = one.filename.casefold()
        if folded in seen:
            raise WorkbookRefused(
                "The file is damaged: a part is stored in it twice under one name.", SAVE_AGAIN
            )
        seen.add(folded)
    total = sum(one.file_size for one in members)
    if total > TOTAL_BYTES_MOST:
        raise WorkbookRefused(
            f"The workbook unpacks to {total / MIB:.0f} MiB,"
            f" and at most {TOTAL_BYTES_MOST // MIB} MiB are read.",
            SPLIT,
        )
    _refuse_overlap(members, end=end)


def _refuse_member(one: ZipInfo) -> None:
    if one.flag_bits & _ENCRYPTED_FLAGS:
        raise WorkbookRefused(*PROTECTED)
    if one.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
        raise WorkbookRefused("The file is packed in a way that spreadsheet programs do not use.", SAVE_AGAIN)
    if _leads_elsewhere(one.orig_filename):
        raise WorkbookRefused("A part of the file has a name that leads out of the file.", SAVE_AGAIN)
    if one.file_size > SHEET_BYTES_MOST:
        raise WorkbookRefused(
            f"A part of the workbook unpacks to {one.file_size / MIB:.0f} MiB,"
            f" and at most {SHEET_BYTES_MOST // MIB} MiB are read.",
            SPLIT,
        )
    if one.file_size > RATIO_FROM_BYTES and one.file_size > RATIO_MOST * one.compress_size:
        raise WorkbookRefused(
            f"A part of the file unpacks to over {RATIO_MOST} times its size,"
            " which no filled-in workbook does.",
            "Delete empty or copied rows and sheets, and save the workbook again.",
        )


def _leads_elsewhere(name: str) -> bool:
    if not name or name.startswith("/") or any(sign in name for sign in "\\:"):
        return True
    return ".." in name.split("/") or any(ord(sign) < ord(" ") for sign in name)


def _refuse_overlap(members: list[ZipInfo], *, end: int) -> None:
    spans = sorted(
        (one.header_offset, one.header_offset + _LOCAL_HEADER_BYTES + one.compress_size) for one in members
    )
    starts_later = [(earlier[1], later[0]) for earlier, later in pairwise([*spans, (end, end)])]
    if any(stop > start for stop, start in starts_later):
        raise WorkbookRefused("The file is damaged: parts of it lie over each other.", SAVE_AGAIN)


def _refuse_many_tags(archive: ZipFile, members: list[ZipInfo]) -> None:
    """Refuse in a second what a full look would take many seconds to refuse."""
    for one in members:
        if one.file_size > TAGS_FROM_BYTES:
            tags = sum(block.count(b"<") for block in _blocks(archive, one))
            if tags > TAGS_MOST:
                refusal = WorkbookRefused(
                    f"A part of the workbook holds {tags / 1e6:.1f} million tags,"
                    f" and at most {TAGS_MOST / 1e6:.0f} million are read.",
                    "Delete empty or copied rows and sheets, or split the batch.",
                )
                raise _with_sheet(refusal, archive, one)


def _scan(archive: ZipFile, members: list[ZipInfo]) -> Iterator[tuple[ZipInfo, PartFacts | None]]:
    for one in members:
        try:
            facts = scan_part(one.filename, _blocks(archive, one), unpacked_bytes=one.file_size)
        except WorkbookRefused as refusal:
            raise _with_sheet(refusal, archive, one) from refusal
        yield one, facts


def _with_sheet(refusal: WorkbookRefused, archive: ZipFile, part: ZipInfo) -> WorkbookRefused:
    """Return a refusal that names the sheet it is about, where the part holds one."""
    sheet = sheet_of_part(archive, part.filename)
    return WorkbookRefused(f"{refusal} This is the sheet {sheet!r}.", refusal.hint) if sheet else refusal


def _blocks(archive: ZipFile, member: ZipInfo) -> Iterator[bytes]:
    with archive.open(member) as part:
        while block := part.read(READ_BLOCK_BYTES):
            yield block


def _refuse_sheet_count(guarded: GuardedArchive) -> None:
    count = max((len(names) for names in guarded.sheet_lists), default=0)
    if count == 0:
        raise WorkbookRefused(*NO_WORKSHEET)
    if count > SHEETS_MOST:
        raise WorkbookRefused(
            f"The workbook holds {count} sheets, and at most {SHEETS_MOST} are read.",
            "Delete the sheets that do not belong to the intake.",
        )
