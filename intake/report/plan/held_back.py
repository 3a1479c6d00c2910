"""Batteries that a bench plan gives nothing to do, together by the reason."""

from collections.abc import Sequence

from intake.model.plan import HeldBack
from intake.report.drawing.blocks import RowLook, place_row, stack
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import CONTINUED, SMALL, STRONG, TEXT, Clauses
from intake.report.drawing.typesetter import NO_BREAK
from intake.report.words.battery import chemistry_in_words

_TITLE = "Nothing to do on the bench"
_TOLD = "None of these gets a station or a reading. Why, and the next step:"
_LOOK = RowLook(above=3, below=3.5, rule_width=0.4)
_LEFT_SHARE, _GUTTER = 0.52, 12.0


def place_held_back(flow: Flow, clauses: Clauses, ones: Sequence[HeldBack]) -> None:
    """Place a row for each reason with the batteries it is for; none: nothing."""
    if not ones:
        return
    by_reason: dict[tuple[str, str], list[HeldBack]] = {}
    for one in ones:
        by_reason.setdefault((one.reason, one.next_step), []).append(one)
    clauses.section(flow, f"{_TITLE} ({len(ones)})", _TOLD)
    left = _LEFT_SHARE * clauses.width
    title = clauses.lines(f"{_TITLE}, continued", CONTINUED)
    with flow.repeating(stack([*title, Block(2, ())])):
        for (reason, next_step), some in by_reason.items():
            why = clauses.lines(f"{reason}{NO_BREAK}({len(some)})", STRONG, width=left - _GUTTER)
            why += clauses.lines(next_step, SMALL, width=left - _GUTTER)
            tags = ", ".join(map(_in_words, some))
            which = clauses.lines(tags, TEXT, width=clauses.width - left)
            place_row(flow, [[(0.0, why), (left, which)]], look=_LOOK)


def _in_words(one: HeldBack) -> str:
    """Return tag and chemistry, which stay on one line."""
    return f"{one.tag} ({chemistry_in_words(one.chemistry)})".replace(" ", NO_BREAK)
