"""What changed since the revision before: grades, and what was read or written anew."""

from collections.abc import Sequence

from intake.model.revision import GRADE, Change, Revision
from intake.model.verdict import Grade
from intake.report.drawing.list_table import Column
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG
from intake.report.drawing.writer import Writer

_MOST_NAMED = 6
_BEST_FIRST = (Grade.RESALE, Grade.RECONDITIONABLE)
"""Any other grade takes back what these allowed."""
_BATCH = "Batch sheet"


def revision_in_words(revision: Revision) -> str:
    """Return the place in the chain as one sentence; empty for the first revision."""
    if revision.number == 1:
        return ""
    by = f" ({one_line(revision.by)})" if revision.by else ""
    reason = one_line(revision.reason or "no reason kept")
    return f"Revision {revision.number}, replaces {revision.number - 1}: {reason}{by}"


def withdrawn_in_words(revision: Revision) -> str:
    """Return which batteries may no longer be sold or worked on as before; empty where there is none."""
    lost = [
        f"{one_line(one.tag)} ({_arrow(one)})"
        for one in revision.changes
        if one.field == GRADE and _rank(one.after) > _rank(one.before)
    ]
    if not lost:
        return ""
    more = f" and {len(lost) - _MOST_NAMED} more" if len(lost) > _MOST_NAMED else ""
    return f"Grade withdrawn since revision {revision.number - 1}: {', '.join(lost[:_MOST_NAMED])}{more}."


def _rank(grade: str) -> int:
    """Return the place of a grade, what may be sold first; of a battery that is not there, the last."""
    found = [place for place, one in enumerate(_BEST_FIRST) if one.value == grade]
    return found[0] if found else len(_BEST_FIRST)


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
    grade = next((_arrow(one) for one in changes if one.field == GRADE), "")
    cells = [f"{one.field}: {_arrow(one)}" for one in changes if one.field != GRADE]
    more = len(cells) - _MOST_NAMED
    named = [*cells[:_MOST_NAMED], *([f"and {more} more"] if more > 0 else [])]
    return one_line(tag or _BATCH), grade, one_line("; ".join(named))


def _arrow(change: Change) -> str:
    return f"{change.before or 'blank'} → {change.after or 'blank'}"
