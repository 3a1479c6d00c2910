"""What follows the streams: hazards, the whole consignment, the unresolved, cautions, lines to sign."""

from collections.abc import Sequence

from intake.model.compliance import HandlingNote, Statement
from intake.model.result import BatchResult, GradedBattery
from intake.report.disposal.content import DisposalContent, is_doubtful_lithium
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.handling_flag import handling_flag
from intake.report.drawing.headed_rows import CONTINUED, SMALL, STRONG, TEXT, Clauses
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import SLATE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import MISSING_SIGN, Style
from intake.report.words.battery import chemistry_in_words, mass_in_words
from intake.report.words.form_entries import load_form_entries

_HEAD = Style(7.5, Face.BOLD, SLATE)
_TAG = Style(9.5, Face.BOLD)
_STRONG = Style(8, Face.BOLD)
_RULED = RowLook(above=3, below=4, rule_width=0.4)
_GENERAL = "For the whole consignment"
_HAZARDS = "Hazards and first measures"
_NUMBER_WIDTH = 18.0
_KIND, _STEP = 120.0, 262.0
_DOUBTFUL = "Lithium, or may be, and not known to be intact: never among the intact ones."
_UNRESOLVED_TOLD = (
    "Not in any stream: settle these first. They are in no count and no mass of this sheet, and leave only "
    "once they have a grade."
)


class ClosingSections:
    """Sets and places the closing sections."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter

    def place(self, flow: Flow, result: BatchResult, content: DisposalContent) -> None:
        """Place all sections; with nothing to settle or send away only cautions and lines to sign."""
        compliance = result.compliance
        self._unresolved(flow, content.unresolved)
        if content.parts or content.unresolved:
            self._handling(flow, compliance.handling_notes)
            self._consignment(flow, compliance.general)
        self._cautions(flow, compliance.cautions)
        if content.parts:
            self._evidence(flow)
        self._sign_off(flow)

    def _consignment(self, flow: Flow, statements: Sequence[Statement]) -> None:
        if not statements:
            return
        self._clauses.section(flow, _GENERAL)
        with self._clauses.continued(flow, _GENERAL):
            for one in statements:
                self._clauses.statement(flow, one)

    def _handling(self, flow: Flow, notes: Sequence[HandlingNote]) -> None:
        """Place the notes; the lines that all of them have are said once, at the head."""
        if not notes:
            return
        common = [line for line in notes[0].lines if all(line in note.lines for note in notes)]
        self._clauses.section(flow, _HAZARDS)
        flow.keep_with_next(stack(self._clauses.lines(" ".join(common), STRONG)))
        with self._clauses.continued(flow, _HAZARDS):
            for note in notes:
                lines = [line for line in note.lines if line not in common]
                self._clauses.points(flow, note.title, note.applies_to, lines, note.source)

    def _unresolved(self, flow: Flow, ones: Sequence[GradedBattery]) -> None:
        if not ones:
            return
        self._clauses.section(flow, f"Unresolved batteries ({len(ones)})", _UNRESOLVED_TOLD)
        flow.keep_with_next(self._unresolved_heads())
        title = self._clauses.lines("Unresolved batteries, continued", CONTINUED)
        with flow.repeating(stack([*title, Block(2, ()), self._unresolved_heads()])):
            for one in ones:
                place_row(flow, [self._unresolved_one(one)], look=_RULED)

    def _unresolved_heads(self) -> Block:
        heads = line_of(_HEAD, (0.0, "Tag, position"), (_KIND, "What it is"), (_STEP, "Next step"))
        line = LineMark(0, 2, self._clauses.width, 2, 0.9, SLATE)
        return stack([heads, Block(3, ((line, 0.0, 0.0),))])

    def _unresolved_one(self, one: GradedBattery) -> Band:
        battery = one.battery
        position = f"position {one_line(battery.position)}" if battery.position else "position not given"
        tag = text_lines(self._setter, battery.tag, _TAG, _KIND - 8)
        tag += text_lines(self._setter, position, SMALL, _KIND - 8)
        case = f"case {battery.case or 'not read'}"
        what = ", ".join((chemistry_in_words(battery.chemistry), mass_in_words(one), case))
        kind = text_lines(self._setter, what, TEXT, _STEP - _KIND - 10)
        kind += handling_flag(self._setter, one.verdict.handling)
        room = self._clauses.width - _STEP
        step = text_lines(self._setter, _DOUBTFUL, _STRONG, room) if is_doubtful_lithium(one) else []
        step += text_lines(self._setter, one.verdict.next_step, TEXT, room)
        return [(0.0, tag), (_KIND, kind), (_STEP, step)]

    def _cautions(self, flow: Flow, cautions: Sequence[str]) -> None:
        """Hold the cautions back for the lines to sign: whoever signs has them before the eyes."""
        self._clauses.section(flow, "Cautions")
        texts = list(cautions)
        replaced = self._setter.replaced
        if replaced:
            signs = "character" if replaced == 1 else "characters"
            texts.append(f"{replaced} {signs} could not be printed; shown as {MISSING_SIGN}.")
        for number, text in enumerate(texts, start=1):
            flow.keep_with_next(self._caution(number, text))

    def _caution(self, number: int, text: str) -> Block:
        lines = self._clauses.lines(text, TEXT, width=self._clauses.width - _NUMBER_WIDTH)
        words = [(0.0, line_of(TEXT, (0.0, str(number)))), (_NUMBER_WIDTH, stack(lines))]
        return stack([Block(2, ()), side_by_side(words), Block(2, ())])

    def _evidence(self, flow: Flow) -> None:
        """Hold the index back for the lines to sign."""
        self._clauses.section(flow, "Index of evidence", "Reference, and where it is kept.")
        width = self._clauses.column_width(2)
        labels = (*load_form_entries().evidence, "Keep until")
        lines = [self._clauses.to_fill(label, width=width) for label in labels]
        for row in self._clauses.in_columns(lines, columns=2):
            flow.keep_with_next(row)

    def _sign_off(self, flow: Flow) -> None:
        self._clauses.section(flow, "Sign-off")
        width = self._clauses.width
        for label in load_form_entries().sign_off:
            name = self._clauses.to_fill(f"{label}: name", width=0.55 * width)
            day = self._clauses.to_fill("Date", width=0.16 * width)
            signature = self._clauses.to_fill("Signature", width=0.25 * width)
            row = side_by_side([(0.0, name), (0.57 * width, day), (0.75 * width, signature)])
            flow.keep_with_next(row)
        flow.place(Block(2, ()))
