"""The condition sheet of one battery: half a page that can be cut off and stand alone."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from intake.model.result import BatchResult
from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.fitted_text import first_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.kept_together import SEPARATOR, with_units_kept
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import HEAD, TEXT
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.hold import hold_plot
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.resale.content import Offer
from intake.report.resale.sheet_edges import SheetEdges
from intake.report.resale.sheet_readings import WIDTH, readings_block, readings_in_words
from intake.report.resale.words import cautions_for, words_of
from intake.report.words.actions import step_in_full
from intake.report.words.battery import strength_lines
from intake.report.words.charge_and_remarks import warnings_by_row
from intake.report.words.loss import loss_in_words
from intake.report.words.shelf_life import recharge_in_full

_LABEL_WIDTH = 76.0
_GUTTER = 14.0
_ROW_GAP = 1.6
_LEAST_MIDDLE = 108.0
"""Points of height that readings and plot keep; longer texts give way and go on under Notes."""
_LONGEST = {"Tests": 2, "Next step": 2, "Check": 3, "Note": 3}
"""Lines that a text may take while there is room."""
_GIVES_WAY = ("Note", "Note", "Check", "Tests", "Tests", "Check", "Next step")
"""Which text gives up a line first."""


class SheetNote(NamedTuple):
    """A text that a condition sheet has no room for, whole."""

    number: int
    tag: str
    label: str
    text: str


class ConditionSheet(NamedTuple):
    """The sheet as a block, and what did not fit on it."""

    block: Block
    notes: tuple[SheetNote, ...]


class ConditionSheets:
    """Sets condition sheets of one size."""

    def __init__(
        self,
        setter: Typesetter,
        result: BatchResult,
        limits: PlotLimits,
        *,
        width: float,
        height: float,
        count: int,
    ) -> None:
        self._setter = setter
        self._result = result
        self._limits = limits
        self._width = width
        self._height = height
        self._edges = SheetEdges(setter, result, width=width, count=count)
        self._warnings = warnings_by_row(result)
        self._foot = self._edges.foot()

    def sheet(self, offer: Offer) -> ConditionSheet:
        """Return the sheet of one battery, exactly as high as all others."""
        one = offer.graded
        head = self._edges.head(offer)
        fixed = head.height + self._foot.height
        rows, notes = self._rows(offer, room=self._height - fixed - _LEAST_MIDDLE)
        middle_height = self._height - fixed - rows.height
        readings, whole = readings_block(self._setter, one, height=middle_height - 6)
        if not whole:
            notes.append(SheetNote(offer.number, one.name, "Readings", readings_in_words(one)))
        plot = hold_plot(
            self._setter,
            one,
            self._limits.get(one.battery.chemistry, ()),
            width=self._width - WIDTH - _GUTTER,
            height=middle_height - 8,
        )
        middle = side_by_side([(0.0, readings), (WIDTH + _GUTTER, plot)])
        block = stack([head, Block(middle_height, middle.placed), rows, self._foot])
        title = f"Sheet {offer.number}: {one_line(one.name)}"
        return ConditionSheet(Block(self._height, block.placed, outline=(title, 1)), tuple(notes))

    def _rows(self, offer: Offer, *, room: float) -> tuple[Block, list[SheetNote]]:
        """Return what is said of the battery, texts cut to the room with their rest among the notes."""
        texts = dict(self._texts(offer))
        width = self._width - _LABEL_WIDTH
        wrapped = {label: self._setter.wrap(text, TEXT, width) for label, text in texts.items()}
        shown = _shown_lines({label: len(lines) for label, lines in wrapped.items()}, room)
        rest = f"… (whole under Notes, sheet {offer.number})"
        rows = [
            self._row(
                label,
                first_lines(self._setter, lines, TEXT, width, most=shown[label], rest=rest),
            )
            for label, lines in wrapped.items()
        ]
        notes = [
            SheetNote(offer.number, offer.graded.name, label, texts[label])
            for label, lines in wrapped.items()
            if len(lines) > shown[label]
        ]
        return stack(rows), notes

    def _texts(self, offer: Offer) -> Iterator[tuple[str, str]]:
        one = offer.graded
        words = words_of(one)
        warnings = self._warnings[one.battery.row]
        tests = (*strength_lines(one.battery), loss_in_words(one))
        strength = [with_units_kept(line) for line in tests if line]
        told = (
            ("Tests", SEPARATOR.join(strength)),
            ("It shows", words.shows),
            ("It cannot show", words.can_not_show),
            ("Check", " ".join(one_line(text) for text in warnings)),
            ("Next step", one_line(step_in_full(one))),
            ("Recharge by", recharge_in_full(one.shelf_life)),
            ("Before buying", cautions_for(one.battery)),
            ("Note", one_line(one.battery.note or "")),
        )
        return ((label, with_units_kept(text)) for label, text in told if text)

    def _row(self, label: str, lines: Sequence[str]) -> Block:
        texts = [line_of(TEXT, (_LABEL_WIDTH, line)) for line in lines]
        return stack(
            [
                side_by_side([(0.0, line_of(HEAD, (0.0, label))), (0.0, texts[0])]),
                *texts[1:],
                Block(_ROW_GAP, ()),
            ]
        )


def _shown_lines(lines: Mapping[str, int], room: float) -> dict[str, int]:
    """Return how many lines of each text are shown so that all together keep to so many points."""
    shown = {label: min(count, _LONGEST.get(label, count)) for label, count in lines.items()}
    for label in _GIVES_WAY:
        if sum(shown.values()) * TEXT.leading + len(shown) * _ROW_GAP <= room:
            break
        if shown.get(label, 1) > 1:
            shown[label] -= 1
    return shown
