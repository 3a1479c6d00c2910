"""The batteries of one waste stream as a list under heads that repeat on each page."""

from intake.report.disposal.content import StreamPart
from intake.report.disposal.words import OfficerLine, officer_line
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import CONTINUED, SMALL, Clauses
from intake.report.drawing.kept_together import with_units_kept
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import SLATE
from intake.report.drawing.typesetter import Style

_TAG = Style(9.5, Face.BOLD)
_TEXT = Style(8)
_STRONG = Style(8, Face.BOLD)
_HEAD = Style(7.5, Face.BOLD, SLATE)
_LOOK = RowLook(above=3.5, below=4, rule_width=0.5)
_TAG_WIDTH = 112.0
_DETAIL = 118.0
"""Where the words about a battery begin, beside its tag."""
_MADE = 202.0
_CAPACITY, _ENERGY, _MASS, _VOLTAGE = 282.0, 316.0, 346.0, 426.0
"""Where the decimal points stand."""
_METHOD, _KIND = 359.0, 450.0
"""Where the words behind mass and voltage begin."""
_KEY = (
    "Nominal voltage 12 V. Chemistry: as entered at intake, from the label; nobody checked it otherwise. "
    "Ah: rated. Wh: rated Ah times 12 V, LFP 12.8 V (common practice). V: as read, at rest, or so long after "
    "the end of charge. Residual charge: with its 95 % interval."
)


class StreamBatteries:
    """Sets and places the batteries of a stream."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter

    def place(self, flow: Flow, part: StreamPart) -> None:
        """Place all batteries, each whole where a page can hold it."""
        self._clauses.part(flow, f"Batteries of stream {part.number}")
        flow.keep_with_next(stack([*self._clauses.lines(_KEY, SMALL), Block(2, ())]))
        flow.keep_with_next(self._heads())
        title = self._clauses.lines(f"{part.name}, continued", CONTINUED)
        with flow.repeating(stack([*title, Block(2, ()), self._heads()])):
            for one in part.batteries:
                place_row(flow, self._bands(officer_line(one)), look=_LOOK)

    def _heads(self) -> Block:
        heads = line_of(
            _HEAD,
            (0.0, "Tag, position"),
            (_DETAIL, "Chemistry"),
            (_MADE, "Made"),
            *((point - self._setter.width(head, _HEAD), head) for point, head in _FIGURE_HEADS),
            (_METHOD, "how"),
            (_KIND, "when"),
        )
        line = LineMark(0, 2, self._clauses.width, 2, 0.9, SLATE)
        return stack([heads, Block(3, ((line, 0.0, 0.0),))])

    def _bands(self, line: OfficerLine) -> list[Band]:
        tag = text_lines(self._setter, line.tag, _TAG, _TAG_WIDTH)
        tag += text_lines(self._setter, line.position, SMALL, _TAG_WIDTH)
        detail = [self._figures(line), *self._words(line.seen, _TEXT)]
        detail += self._words(line.condition, _TEXT if line.plain else _STRONG)
        detail += self._words(line.held, _TEXT) if line.held else []
        detail += self._words(f"Why recycled: {line.reason}", SMALL)
        remarks = [
            row
            for label, text in (("Marking", line.marking), ("Note", line.note))
            if text
            for row in self._words(f"{label}: {text}", _TEXT)
        ]
        bands: list[Band] = [[(0.0, tag), (_DETAIL, detail)]]
        return [*bands, [(_DETAIL, remarks)]] if remarks else bands

    def _figures(self, line: OfficerLine) -> Block:
        """Return the first line; its places count from where the words begin."""
        places = (
            (_DETAIL, line.chemistry),
            (_MADE, line.made),
            *(
                (point - self._setter.width(text.partition(".")[0], _TEXT), text)
                for point, text in (
                    (_CAPACITY, line.capacity),
                    (_ENERGY, line.energy),
                    (_MASS, line.mass),
                    (_VOLTAGE, line.voltage),
                )
            ),
            (_METHOD, line.mass_method),
            (_KIND, line.voltage_kind),
        )
        return line_of(_TEXT, *((place - _DETAIL, text) for place, text in places))

    def _words(self, text: str, style: Style) -> list[Block]:
        return text_lines(self._setter, with_units_kept(text), style, self._clauses.width - _DETAIL)


_FIGURE_HEADS = ((_CAPACITY, "Ah"), (_ENERGY, "Wh"), (_MASS, "kg"), (_VOLTAGE, "V"))
