"""The voltages of a pallet: one panel a chemistry, one page at most, tags on the points that matter."""

from collections.abc import Iterator, Mapping, Sequence

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.report.drawing.blocks import side_by_side, stack, text_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.grade_marks import grade_block
from intake.report.drawing.styles import MUTED, SECTION, TEXT
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.plots.voltage_points import VoltagePoint, points_by_chemistry
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.plots.voltages import voltage_panel
from intake.report.words.battery import chemistry_in_words
from intake.report.words.wording import load_wording

_GUTTER, _BETWEEN_ROWS = 14.0, 5.0
_LOWEST_ROW, _HIGHEST_ROW = 78.0, 104.0
_MOST_NAMED = 12
_KEY = (
    "At 25 °C, lowest to highest, with 95 % intervals; thin bar: at rest, thick bar: settled after a charge. "
    "Named: close to a limit, or unresolved."
)


def place_voltages(writer: Writer, result: BatchResult, limits: PlotLimits) -> None:
    """Place the panels in what room this page has, or on the next where it is too little."""
    flow, setter, width = writer.flow, writer.setter, writer.width
    found = points_by_chemistry(result.graded)
    drawn = {chemistry: points for chemistry, points in found.items() if limits.get(chemistry)}
    named = _without_limits(setter, found, drawn, width)
    if drawn:
        flow.space(11)
        heading = _heading(setter, width)
        height = _row_height(writer, len(drawn), heading.height + sum(line.height for line in named))
        flow.keep_with_next(heading)
        for row in _panel_rows(setter, drawn, limits, width=width, height=height):
            flow.place(row)
    elif not named:
        named = text_lines(setter, "No battery has a voltage to plot.", TEXT, width)
    for line in named:
        flow.place(line)


def _heading(setter: Typesetter, width: float) -> Block:
    x = 0.0
    parts: list[tuple[float, Block]] = []
    for grade, words in load_wording().grades.items():
        parts.append((x, grade_block(grade, words.title, TEXT)))
        x += 32 + setter.width(words.title, TEXT)
    block = stack(
        [
            *text_lines(setter, "Voltages", SECTION, width),
            side_by_side(parts),
            *text_lines(setter, _KEY, MUTED, width),
            Block(4, ()),
        ]
    )
    return Block(block.height, block.placed, outline=("Voltages", 0))


def _row_height(writer: Writer, panels: int, other: float) -> float:
    rows = -(-panels // 2)
    room = writer.flow.room - other
    if room < rows * _LOWEST_ROW:
        room = writer.flow.sheet.room_height - other
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
        lines += text_lines(setter, text + (f" and {more} more" if more else ""), MUTED, width)
    return lines
