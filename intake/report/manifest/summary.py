"""The first page of the manifest: what the pallet is, in figures and in one plot."""

from collections.abc import Sequence

from intake.model.result import BatchResult
from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.manifest.plot import place_voltages
from intake.report.manifest.totals import meter_tables, totals_table
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.words.batch_facts import Fact, batch_facts, meter_facts

_TITLES = tuple(Style(size, Face.BOLD, SLATE) for size in (20, 17, 14))
"""The largest in which the title fits on one line, else the smallest."""
_SUBTITLE = Style(9, colour=GREY)
_FACT = Style(9)
_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)
_LABEL_WIDTH = 74.0
_GUTTER = 16.0
_TOTALS_SHARE = 0.6
"""Of the width: the totals beside the meter."""
_NO_FORM = "A record of intake, no legal form: no shipping paper, consignment note or declaration."


def place_summary(flow: Flow, setter: Typesetter, result: BatchResult, plot_limits: PlotLimits) -> None:
    """Place title, facts, totals and the meter's worth, and the plot in what room is left."""
    width = flow.sheet.room_width
    for block in (
        _title(setter, result, width),
        _facts(setter, result, width),
        _figures(setter, result, width),
    ):
        flow.place(block)
        flow.space(9)
    place_voltages(flow, setter, result, plot_limits)


def _title(setter: Typesetter, result: BatchResult, width: float) -> Block:
    count = len(result.graded)
    named = f"{result.batch.batch}: {count} {'battery' if count == 1 else 'batteries'}, graded"
    style = next((one for one in _TITLES if setter.width(named, one) <= width), _TITLES[-1])
    lines = [*text_lines(setter, named, style, width), *text_lines(setter, _NO_FORM, _SUBTITLE, width)]
    title = stack(lines)
    return Block(title.height, title.placed, outline=("What this pallet is", 0))


def _facts(setter: Typesetter, result: BatchResult, width: float) -> Block:
    half = (width - _GUTTER) / 2
    facts = (*batch_facts(result.batch), *meter_facts(result))
    first = -(-len(facts) // 2)
    beside = side_by_side(
        [
            (0.0, _fact_list(setter, facts[:first], half)),
            (half + _GUTTER, _fact_list(setter, facts[first:], half)),
        ]
    )
    note = result.batch.note
    return stack([beside, _fact_list(setter, [("Note", note)], width)]) if note else beside


def _fact_list(setter: Typesetter, facts: Sequence[Fact], width: float) -> Block:
    return stack(
        [
            side_by_side(
                [
                    (0.0, line_of(_LABEL, (0.0, label))),
                    (_LABEL_WIDTH, stack(text_lines(setter, text, _FACT, width - _LABEL_WIDTH))),
                ]
            )
            for label, text in facts
        ]
    )


def _figures(setter: Typesetter, result: BatchResult, width: float) -> Block:
    left = _TOTALS_SHARE * (width - _GUTTER)
    right = width - _GUTTER - left
    return side_by_side(
        [
            (0.0, totals_table(setter, result, left)),
            (left + _GUTTER, meter_tables(setter, result.figures, right)),
        ]
    )
