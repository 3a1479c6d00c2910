"""The condition sheet of one battery: half a page that can be cut off and stand alone."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from intake.model.result import BatchResult
from intake.report.batch_facts import meter_facts
from intake.report.battery_words import SEPARATOR, strength_lines, with_units_kept
from intake.report.fitted_text import first_lines
from intake.report.flow import Block
from intake.report.fonts import Face
from intake.report.hold_plot import hold_plot
from intake.report.manifest_plot import PlotLimits
from intake.report.marks import LineMark, Mark, TextMark, rectangle
from intake.report.palette import GREY, INK, RULE, SLATE, WHITE
from intake.report.plain_text import one_line
from intake.report.reading_words import warnings_by_row
from intake.report.resale_content import Offer
from intake.report.resale_words import (
    age_in_words,
    badge_in_words,
    cautions_for,
    condition_in_words,
    rating_in_words,
)
from intake.report.setting import line_of, side_by_side, stack, text_lines
from intake.report.sheet_readings import TEXT, WIDTH, readings_block, readings_in_words
from intake.report.typesetter import Style, Typesetter
from intake.report.wording import load_wording

_TAGS = tuple(Style(size, Face.BOLD) for size in (20, 16, 13, 11, 9.5))
"""The largest in which a tag leaves room for the box beside it."""
_TAG_HEIGHT = 28.0
_RATING = Style(9, Face.BOLD)
_FACT = Style(8)
_LABEL = Style(7.5, Face.BOLD, SLATE)
_SMALL = Style(7, colour=GREY)
_BADGE = Style(9, Face.BOLD)
_BADGE_ON_INK = Style(9, Face.BOLD, WHITE)
_BADGE_SIDE, _BADGE_HEIGHT = 6.0, 17.0
_LABEL_WIDTH = 84.0
_GUTTER = 14.0
_ROW_GAP = 2.6
_SIGN_HEIGHT = 27.0
_LEAST_MIDDLE = 108.0
"""Points of height that readings and plot keep; longer texts give way and go on under Notes."""
_LONGEST = {"Tests": 2, "Next step": 2, "Look again": 3, "Marking": 2, "Note": 3}
"""Lines that a text may take while there is room."""
_GIVES_WAY = ("Note", "Marking", "Note", "Look again", "Tests", "Look again", "Next step")
"""Which text gives up a line first."""


@dataclass(frozen=True, slots=True)
class SheetNote:
    """A text that a condition sheet has no room for, whole."""

    number: int
    tag: str
    label: str
    text: str


@dataclass(frozen=True, slots=True)
class ConditionSheet:
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
        self._count = count
        self._warnings = warnings_by_row(result)
        self._foot = self._closing()

    def sheet(self, offer: Offer) -> ConditionSheet:
        """Return the sheet of one battery, exactly as high as all others."""
        one = offer.graded
        head = self._head(offer)
        fixed = head.height + self._foot.height
        rows, notes = self._rows(offer, room=self._height - fixed - _LEAST_MIDDLE)
        middle_height = self._height - fixed - rows.height
        readings, whole = readings_block(self._setter, one, height=middle_height - 6)
        if not whole:
            notes.append(SheetNote(offer.number, one.battery.tag, "Readings", readings_in_words(one)))
        plot = hold_plot(
            self._setter,
            one,
            self._limits.get(one.battery.chemistry, ()),
            width=self._width - WIDTH - _GUTTER,
            height=middle_height - 8,
        )
        middle = side_by_side([(0.0, readings), (WIDTH + _GUTTER, plot)])
        block = stack([head, Block(middle_height, middle.placed), rows, self._foot])
        title = f"Sheet {offer.number}: {one_line(one.battery.tag)}"
        return ConditionSheet(Block(self._height, block.placed, outline=(title, 1)), tuple(notes))

    def _head(self, offer: Offer) -> Block:
        battery = offer.graded.battery
        lines = [self._title(offer), *self._lines(rating_in_words(offer.graded), _RATING)]
        lines += self._lines(condition_in_words(offer.graded), _FACT)
        lines += self._lines(age_in_words(battery.made, self._result.batch.received), _FACT)
        rule = LineMark(0, 2, self._width, 2, 0.5, RULE)
        return stack([*lines, Block(6, ((rule, 0.0, 0.0),))])

    def _title(self, offer: Offer) -> Block:
        """Return tag and box on one line, and below them which sheet of which batch this is."""
        badge = badge_in_words(offer.graded)
        badge_width = self._setter.width(badge, _BADGE) + 2 * _BADGE_SIDE
        badge_x = self._width - badge_width
        filled = not offer.graded.verdict.held_charge
        style = _BADGE_ON_INK if filled else _BADGE
        box = rectangle(badge_x, 5, badge_width, _BADGE_HEIGHT, fill=INK if filled else None, stroke=INK)
        tag = self._setter.printable(one_line(offer.graded.battery.tag))
        tag_style = next((one for one in _TAGS if self._setter.width(tag, one) <= badge_x - 12), _TAGS[-1])
        foot = _TAGS[0].baseline + 1.5
        marks: list[Mark] = [
            LineMark(0, 0, self._width, 0, 1.2, SLATE),
            TextMark(0, foot, tag, tag_style),
            box,
            TextMark(badge_x + _BADGE_SIDE, 5 + 3 + _BADGE.baseline - 0.8, badge, style),
        ]
        title = Block(_TAG_HEIGHT, [(mark, 0.0, 0.0) for mark in marks])
        return stack([title, self._one_line(self._where(offer)), Block(2, ())])

    def _where(self, offer: Offer) -> str:
        batch = self._result.batch
        position = offer.graded.battery.position
        return SEPARATOR.join(
            (
                f"Condition sheet {offer.number} of {self._count}",
                f"batch {batch.batch}",
                f"received {batch.received}",
                f"position {one_line(position)}" if position else "position not given",
                one_line(batch.site),
            )
        )

    def _rows(self, offer: Offer, *, room: float) -> tuple[Block, list[SheetNote]]:
        """Return what is told of the battery, texts cut to the room with their rest among the notes."""
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
            SheetNote(offer.number, offer.graded.battery.tag, label, texts[label])
            for label, lines in wrapped.items()
            if len(lines) > shown[label]
        ]
        return stack(rows), notes

    def _texts(self, offer: Offer) -> Iterator[tuple[str, str]]:
        one = offer.graded
        words = load_wording().resale[one.verdict.evidence]
        warnings = self._warnings[one.battery.row]
        strength = [with_units_kept(line) for line in strength_lines(one.battery)]
        told = (
            ("Tests", SEPARATOR.join(strength)),
            ("It shows", words.shows),
            ("It can not show", words.can_not_show),
            ("Look again", " ".join(one_line(text) for text in warnings)),
            ("Next step", one_line(one.verdict.next_step)),
            ("Before buying", cautions_for(one.battery)),
            ("Marking", one_line(one.battery.marking or "")),
            ("Note", one_line(one.battery.note or "")),
        )
        return ((label, with_units_kept(text)) for label, text in told if text)

    def _row(self, label: str, lines: Sequence[str]) -> Block:
        texts = [line_of(TEXT, (_LABEL_WIDTH, line)) for line in lines]
        return stack(
            [
                side_by_side([(0.0, line_of(_LABEL, (0.0, label))), (0.0, texts[0])]),
                *texts[1:],
                Block(_ROW_GAP, ()),
            ]
        )

    def _closing(self) -> Block:
        """Return meter, who decides, and lines to sign: the same on every sheet."""
        meter, accuracy, due = (f"{label}: {text}" for label, text in meter_facts(self._result))
        lines = [self._one_line(SEPARATOR.join((accuracy, due, meter)))]
        lines += self._lines(load_wording().sale, Style(7, Face.BOLD))
        return stack([Block(1, ()), *lines, self._to_sign()])

    def _to_sign(self) -> Block:
        shares = (("Tested by", 0.0, 0.42), ("Date", 0.45, 0.65), ("Signature", 0.68, 1.0))
        foot = _SIGN_HEIGHT - 5
        marks: list[Mark] = []
        for label, begin, end in shares:
            left = begin * self._width
            after = left + self._setter.width(label, _FACT) + 5
            marks += [
                TextMark(left, foot, label, _FACT),
                LineMark(after, foot + 1.5, end * self._width, foot + 1.5, 0.5, INK),
            ]
        return Block(_SIGN_HEIGHT, [(mark, 0.0, 0.0) for mark in marks])

    def _one_line(self, text: str) -> Block:
        """Return what stands whole on the first pages too, in one small line."""
        lines = self._setter.wrap(with_units_kept(text), _SMALL, self._width)
        (line,) = first_lines(self._setter, lines, _SMALL, self._width, most=1, rest="…")
        return line_of(_SMALL, (0.0, line))

    def _lines(self, text: str, style: Style) -> list[Block]:
        return text_lines(self._setter, with_units_kept(text), style, self._width)


def _shown_lines(lines: Mapping[str, int], room: float) -> dict[str, int]:
    """Return how many lines of each text are shown so that all together keep to so many points."""
    shown = {label: min(count, _LONGEST.get(label, count)) for label, count in lines.items()}
    for label in _GIVES_WAY:
        if sum(shown.values()) * TEXT.leading + len(shown) * _ROW_GAP <= room:
            break
        if shown.get(label, 1) > 1:
            shown[label] -= 1
    return shown
