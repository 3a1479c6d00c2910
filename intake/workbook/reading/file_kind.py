"""From a path to the bytes of a file that looks like a workbook, or to one sentence why not."""

import stat
from pathlib import Path

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading.limits import FILE_BYTES_MOST, MIB

SAVE_AS_XLSX = "Open it in a spreadsheet program and save it as an ordinary .xlsx workbook."
"""What to do about most files of another kind."""
PROTECTED = ("The workbook is protected by a password.", "Open it, take the password off, and save it again.")
NO_WORKSHEET = ("The workbook holds no worksheet that can be read.", SAVE_AS_XLSX)

_ZIP = (b"PK\x03\x04", b"PK\x05\x06")
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED_PACKAGE = "EncryptedPackage".encode("utf-16-le")
_TEXT_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")


def read_content(path: Path) -> bytes:
    """Return the bytes of a regular file of a size that is read.

    Raises
    ------
    WorkbookRefused
        there is no such file, it is no regular file, it is too large, or the system refuses to read it.
    """
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise WorkbookRefused("This is a folder, not a workbook.", "Name a workbook file inside it.")
        if not stat.S_ISREG(status.st_mode):
            raise WorkbookRefused(
                "This is a pipe or a device, not a file.", "Save the workbook as a file and name that."
            )
        _refuse_large(status.st_size)
        with path.open("rb") as file:
            content = file.read(FILE_BYTES_MOST + 1)
    except FileNotFoundError as error:
        raise WorkbookRefused("There is no such file.", "Check the name and the folder.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the system does not accept its name"
        raise WorkbookRefused(
            f"The file cannot be opened: {reason}.", "Close it elsewhere and check that you may read it."
        ) from error
    _refuse_large(len(content))
    return content


def _refuse_large(size: int) -> None:
    if size > FILE_BYTES_MOST:
        raise WorkbookRefused(
            f"The file is {size / MIB:.1f} MiB, and at most {FILE_BYTES_MOST // MIB} MiB are read.",
            "Take out pictures and sheets that do not belong to the intake, or split the batch.",
        )


def refuse_other_kinds(content: bytes) -> None:
    """Return if the bytes start as an .xlsx file does, whatever the file's name says.

    Raises
    ------
    WorkbookRefused
        they do not; the likely kind is named.
    """
    if content.startswith(_ZIP):
        return
    raise WorkbookRefused(*_other_kind(content))


def _other_kind(content: bytes) -> tuple[str, str]:
    """Return message and hint for a file that is no archive."""
    start = content[:4096].lstrip()
    if not content:
        return "The file is empty: it holds zero bytes.", "Copy or download it once more."
    if content.startswith(_OLE):
        if _ENCRYPTED_PACKAGE in content:
            return PROTECTED
        return "This is an old .xls workbook or another old office file, not an .xlsx workbook.", SAVE_AS_XLSX
    if start.startswith(b"%PDF"):
        return "This is a PDF document, not a workbook.", "Name the workbook that it was made from."
    if start.startswith(b"<"):
        return "This is a web page or an XML file, not an .xlsx workbook.", SAVE_AS_XLSX
    if content.startswith(_TEXT_MARKS) or _reads_as_text(content[:4096]):
        return "This is a text or .csv file, not an .xlsx workbook.", SAVE_AS_XLSX
    return "This is not an .xlsx workbook: its first bytes are those of another kind of file.", SAVE_AS_XLSX


def _reads_as_text(start: bytes) -> bool:
    return all(byte >= 0x20 or byte in b"\t\r\n\f" for byte in start)
