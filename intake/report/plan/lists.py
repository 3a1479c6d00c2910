"""What stands behind the bench sheets: how each charging time is reckoned, notes, cautions."""

from collections.abc import Mapping, Sequence

from intake.model.plan import PlannedBattery
from intake.report.drawing.blocks import Band, RowLook, line_of, place_row, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import CONTINUED, SMALL, TEXT, Clauses
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import SLATE
from intake.report.drawing.typesetter import MISSING_SIGN, Style
from intake.report.plan.content import PlanContent
from intake.report.plan.words import cautions_for, moment_in_words

_HEAD = Style(7.5, Face.BOLD, SLATE)
_TAG = Style(9, Face.BOLD)
_TEXT = Style(8)
_LOOK = RowLook(above=2.5, below=3, rule_width=0.4)
_WHAT, _LONG = 112.0, 232.0
_PLANNED = "Batteries on the bench"
_PLANNED_TOLD = (
    "How long each is on its station at most, how that is reckoned, and when its last reading is taken."
)
_SOURCES = "Sources of the charging figures"
_NOTES = "What this plan takes for granted"
_CAUTIONS = "Cautions, with their sources"


class PlanLists:
    """Sets and places the closing sections."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._setter = clauses.setter

    def place(self, flow: Flow, content: PlanContent) -> None:
        """Place all of them."""
        plan = content.plan
        sources = _sources(plan.batteries)
        self._planned(flow, plan.batteries, sources)
        self._points(flow, _SOURCES, [(f"{number}: {text}", "") for text, number in sources.items()])
        self._points(flow, _NOTES, [(text, "") for text in plan.notes])
        cautions = cautions_for(one.chemistry for one in plan.batteries)
        self._points(flow, _CAUTIONS, [(one.text, one.source) for one in cautions])
        if self._setter.replaced:
            flow.space(6)
            text = f"Characters that could not be printed are shown as {MISSING_SIGN}."
            flow.place(stack(self._clauses.lines(text, SMALL)))

    def _planned(self, flow: Flow, ones: Sequence[PlannedBattery], sources: Mapping[str, int]) -> None:
        if not ones:
            return
        heads = self._heads("Tag", "Chemistry, grade, station", "Charging time, last reading")
        self._open(flow, f"{_PLANNED} ({len(ones)})", _PLANNED_TOLD, heads)
        with flow.repeating(self._again(_PLANNED, heads)):
            for one in ones:
                place_row(flow, [self._planned_one(one, sources)], look=_LOOK)

    def _planned_one(self, one: PlannedBattery, sources: Mapping[str, int]) -> Band:
        estimate = one.estimate
        lines = self._right(f"Last reading {moment_in_words(one.finished)}.")
        if estimate is not None:
            lines += self._right(
                f"{estimate.hours_low:.1f} to {estimate.hours_high:.1f} h: {estimate.working}"
            )
        for text in one.remarks:
            lines += self._right(text)
        if estimate is not None:
            place = f"Figures from sources {sources[estimate.source]} below"
            lines += self._right(f"{place}; the weakest of them: {estimate.status}.", SMALL)
        station = f"station {one.station}" if one.station else "no station needed"
        return self._row(one.tag, [one.chemistry.value, one.grade.value, station], lines)

    def _points(self, flow: Flow, title: str, texts: Sequence[tuple[str, str]]) -> None:
        if not texts:
            return
        self._clauses.section(flow, title)
        with self._clauses.continued(flow, title):
            for text, source in texts:
                lines = self._clauses.lines(text, TEXT)
                lines += self._clauses.lines(source, SMALL) if source else []
                place_row(flow, [[(0.0, lines)]], look=RowLook(above=2, below=2, rule_width=0))

    def _open(self, flow: Flow, title: str, told: str, heads: Block) -> None:
        self._clauses.section(flow, title, told)
        flow.keep_with_next(heads)

    def _again(self, title: str, heads: Block) -> Block:
        return stack([*self._clauses.lines(f"{title}, continued", CONTINUED), Block(2, ()), heads])

    def _heads(self, *texts: str) -> Block:
        heads = line_of(_HEAD, *zip((0.0, _WHAT, _LONG), texts, strict=True))
        line = LineMark(0, 2, self._clauses.width, 2, 0.9, SLATE)
        return stack([heads, Block(3, ((line, 0.0, 0.0),))])

    def _row(self, tag: str, what: Sequence[str], right: list[Block]) -> Band:
        return [
            (0.0, text_lines(self._setter, tag, _TAG, _WHAT - 8)),
            (
                _WHAT,
                [line for text in what for line in text_lines(self._setter, text, _TEXT, _LONG - _WHAT - 8)],
            ),
            (_LONG, right),
        ]

    def _right(self, text: str, style: Style = _TEXT) -> list[Block]:
        return self._clauses.lines(text, style, width=self._clauses.width - _LONG)


def _sources(ones: Sequence[PlannedBattery]) -> dict[str, int]:
    """Number the sources that the estimates name, in the order of the batteries."""
    named = dict.fromkeys(one.estimate.source for one in ones if one.estimate)
    return {text: number for number, text in enumerate(named, start=1)}
