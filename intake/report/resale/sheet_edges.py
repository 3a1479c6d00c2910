"""Head and foot of a condition sheet: which battery it is, who measured it, lines to sign."""

from intake.model.result import BatchResult
from intake.report.drawing.blocks import line_of, stack, text_lines
from intake.report.drawing.fitted_text import first_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.fonts import Face
from intake.report.drawing.kept_together import SEPARATOR, with_units_kept
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK, RULE, SLATE, WHITE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LABEL, STRONG, TEXT
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.resale.content import Offer
from intake.report.resale.words import age_in_words, badge_in_words, condition_in_words, rating_in_words
from intake.report.words.batch_facts import meter_facts
from intake.report.words.wording import load_wording

_TAGS = tuple(Style(size, Face.BOLD) for size in (20, 16, 13, 11, 9.5, 8))
"""The largest in which a tag leaves room for the box beside it."""
_TAG_HEIGHT = 26.0
_BADGE = STRONG
_BADGE_ON_INK = Style(9, Face.BOLD, WHITE)
_BADGE_TOP, _BADGE_SIDE, _BADGE_HEIGHT = 5.0, 6.0, 17.0
_SIGN_HEIGHT = 24.0


class SheetEdges:
    """Sets heads and the foot of the condition sheets of a batch."""

    def __init__(self, setter: Typesetter, result: BatchResult, *, width: float, count: int) -> None:
        self._setter = setter
        self._result = result
        self._width = width
        self._count = count

    def head(self, offer: Offer) -> Block:
        """Return tag, evidence, rating, condition and age."""
        battery = offer.graded.battery
        lines = [self._title(offer), *self._lines(rating_in_words(offer.graded), STRONG)]
        lines += self._lines(condition_in_words(offer.graded), TEXT)
        lines += self._lines(age_in_words(battery.made, self._result.batch.received), TEXT)
        rule = LineMark(0, 2, self._width, 2, 0.5, RULE)
        return stack([*lines, Block(6, ((rule, 0.0, 0.0),))])

    def _title(self, offer: Offer) -> Block:
        """Return tag and box on one line, and below them which sheet of which batch this is."""
        badge = badge_in_words(offer.graded)
        badge_width = self._setter.width(badge, _BADGE) + 2 * _BADGE_SIDE
        badge_x = self._width - badge_width
        filled = not offer.graded.verdict.held_charge
        style = _BADGE_ON_INK if filled else _BADGE
        box = rectangle(
            badge_x, _BADGE_TOP, badge_width, _BADGE_HEIGHT, fill=INK if filled else None, stroke=INK
        )
        tag = self._setter.printable(one_line(offer.graded.name))
        tag_style = next((one for one in _TAGS if self._setter.width(tag, one) <= badge_x - 12), _TAGS[-1])
        foot = _TAGS[0].baseline + 1.5
        marks: list[Mark] = [
            LineMark(0, 0, self._width, 0, 1.2, SLATE),
            TextMark(0, foot, tag, tag_style),
            box,
            TextMark(badge_x + _BADGE_SIDE, _BADGE_TOP + 3 + _BADGE.baseline - 0.8, badge, style),
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

    def foot(self) -> Block:
        """Return meter, who decides, and lines to sign: the same on every sheet."""
        meter, accuracy, due = (f"{label}: {text}" for label, text in meter_facts(self._result))
        lines = [self._one_line(SEPARATOR.join((accuracy, due, meter)))]
        lines += self._lines(load_wording().sale, LABEL)
        return stack([Block(1, ()), *lines, self._to_sign()])

    def _to_sign(self) -> Block:
        shares = (("Tested by", 0.0, 0.42), ("Date", 0.45, 0.65), ("Signature", 0.68, 1.0))
        foot = _SIGN_HEIGHT - 5
        marks: list[Mark] = []
        for label, begin, end in shares:
            left = begin * self._width
            after = left + self._setter.width(label, TEXT) + 5
            marks += [
                TextMark(left, foot, label, TEXT),
                LineMark(after, foot + 1.5, end * self._width, foot + 1.5, 0.5, INK),
            ]
        return Block(_SIGN_HEIGHT, [(mark, 0.0, 0.0) for mark in marks])

    def _one_line(self, text: str) -> Block:
        """Return what is whole on the first pages too, in one small line."""
        lines = self._setter.wrap(with_units_kept(text), LABEL, self._width)
        (line,) = first_lines(self._setter, lines, LABEL, self._width, most=1, rest="…")
        return line_of(LABEL, (0.0, line))

    def _lines(self, text: str, style: Style) -> list[Block]:
        return text_lines(self._setter, with_units_kept(text), style, self._width)
