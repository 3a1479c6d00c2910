"""What changed since the revision before: grades, and what was read or written anew."""

from collections.abc import Sequence

from intake.model.revision import GRADE, Change, Revision
from intake.report.drawing.list_table import Column
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG
from intake.report.drawing.writer import Writer
from intake.report.words.revision import arrow

_MOST_NAMED = 6
_BATCH = "Batch sheet"


def place_changes(writer: Writer, revision: Revision) -> None:
    """Place a line for each battery that changed, those with another grade first; nothing for a first set."""
    if revision.number == 1:
        return
    title = f"Since revision {revision.number - 1}"
    by_tag: dict[str, list[Change]] = {}
    for one in revision.changes:
        by_tag.setdefault(one.tag, []).append(one)
    rows = sorted((_row(tag, ones) for tag, ones in by_tag.items()), key=lambda row: not row[1])
    writer.section(title, "The set before is kept whole under earlier/, with its digest in results.json.")
    writer.table(_COLUMNS, rows, title=title)


_COLUMNS = (
    Column("Battery", 2, style=STRONG),
    Column("Grade", 4),
    Column("What was read or written anew", 8),
)


def _row(tag: str, changes: Sequence[Change]) -> tuple[str, str, str]:
    grade = next((arrow(one) for one in changes if one.field == GRADE), "")
    cells = [f"{one.field}: {arrow(one)}" for one in changes if one.field != GRADE]
    more = len(cells) - _MOST_NAMED
    named = [*cells[:_MOST_NAMED], *([f"and {more} more"] if more > 0 else [])]
    return one_line(tag or _BATCH), grade, one_line("; ".join(named))
