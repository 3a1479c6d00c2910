"""A workbook of any length: the library keeps one row of each sheet in memory and the others on the disk."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZipFile

from xlsxwriter.exceptions import FileCreateError
from xlsxwriter.workbook import Workbook

_MODE = 0o600 << 16
"""Rights of a part, as the archive's directory holds them."""


class _Packed(BytesIO):
    """The packed workbook, in memory: on a full disk a library's archive fails once more when it is dropped.

    It is dropped at any time after an error, so this stays open for it.
    """

    def close(self) -> None:
        """Do nothing."""


@contextmanager
def new_book(path: Path) -> Iterator[Workbook]:
    """Write a workbook; the rows of each sheet have to be written from the top down.

    The same content gives the same bytes on any disk and day. Until the workbook is whole, the rows stand in
    files beside ``path``.

    Raises
    ------
    OSError
        The file, or what is kept beside it, cannot be written.
    """
    content = _Packed()
    with TemporaryDirectory(prefix="rows-", dir=path.parent) as kept:
        book = Workbook(content, {"constant_memory": True, "tmpdir": kept})
        try:
            yield book
            book.close()
        except FileCreateError as failed:
            raise _cause(failed) from None
        finally:
            _let_go(book)
    _make_alike(content)
    path.write_bytes(content.getbuffer())


def _cause(failed: FileCreateError) -> Exception:
    """Return the system's own error, with its code: the library's says only that there was one."""
    cause = failed.args[0]
    return cause if isinstance(cause, OSError) else failed


def _let_go(book: Workbook) -> None:
    """Close what a book that failed has open: on a full disk the interpreter would complain at the end."""
    for sheet in book.worksheets():
        for file in (sheet.row_data_fh, sheet.fh):
            with suppress(OSError):
                file.close()


def _make_alike(content: BytesIO) -> None:
    """Give each part the same rights: the library takes over those of its files, which depend on the disk."""
    with ZipFile(content, "a") as archive:
        for part in archive.infolist():
            part.external_attr = _MODE
        archive.comment = b""  # setting it has the directory written anew
