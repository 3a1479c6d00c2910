"""What stands behind the list, and behind the sheets: rules, cautions, and the texts that did not fit."""

from collections.abc import Sequence
from itertools import groupby

from intake.model.result import BatchResult
from intake.report.clauses import SMALL, STRONG, TEXT, Clauses
from intake.report.condition_sheet import SheetNote
from intake.report.flow import Block, Flow
from intake.report.setting import RowLook, line_of, place_row, side_by_side, stack
from intake.report.typesetter import MISSING_SIGN
from intake.report.wording import load_wording

_RULES = "Rules about resale"
_LIMITS = "What a voltage can not show"
_NOTES = "Notes"
_NOTES_TOLD = "Whole texts of the condition sheets that had no room for them."
_NUMBER_WIDTH = 18.0
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

    def place_limits(self, flow: Flow) -> None:
        """Place what the evidence of a grade can not show."""
        self._clauses.section(flow, _LIMITS)
        with self._clauses.continued(flow, _LIMITS):
            for one in load_wording().limits_of_a_grade:
                lines = [*self._clauses.lines(one.text, TEXT), *self._clauses.lines(one.source, SMALL)]
                place_row(flow, [[(0.0, lines)]], look=RowLook(above=2, below=2, rule_width=0))

    def place_cautions(self, flow: Flow, cautions: Sequence[str]) -> None:
        """Place the cautions; they stay together."""
        self._clauses.section(flow, "Cautions")
        flow.place(stack([self._caution(number, text) for number, text in enumerate(cautions, start=1)]))

    def place_notes(self, flow: Flow, notes: Sequence[SheetNote]) -> None:
        """Place the texts that did not fit, and say how many signs could not be printed."""
        if notes:
            self._clauses.section(flow, _NOTES, _NOTES_TOLD)
            with self._clauses.continued(flow, _NOTES):
                for (number, tag), ones in groupby(notes, key=lambda note: (note.number, note.tag)):
                    lines = self._clauses.lines(f"Sheet {number}: {tag}", STRONG)
                    for one in ones:
                        lines += self._clauses.lines(f"{one.label}: {one.text}", TEXT)
                    place_row(flow, [[(0.0, lines)]], look=_LOOK)
        replaced = self._clauses.setter.replaced
        if replaced:
            signs = "character" if replaced == 1 else "characters"
            flow.space(6)
            text = f"{replaced} {signs} could not be printed; shown as {MISSING_SIGN}."
            flow.place(stack(self._clauses.lines(text, SMALL)))

    def _caution(self, number: int, text: str) -> Block:
        lines = self._clauses.lines(text, TEXT, width=self._clauses.width - _NUMBER_WIDTH)
        words = [(0.0, line_of(TEXT, (0.0, str(number)))), (_NUMBER_WIDTH, stack(lines))]
        return stack([side_by_side(words), Block(3, ())])
