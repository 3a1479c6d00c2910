"""What follows the batteries: limits of a grade, warnings, handling, findings, cautions, sign-off."""

from collections.abc import Sequence

from intake.model.compliance import HandlingNote, Statement
from intake.model.finding import Finding
from intake.model.result import BatchResult
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.kept_together import with_units_kept
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import GREY, RULE, SLATE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import MISSING_SIGN, Style, Typesetter
from intake.report.words.charge_and_remarks import finding_in_words
from intake.report.words.wording import load_wording

_HEADING = Style(14, Face.BOLD, SLATE)
_TITLE = Style(9.5, Face.BOLD)
_TEXT = Style(8.5)
_STRONG = Style(8.5, Face.BOLD)
_SMALL = Style(7, colour=GREY)
_PLAIN = RowLook(above=2, below=3, rule_width=0)
_RULED = RowLook(above=3, below=4, rule_width=0.4)
_BULLET = 10.0
_PLACE_WIDTH = 120.0
_SIGN_OFF = ("Graded by", "Date", "Signature")
_SIGN_HEIGHT = 34.0
_BESIDE_SIGN_OFF = 4
"""So many cautions stay on the page with the lines to sign, which never stand alone."""


class Notes:
    """Sets and places the closing sections."""

    def __init__(self, setter: Typesetter, width: float) -> None:
        self._setter = setter
        self._width = width

    def place(self, flow: Flow, result: BatchResult) -> None:
        """Place all sections; those without content are left out, but for the findings."""
        compliance = result.compliance
        self._limits_of_a_grade(flow)
        self._load_warnings(flow, compliance.load_warnings)
        self._handling(flow, compliance.handling_notes)
        self._findings(flow, result.findings)
        self._cautions(flow, compliance.cautions)
        self._sign_off(flow)

    def heading(self, flow: Flow, title: str) -> None:
        """Hold a section's heading back for what follows it."""
        flow.space(14)
        block = stack([*text_lines(self._setter, title, _HEADING, self._width), Block(2, ())])
        flow.keep_with_next(Block(block.height, block.placed, outline=(title, 0)))

    def _limits_of_a_grade(self, flow: Flow) -> None:
        self.heading(flow, "What a grade can not show")
        for entry in load_wording().limits_of_a_grade:
            self._point(flow, entry.text, entry.source)

    def _load_warnings(self, flow: Flow, warnings: Sequence[Statement]) -> None:
        if not warnings:
            return
        self.heading(flow, "Before this pallet is moved or loaded")
        for one in warnings:
            lines = self._lines(one.heading, _STRONG)
            lines += self._lines(one.text or "Confirm locally.", _TEXT)
            source = "; ".join(part for part in (one.source, one.checked) if part)
            lines += self._lines(source, _SMALL) if source else []
            place_row(flow, [[(0.0, lines)]], look=_PLAIN)

    def _handling(self, flow: Flow, notes: Sequence[HandlingNote]) -> None:
        if not notes:
            return
        self.heading(flow, "Handling")
        for note in notes:
            lines = self._lines(note.title, _TITLE) + self._lines(f"For: {note.applies_to}", _SMALL)
            for text in note.lines:
                lines += self._bulleted(text)
            lines += self._lines(note.source, _SMALL)
            place_row(flow, [[(0.0, lines)]], look=_PLAIN)

    def _findings(self, flow: Flow, findings: Sequence[Finding]) -> None:
        self.heading(flow, f"Findings of the check ({len(findings)})")
        if not findings:
            flow.place(stack(self._lines("The workbook was read without a remark.", _TEXT)))
        for one in findings:
            place_row(flow, [self._finding(one)], look=_RULED)

    def _finding(self, one: Finding) -> Band:
        where = one.place + (f", {one.tag}" if one.tag else "")
        what = [
            *self._lines(one_line(finding_in_words(one)), _TEXT, x=_PLACE_WIDTH),
            *self._lines(one_line(one.hint), _SMALL, x=_PLACE_WIDTH),
        ]
        place = [
            *text_lines(self._setter, one.severity.value, _STRONG, _PLACE_WIDTH - 8),
            *text_lines(self._setter, where, _SMALL, _PLACE_WIDTH - 8),
        ]
        return [(0.0, place), (0.0, what)]

    def _cautions(self, flow: Flow, cautions: Sequence[str]) -> None:
        self.heading(flow, "Cautions")
        for text in cautions[:-_BESIDE_SIGN_OFF]:
            self._point(flow, text, "")
        replaced = self._setter.replaced
        if replaced:
            signs = "character" if replaced == 1 else "characters"
            text = f"{replaced} {signs} could not be printed; shown as {MISSING_SIGN}."
            place_row(flow, [[(0.0, self._lines(text, _TEXT))]], look=_PLAIN)
        for text in cautions[-_BESIDE_SIGN_OFF:]:
            around = (Block(_PLAIN.above, ()), Block(_PLAIN.below, ()))
            flow.keep_with_next(stack([around[0], *self._bulleted(text), around[1]]))

    def _sign_off(self, flow: Flow) -> None:
        self.heading(flow, "Sign-off")
        column = self._width / len(_SIGN_OFF)
        line = LineMark(0, _SIGN_HEIGHT - 12, column - 14, _SIGN_HEIGHT - 12, 0.8, RULE)
        cells = [
            (
                place * column,
                Block(
                    _SIGN_HEIGHT,
                    [
                        (line, 0.0, 0.0),
                        *(
                            (mark, dx, dy + _SIGN_HEIGHT - 11)
                            for mark, dx, dy in line_of(_SMALL, (0.0, label)).placed
                        ),
                    ],
                ),
            )
            for place, label in enumerate(_SIGN_OFF)
        ]
        flow.place(side_by_side(cells))

    def _point(self, flow: Flow, text: str, source: str) -> None:
        lines = self._bulleted(text)
        if source:
            lines += self._lines(source, _SMALL, x=_BULLET)
        place_row(flow, [[(0.0, lines)]], look=_PLAIN)

    def _bulleted(self, text: str) -> list[Block]:
        lines = self._lines(text, _TEXT, x=_BULLET)
        first = side_by_side([(0.0, line_of(_TEXT, (0.0, "–"))), (0.0, lines[0])])
        return [first, *lines[1:]]

    def _lines(self, text: str, style: Style, *, x: float = 0.0) -> list[Block]:
        return text_lines(self._setter, with_units_kept(text), style, self._width - x, x=x)
