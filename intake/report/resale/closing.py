"""What stands behind the list, and behind the sheets: rules, cautions, and the texts that did not fit."""

from collections.abc import Sequence
from itertools import groupby

from intake.model.result import BatchResult
from intake.report.drawing.blocks import RowLook, line_of, place_row, side_by_side, stack
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import SMALL, STRONG, TEXT, Clauses
from intake.report.drawing.typesetter import MISSING_SIGN
from intake.report.resale.condition_sheet import SheetNote

_RULES = "Rules about resale"
_NOTES = "Notes"
_NOTES_TOLD = "Whole texts of the condition sheets that had no room for them."
_NUMBER_WIDTH = 18.0
_HEADING_HEIGHT = 36.0
"""Of a section's heading with the space above it, at most."""
_LOOK = RowLook(above=3, below=4, rule_width=0.4)


class ResaleClosing:
    """Sets and places the closing sections."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses

    def place_rules(self, flow: Flow, result: BatchResult) -> None:
        """Place what the jurisdiction says of resale; nothing where nothing is resold."""
        if not result.compliance.resale:
            return
        self._clauses.section(flow, _RULES)
        with self._clauses.continued(flow, _RULES):
            for one in result.compliance.resale:
                self._clauses.statement(flow, one)

    def cautions(self, texts: Sequence[str]) -> Block:
        """Return the cautions as one block, so that they stay together."""
        return stack([self._caution(number, text) for number, text in enumerate(texts, start=1)])

    def fits(self, flow: Flow, cautions: Block) -> bool:
        """Say whether the cautions with their heading fit on this page."""
        return flow.room >= cautions.height + _HEADING_HEIGHT

    def place_cautions(self, flow: Flow, cautions: Block) -> None:
        """Place the cautions under their heading."""
        self._clauses.section(flow, "Cautions")
        flow.place(cautions)

    def place_notes(self, flow: Flow, notes: Sequence[SheetNote]) -> None:
        """Place the texts that did not fit, and say so where signs could not be printed."""
        if notes:
            self._clauses.section(flow, _NOTES, _NOTES_TOLD)
            with self._clauses.continued(flow, _NOTES):
                for (number, tag), ones in groupby(notes, key=lambda note: (note.number, note.tag)):
                    lines = self._clauses.lines(f"Sheet {number}: {tag}", STRONG)
                    for one in ones:
                        lines += self._clauses.lines(f"{one.label}: {one.text}", TEXT)
                    place_row(flow, [[(0.0, lines)]], look=_LOOK)
        if self._clauses.setter.replaced:
            flow.space(6)
            text = f"Characters that could not be printed are shown as {MISSING_SIGN}."
            flow.place(stack(self._clauses.lines(text, SMALL)))

    def _caution(self, number: int, text: str) -> Block:
        lines = self._clauses.lines(text, TEXT, width=self._clauses.width - _NUMBER_WIDTH)
        words = [(0.0, line_of(TEXT, (0.0, str(number)))), (_NUMBER_WIDTH, stack(lines))]
        return stack([side_by_side(words), Block(3, ())])
