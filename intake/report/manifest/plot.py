"""The voltages of all batteries, a panel for each chemistry, under one heading and one legend."""

from collections.abc import Iterator, Mapping, Sequence

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.palette import SLATE
from intake.report.drawing.small_table import BODY
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.manifest.totals import grade_block
from intake.report.plots.voltage_frame import SMALL
from intake.report.plots.voltage_points import VoltagePoint, points_by_chemistry
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.plots.voltages import voltage_panel
from intake.report.words.battery import chemistry_in_words
from intake.report.words.wording import load_wording

_HEADING = Style(10.5, Face.BOLD, SLATE)
_GUTTER, _BETWEEN_ROWS = 14.0, 5.0
_LOWEST_ROW, _HIGHEST_ROW = 84.0, 175.0
_MOST_NAMED = 12
_TOLD = (
    "Thin bar: rest voltage; thick bar: what a hold settles at; each bar is the 95 % interval, at 25 °C. "
    "Lines: solid, the rest limit; dashed and dotted, the limits of the hold."
)


def place_voltages(flow: Flow, setter: Typesetter, result: BatchResult, limits: PlotLimits) -> None:
    """Place the panels in what room this page has, or on the next where it is too little."""
    width = flow.sheet.room_width
    found = points_by_chemistry(result.graded)
    drawn = {chemistry: points for chemistry, points in found.items() if limits.get(chemistry)}
    named = _without_limits(setter, found, drawn, width)
    if drawn:
        heading = _heading(setter, width)
        height = _row_height(flow, len(drawn), heading.height + sum(line.height for line in named))
        flow.keep_with_next(heading)
        for row in _panel_rows(setter, drawn, limits, width=width, height=height):
            flow.place(row)
    elif not named:
        named = text_lines(setter, "No battery has a voltage to plot.", BODY, width)
    for line in named:
        flow.place(line)


def _heading(setter: Typesetter, width: float) -> Block:
    x = 0.0
    parts: list[tuple[float, Block]] = []
    for grade, words in load_wording().grades.items():
        parts += [(x, grade_block(grade)), (x + 11, line_of(BODY, (0.0, words.title)))]
        x += 27 + setter.width(words.title, BODY)
    block = stack(
        [
            *text_lines(setter, "Voltage of every battery, lowest to highest", _HEADING, width),
            side_by_side(parts),
            *text_lines(setter, _TOLD, SMALL, width),
            Block(4, ()),
        ]
    )
    return Block(block.height, block.placed, outline=("Voltages", 1))


def _row_height(flow: Flow, panels: int, other: float) -> float:
    rows = -(-panels // 2)
    room = flow.room - other
    if room < rows * _LOWEST_ROW:
        room = flow.sheet.room_height - other
    return min(max((room - 1) / rows, _LOWEST_ROW), _HIGHEST_ROW)


def _panel_rows(
    setter: Typesetter,
    drawn: Mapping[Chemistry, Sequence[VoltagePoint]],
    limits: PlotLimits,
    *,
    width: float,
    height: float,
) -> Iterator[Block]:
    """Yield rows of two panels; a single one takes the whole width."""
    across = min(len(drawn), 2)
    panel_width = (width - (across - 1) * _GUTTER) / across
    panels = [
        voltage_panel(
            setter,
            chemistry_in_words(chemistry),
            points,
            limits[chemistry],
            width=panel_width,
            height=height - _BETWEEN_ROWS,
        )
        for chemistry, points in drawn.items()
    ]
    for first in range(0, len(panels), across):
        beside = enumerate(panels[first : first + across])
        row = side_by_side([(place * (panel_width + _GUTTER), panel) for place, panel in beside])
        yield Block(height, row.placed)


def _without_limits(
    setter: Typesetter,
    found: Mapping[Chemistry, Sequence[VoltagePoint]],
    drawn: Mapping[Chemistry, Sequence[VoltagePoint]],
    width: float,
) -> list[Block]:
    """Name the voltages of the chemistries that no limit is set for."""
    lines: list[Block] = []
    for chemistry, points in found.items():
        if chemistry in drawn:
            continue
        shown = [f"{point.voltage_v:.2f}" for point in points[:_MOST_NAMED]]
        more = len(points) - len(shown)
        text = f"No limit is set for {chemistry_in_words(chemistry)}: {', '.join(shown)} V"
        lines += text_lines(setter, text + (f" and {more} more" if more else ""), SMALL, width)
    return lines
