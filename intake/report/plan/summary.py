"""What a bench plan opens with: what is planned, by when, on which stations, and what is left out."""

from collections.abc import Sequence
from datetime import timedelta

from intake.model.plan import Plan, Station
from intake.model.result import BatchResult
from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import TEXT, Clauses
from intake.report.drawing.palette import GREY, SLATE
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.small_table import COLUMN_GAP, Align, Column, Row, small_table
from intake.report.drawing.typesetter import Style
from intake.report.plan.content import PlanContent
from intake.report.plan.held_back import place_held_back
from intake.report.plan.words import (
    gap_in_words,
    lateness_in_words,
    moment_in_words,
    takes_in_words,
    working_time_in_words,
)

_TITLE = Style(20, Face.BOLD, SLATE)
_LEAD = Style(10, Face.BOLD)
_FACT = Style(8.5)
_LABEL = Style(7.5, colour=GREY, line_factor=_FACT.leading / 7.5)
_LABEL_WIDTH = 74.0
_ROWS_TOGETHER = 20
"""Stations that stay together in one table."""


class PlanSummary:
    """Sets and places the first page."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter
        self._width = clauses.width

    def place(self, flow: Flow, result: BatchResult, content: PlanContent) -> None:
        """Place title, sentences, facts, stations, and the batteries with nothing to do."""
        plan = content.plan
        title = text_lines(self._setter, "Bench plan", _TITLE, self._width)
        flow.place(
            stack([*title, Block(3, ()), *text_lines(self._setter, gap_in_words(plan), _LEAD, self._width)])
        )
        flow.space(3)
        flow.place(stack(self._clauses.lines(" ".join((_counts(plan), lateness_in_words(plan))), TEXT)))
        flow.space(7)
        flow.place(self._facts(result, plan))
        flow.space(8)
        stations = content.plan.stations
        for first in range(0, len(stations), _ROWS_TOGETHER):
            flow.place(self._stations(content, stations[first : first + _ROWS_TOGETHER]))
        place_held_back(flow, self._clauses, plan.held_back)

    def _facts(self, result: BatchResult, plan: Plan) -> Block:
        start = moment_in_words(plan.start)
        told = (
            ""
            if plan.start_was_given
            else " (the first shift from the day of Received; --start sets another)"
        )
        facts = (
            ("Site", one_line(result.batch.site)),
            ("Received", result.batch.received.isoformat()),
            ("Plan starts", f"{start}{told}"),
            ("Working time", f"{working_time_in_words(plan)}, one person"),
            (
                "Suspect ones",
                "only by the qualified person at the bench, alone in the marked place"
                if plan.qualified
                else "get no station: no qualified person was told of (--qualified)",
            ),
        )
        rows = [
            side_by_side(
                [
                    (0.0, line_of(_LABEL, (0.0, label))),
                    (_LABEL_WIDTH, stack(text_lines(self._setter, text, _FACT, self._width - _LABEL_WIDTH))),
                ]
            )
            for label, text in facts
        ]
        return stack(rows)

    def _stations(self, content: PlanContent, stations: Sequence[Station]) -> Block:
        columns = [
            Column("current A", 46, Align.POINT),
            Column("batteries", 48, Align.POINT),
            Column("hours in use", 60, Align.POINT),
        ]
        takes = self._width - 60 - sum(one.width + COLUMN_GAP for one in columns) - COLUMN_GAP
        rows = []
        for station in stations:
            stands = content.on(station.name)
            hours = sum((one.end - one.start for one in stands), timedelta()) / timedelta(hours=1)
            place = ", in the marked place" if station.apart and content.plan.qualified else ""
            rows.append(
                Row(
                    (
                        station.name,
                        f"{takes_in_words(station)}{place}",
                        f"{station.current_a:g}",
                        str(len(stands)),
                        f"{hours:.1f}",
                    )
                )
            )
        return small_table(self._setter, (Column("Station", 60), Column("takes", takes), *columns), rows)


def _counts(plan: Plan) -> str:
    on_station = sum(one.station is not None for one in plan.batteries)
    return (
        f"{len(plan.batteries) + len(plan.held_back)} batteries: {on_station} go on a station and are read, "
        f"{len(plan.batteries) - on_station} are only read, {len(plan.held_back)} have nothing to do on the "
        "bench."
    )
