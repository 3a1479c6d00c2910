"""A worksheet with marks laid over its cells: the cells themselves stay byte for byte as they are.

A mark is a conditional format that holds as long as the cell holds what was found in it, so it clears when
the cell is mended. It covers empty cells as well, changes no format that the person chose, and is known
again by its formula after any spreadsheet program has saved the copy.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple
from xml.parsers.expat import ParserCreate

from intake.model.finding import Severity
from intake.workbook.marked.package import DOCUMENT_RELATIONS
from intake.workbook.marked.part_text import xml_text
from intake.workbook.reading.limits import READ_BLOCK_BYTES
from intake.workbook.reading.sheet_scan import SPREADSHEET

_SIGN = b"intake mark"
_FORMULA = f'N("{_SIGN.decode()}")=0'
_RULE_PRIORITY = re.compile(rb"""(<(?:\w+:)?cfRule\b[^>]*?\spriority=["'])(\d+)""")
_SELECTED = re.compile(rb"""\stabSelected=["']\w+["']""")
_KEY = re.compile(rb"""\s(?:\w+:)?id=["']([^"']+)["']""")
_ROWS = re.compile(rb"<((?:[\w.-]+:)?sheetData)(?:\s[^>]*)?>")
_CELLS_PER_RULE = 500
_OWN_RULES_MOST = 1_000
"""Marks of one severity that clear by themselves: each is a rule of its own to be worked out."""
_BEFORE_MARKS = frozenset(
    {
        *("sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetCalcPr"),
        *("sheetProtection", "protectedRanges", "scenarios", "autoFilter", "sortState", "dataConsolidate"),
        *("customSheetViews", "mergeCells", "phoneticPr"),
    }
)
_BEFORE_NOTES = _BEFORE_MARKS | {
    *("conditionalFormatting", "dataValidations", "hyperlinks", "printOptions", "pageMargins", "pageSetup"),
    *("headerFooter", "rowBreaks", "colBreaks", "customProperties", "cellWatches", "ignoredErrors"),
    *("smartTags", "drawing"),
}


class Piece(NamedTuple):
    """One element directly inside a worksheet, by its place in the part's bytes."""

    name: str
    start: int
    end: int


class SheetText:
    """The bytes of a worksheet, and where its pieces stand."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        self.pieces: list[Piece] = []
        self._end = 0
        self._scan()
        if self._end == 0:
            raise ValueError("a worksheet without an end")

    def _scan(self) -> None:
        depth, begun = 0, ("", 0)
        parser = ParserCreate(namespace_separator=" ")
        rows_start, rows_end = _rows(self.content)

        def place() -> int:
            at = parser.CurrentByteIndex
            return at if at < rows_start else at + rows_end - rows_start

        def start(name: str, _attributes: dict[str, str]) -> None:
            nonlocal depth, begun
            depth += 1
            if depth == 2:
                begun = (name.rsplit(" ", 1)[-1], place())

        def end(_name: str) -> None:
            nonlocal depth
            depth -= 1
            if depth == 1:
                self.pieces.append(Piece(*begun, self.content.index(b">", place()) + 1))
            elif depth == 0 and self.content.startswith(b"</", place()):
                self._end = place()

        parser.StartElementHandler, parser.EndElementHandler = start, end
        for begin, end_ in ((0, rows_start), (rows_end, len(self.content))):
            for first in range(begin, end_, READ_BLOCK_BYTES):  # the parser copies what it is given
                parser.Parse(self.content[first : min(first + READ_BLOCK_BYTES, end_)], False)
        parser.Parse(b"", True)

    def inside(self, piece: Piece) -> bytes:
        """Return the bytes of a piece."""
        return self.content[piece.start : piece.end]

    def place_after(self, names: frozenset[str]) -> int:
        """Return where an element belongs that comes after the named ones."""
        return next((one.start for one in self.pieces if one.name not in names), self._end)

    @property
    def is_marked(self) -> bool:
        """Whether an earlier run laid marks over it."""
        return any(_is_mark(self, one) for one in self.pieces)

    @property
    def notes_key(self) -> str:
        """The key of the arrow to the drawing of its notes; empty if there is none."""
        drawings = (self.inside(one) for one in self.pieces if one.name == "legacyDrawing")
        return next((match[1].decode() for one in drawings if (match := _KEY.search(one))), "")


def _rows(content: bytes) -> tuple[int, int]:
    """Return where the rows begin and end, so that a million of them need not be looked through again.

    Nothing is left out where a comment or a piece of raw text could hold what looks like their ends.
    """
    begin = _ROWS.search(content)
    if begin is None or begin[0].endswith(b"/>") or b"<!" in content:
        return len(content), len(content)
    end = content.rfind(b"</" + begin[1] + b">")
    return (begin.end(), end) if end >= begin.end() else (len(content), len(content))


def _is_mark(sheet: SheetText, piece: Piece) -> bool:
    return piece.name == "conditionalFormatting" and _SIGN in sheet.inside(piece)


def with_marks(
    sheet: SheetText,
    refs: Mapping[Severity, Sequence[str]],
    looks: Mapping[Severity, int],
    *,
    conditions: Mapping[str, str] | None = None,
    new_notes_key: str = "",
) -> bytes:
    """Return the worksheet with these cells marked and no others, and as one that is not the open sheet.

    Parameters
    ----------
    refs
        names of the cells, like ``F12``, each of them once.
    conditions
        formula by cell that holds as long as the mark is to be seen; without one it stays.
    new_notes_key
        the arrow to a drawing of notes, where the worksheet had none.
    """
    edits: list[tuple[int, int, bytes]] = []
    own_rules = []
    for piece in sheet.pieces:
        if piece.name == "sheetViews":
            edits.append((piece.start, piece.end, _SELECTED.sub(b"", sheet.inside(piece))))
        elif _is_mark(sheet, piece):
            edits.append((piece.start, piece.end, b""))
        elif piece.name in ("conditionalFormatting", "extLst"):
            own_rules.append(piece)
    if any(refs.values()):
        edits += [(one.start, one.end, text) for one, text in _behind_the_marks(sheet, own_rules)]
    place = sheet.place_after(_BEFORE_MARKS)
    edits.append((place, place, "".join(_rules(refs, looks, conditions or {})).encode()))
    if new_notes_key:
        place = sheet.place_after(_BEFORE_NOTES)
        drawing = (
            f'<legacyDrawing xmlns="{SPREADSHEET}" xmlns:r="{DOCUMENT_RELATIONS}" r:id="{new_notes_key}"/>'
        )
        edits.append((place, place, drawing.encode()))
    return _edited(sheet.content, edits)


def _behind_the_marks(sheet: SheetText, pieces: list[Piece]) -> list[tuple[Piece, bytes]]:
    """Let the workbook's own rules come after the marks; where they do already, nothing changes."""
    texts = [sheet.inside(one) for one in pieces]
    first = min((int(rule[2]) for text in texts for rule in _RULE_PRIORITY.finditer(text)), default=0)
    if not 0 < first <= len(Severity):
        return []

    def later(rule: re.Match[bytes]) -> bytes:
        return rule[1] + str(int(rule[2]) + len(Severity)).encode()

    return [(one, _RULE_PRIORITY.sub(later, text)) for one, text in zip(pieces, texts, strict=True)]


def _rules(
    refs: Mapping[Severity, Sequence[str]], looks: Mapping[Severity, int], conditions: Mapping[str, str]
) -> Iterable[str]:
    for priority, severity in enumerate(Severity, start=1):
        cells = refs.get(severity, ())
        own = [one for one in cells if conditions.get(one)][:_OWN_RULES_MOST]
        for cell in own:
            yield _rule(cell, f"AND({_FORMULA},{conditions[cell]})", looks[severity], priority)
        known = set(own)
        others = [one for one in cells if one not in known]
        for first in range(0, len(others), _CELLS_PER_RULE):
            yield _rule(
                " ".join(others[first : first + _CELLS_PER_RULE]), _FORMULA, looks[severity], priority
            )


def _rule(area: str, formula: str, look: int, priority: int) -> str:
    return (
        f'<conditionalFormatting xmlns="{SPREADSHEET}" sqref="{area}">'
        f'<cfRule type="expression" dxfId="{look}" priority="{priority}">'
        f"<formula>{xml_text(formula)}</formula></cfRule></conditionalFormatting>"
    )


def _edited(content: bytes, edits: list[tuple[int, int, bytes]]) -> bytes:
    pieces, done = [], 0
    for start, end, text in sorted(edits, key=lambda one: one[:2]):
        pieces += [content[done:start], text]
        done = end
    return b"".join([*pieces, content[done:]])
