"""What the reading library makes of everything in a workbook but the rows of its sheets.

The library is imported when the first workbook is read, so that commands that read none stay quick.
"""

from collections.abc import Callable, Iterator
from io import BytesIO
from typing import IO, Any, NamedTuple


class SheetPlace(NamedTuple):
    """A sheet as the workbook lists it."""

    name: str
    part: str
    """Where in the archive it stands."""
    is_chart: bool


class OpenBook(NamedTuple):
    """A workbook whose rows can now be read."""

    sheets: tuple[SheetPlace, ...]
    """Those whose part is in the archive."""
    open_part: Callable[[str], IO[bytes]]
    """Give the bytes of a part."""
    parser_settings: dict[str, Any]
    """Texts, dates and what else the library's parser of a sheet wants to know."""
    number_formats: "NumberFormats"


class NumberFormats:
    """The number format of each cell style."""

    def __init__(self, workbook: Any) -> None:
        self._styles = workbook._cell_styles
        self._own = workbook._number_formats
        self._known: dict[int, str] = {}

    def of(self, style: int) -> str:
        """Return a style's number format.

        Raises
        ------
        IndexError
            the workbook has no such style.
        """
        if style not in self._known:
            self._known[style] = self._look_up(style)
        return self._known[style]

    def _look_up(self, style: int) -> str:
        from openpyxl.styles.numbers import BUILTIN_FORMATS, BUILTIN_FORMATS_MAX_SIZE

        if style < 0:
            raise IndexError(style)
        number: int = self._styles[style].numFmtId
        if number < BUILTIN_FORMATS_MAX_SIZE:
            return BUILTIN_FORMATS.get(number, "General")
        return str(self._own[number - BUILTIN_FORMATS_MAX_SIZE])


def open_book(content: bytes) -> OpenBook:
    """Read texts, styles and the list of sheets of a guarded workbook; an exception: it is damaged."""
    from openpyxl.reader.excel import ExcelReader

    class Reader(ExcelReader):
        """Leaves the sheets alone: the library would look through each of them for its size."""

        def read_worksheets(self) -> None:
            pass

    reader: Any = Reader(BytesIO(content), read_only=True, data_only=True, keep_links=False)
    reader.read()
    return OpenBook(
        tuple(_places(reader)),
        reader.archive.open,
        {
            "shared_strings": reader.shared_strings,
            "data_only": True,
            "epoch": reader.wb.epoch,
            "date_formats": reader.wb._date_formats,
            "timedelta_formats": reader.wb._timedelta_formats,
        },
        NumberFormats(reader.wb),
    )


def _places(reader: Any) -> Iterator[SheetPlace]:
    for sheet, relation in reader.parser.find_sheets():
        if relation.target in reader.valid_files:
            yield SheetPlace(sheet.name, relation.target, "chartsheet" in relation.Type)
