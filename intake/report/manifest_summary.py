"""The first page of the manifest: what the pallet is, in figures and in one plot."""

from collections.abc import Mapping, Sequence

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.model.verdict import Grade, MeterRisk
from intake.report.batch_facts import Fact, accuracy_in_words, batch_facts, meter_facts
from intake.report.battery_words import chemistry_in_words
from intake.report.flow import Block, Flow
from intake.report.fonts import Face
from intake.report.grade_marks import grade_mark
from intake.report.palette import GREY, SLATE
from intake.report.setting import line_of, side_by_side, stack, text_lines
from intake.report.small_table import BODY, STRONG, Align, Column, Row, small_table
from intake.report.totals import Total, total_of, totals_by_grade, totals_by_stream
from intake.report.typesetter import Style, Typesetter
from intake.report.voltage_plot import SMALL, voltage_panel
from intake.report.voltage_points import points_by_chemistry
from intake.report.voltage_scale import Limit
from intake.report.wording import load_wording

PlotLimits = Mapping[Chemistry, Sequence[Limit]]

_TITLE = Style(20, Face.BOLD, SLATE)
_SUBTITLE = Style(9, colour=GREY)
_LABEL = Style(7.5, colour=GREY)
_FACT = Style(9)
_HEADING = Style(10.5, Face.BOLD, SLATE)
_GUTTER = 16.0
_LOWEST_PANEL, _HIGHEST_PANEL = 82.0, 165.0
_NO_FORM = "A record of intake. No shipping paper, consignment note or other legal form."


class Summary:
    """Sets the parts of the first page."""

    def __init__(self, setter: Typesetter, width: float) -> None:
        self._setter = setter
        self._width = width
        self._half = (width - _GUTTER) / 2

    def place(self, flow: Flow, result: BatchResult, plot_limits: PlotLimits) -> None:
        """Place title, facts, totals and the meter's worth, and the plot in what room is left."""
        for block in (self._title(result), self._facts(result), self._totals(result), self._meter(result)):
            flow.place(block)
            flow.space(9)
        self._plot(flow, result, plot_limits)

    def _title(self, result: BatchResult) -> Block:
        count = len(result.graded)
        named = f"{result.batch.batch}: {count} {'battery' if count == 1 else 'batteries'}, graded"
        title = stack(
            [
                *text_lines(self._setter, named, _TITLE, self._width),
                *text_lines(self._setter, _NO_FORM, _SUBTITLE, self._width),
            ]
        )
        return Block(title.height, title.placed, outline=("What this pallet is", 0))

    def _facts(self, result: BatchResult) -> Block:
        batch, meter = batch_facts(result.batch), meter_facts(result)
        left, right = batch[:5], (*batch[5:], *meter)
        columns = [(0.0, self._fact_list(left)), (self._half + _GUTTER, self._fact_list(right))]
        blocks = [side_by_side(columns)]
        if result.batch.note:
            blocks.append(self._fact_list([("Note", result.batch.note)], width=self._width))
        return stack(blocks)

    def _fact_list(self, facts: Sequence[Fact], *, width: float | None = None) -> Block:
        label_width = 74.0
        room = (width or self._half) - label_width
        return stack(
            [
                side_by_side(
                    [
                        (0.0, Block(_FACT.leading, line_of(_FACT_LABEL, (0.0, label)).placed)),
                        (label_width, stack(text_lines(self._setter, text, _FACT, room))),
                    ]
                )
                for label, text in facts
            ]
        )

    def _totals(self, result: BatchResult) -> Block:
        by_grade = totals_by_grade(result)
        rows = [
            (load_wording().grades[grade].title, total, _grade_block(grade))
            for grade, total in by_grade.items()
        ]
        whole = total_of(result.graded)
        streams = [(one.title, one.total, None) for one in totals_by_stream(result)]
        right = (
            self._total_table("Recycle, by waste stream", streams, None)
            if streams
            else stack(text_lines(self._setter, "Nothing is graded recycle.", BODY, self._half))
        )
        return side_by_side(
            [
                (0.0, self._total_table("Grade", rows, whole)),
                (self._half + _GUTTER, right),
            ]
        )

    def _total_table(
        self, title: str, totals: Sequence[tuple[str, Total, Block | None]], whole: Total | None
    ) -> Block:
        rows = [_total_row(name, total, mark, strong=mark is not None) for name, total, mark in totals]
        if whole is not None:
            rows.append(_total_row("All", whole, None, strong=True))
        figures = (
            Column("number", 38, Align.POINT),
            Column("kg", 38, Align.POINT),
            Column("kg of it estimated", 48, Align.POINT),
        )
        name_width = self._half - sum(column.width + 8 for column in figures)
        table = small_table(self._setter, (Column(title, name_width), *figures), rows)
        missing = (whole or total_of_totals([total for _, total, _ in totals])).without_mass
        if not missing:
            return table
        note = f"{missing} without a mass {'is' if missing == 1 else 'are'} missing from the kilograms."
        return stack([table, *text_lines(self._setter, note, SMALL, self._half)])

    def _meter(self, result: BatchResult) -> Block:
        figures = result.figures
        worth = [
            Row((chemistry_in_words(Chemistry(chemistry)), f"± {percent:.1f}"))
            for chemistry, percent in figures.meter_worth_percent
        ]
        left = (
            small_table(
                self._setter,
                (
                    Column("The meter in use is worth, at 12.60 V", self._half - 68),
                    Column("% of charge", 60, Align.POINT),
                ),
                worth,
            )
            if worth
            else stack(
                text_lines(self._setter, "No battery here whose charge a voltage tells.", BODY, self._half)
            )
        )
        return side_by_side(
            [(0.0, left), (self._half + _GUTTER, self._wrong_decisions(figures.in_use, figures.better))]
        )

    def _wrong_decisions(self, in_use: MeterRisk, better: MeterRisk) -> Block:
        rows = [
            Row(
                (
                    f"{name}: {accuracy_in_words(risk)}",
                    f"{risk.wrong_acceptances:.2f}",
                    f"{risk.wrong_rejections:.2f}",
                )
            )
            for name, risk in (("Meter in use", in_use), ("A better meter", better))
        ]
        columns = (
            Column("Wrong decisions to expect in this batch", self._half - 112),
            Column("wrongly accepted", 48, Align.POINT),
            Column("wrongly rejected", 48, Align.POINT),
        )
        told = (
            "Wrongly accepted: graded for resale, though the true voltage is below the limit. "
            "Wrongly rejected: held back by a voltage that is truly above it."
        )
        table = small_table(self._setter, columns, rows)
        return stack([table, Block(2, ()), *text_lines(self._setter, told, SMALL, self._half)])

    def _plot(self, flow: Flow, result: BatchResult, limits: PlotLimits) -> None:
        found = points_by_chemistry(result.graded)
        if not found:
            flow.place(
                stack(text_lines(self._setter, "No battery has a voltage to plot.", BODY, self._width))
            )
            return
        heading = stack(
            [
                *text_lines(
                    self._setter, "Voltage of every battery, lowest to highest", _HEADING, self._width
                ),
                self._legend(),
                Block(3, ()),
            ]
        )
        across = 1 if len(found) == 1 else 2
        rows = -(-len(found) // across)
        room = flow.room - heading.height
        if room < rows * _LOWEST_PANEL:
            room = flow.sheet.room_height - heading.height
        height = min(max(room / rows, _LOWEST_PANEL), _HIGHEST_PANEL) - 0.01
        flow.keep_with_next(Block(heading.height, heading.placed, outline=("Voltages", 1)))
        width = self._width if across == 1 else self._half
        panels = [
            voltage_panel(
                self._setter,
                chemistry_in_words(chemistry),
                points,
                tuple(limits.get(chemistry, ())),
                width=width,
                height=height - 6,
            )
            for chemistry, points in found.items()
        ]
        for first in range(0, len(panels), across):
            beside = [
                (place * (width + _GUTTER), panel)
                for place, panel in enumerate(panels[first : first + across])
            ]
            row = side_by_side(beside)
            flow.place(Block(height, row.placed))

    def _legend(self) -> Block:
        x = 0.0
        parts: list[tuple[float, Block]] = []
        for grade, words in load_wording().grades.items():
            parts.append((x, _grade_block(grade)))
            parts.append((x + 11, line_of(BODY, (0.0, words.title))))
            x += 11 + self._setter.width(words.title, BODY) + 16
        told = (
            "Thin bar: rest voltage. Thick bar: what a hold settles at. Bars: 95 % interval. Volts at 25 °C. "
            "Lines: solid, the rest limit; dashed and dotted, the hold's limits."
        )
        return stack([side_by_side(parts), *text_lines(self._setter, told, SMALL, self._width)])


_FACT_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)


def total_of_totals(totals: Sequence[Total]) -> Total:
    """Add totals."""
    return Total(
        count=sum(one.count for one in totals),
        mass_kg=sum(one.mass_kg for one in totals),
        mass_estimated_kg=sum(one.mass_estimated_kg for one in totals),
        without_mass=sum(one.without_mass for one in totals),
    )


def _total_row(name: str, total: Total, mark: Block | None, *, strong: bool) -> Row:
    cells = (name, str(total.count), f"{total.mass_kg:.1f}", f"{total.mass_estimated_kg:.1f}")
    return Row(cells, style=STRONG if strong else BODY, mark=mark)


def _grade_block(grade: Grade) -> Block:
    return Block(0.0, [(mark, 0.0, 0.0) for mark in grade_mark(grade, 4.0, BODY.leading / 2, 3.2)])
