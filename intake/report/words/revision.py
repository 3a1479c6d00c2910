"""What a later revision says on its first page: why it is there, what rose, what fell, what is missing."""

from collections.abc import Callable

from intake.model.revision import ABSENT, BATTERY, GRADE, HOLD, Change, Revision
from intake.model.verdict import Grade
from intake.policy.dictionary import load_dictionary
from intake.report.drawing.plain_text import one_line

_MOST_NAMED = 6
"""So many batteries are named before the rest is only counted."""
_BEST_FIRST = (Grade.RESALE, Grade.RECONDITIONABLE)
"""Any other grade takes back what these allowed."""
_MEASURED = (
    "rest_voltage_v",
    "load_voltage_v",
    "measured_cca_a",
    "delivered_capacity_ah",
    "internal_resistance_mohm",
    "specific_gravity",
    "cell_voltages_v",
)
"""Keys of the columns in which a reading stands; the others say when, how warm, or against what."""


def revision_lines(revision: Revision) -> tuple[str, ...]:
    """Return what the first page says of a revision, a sentence a line; nothing of a first one."""
    lines = (
        revision_in_words(revision),
        missing_in_words(revision),
        raised_in_words(revision),
        lowered_in_words(revision),
    )
    return tuple(one for one in lines if one)


def revision_in_words(revision: Revision) -> str:
    """Return the place in the chain as one sentence; empty for the first revision."""
    if revision.number == 1:
        return ""
    by = f" ({one_line(revision.by)})" if revision.by else ""
    reason = one_line(revision.reason or "no reason kept")
    return f"Revision {revision.number}, replaces {revision.number - 1}: {reason}{by}"


def lowered_in_words(revision: Revision) -> str:
    """Return which batteries may no longer be sold or worked on as before; empty where there is none."""
    return _moved(revision, "Lowered", lambda before, after: after > before)


def raised_in_words(revision: Revision) -> str:
    """Return which batteries may be sold or worked on now that might not before; empty: none."""
    return _moved(revision, "Raised", lambda before, after: after < before)


def missing_in_words(revision: Revision) -> str:
    """Return how many readings and which batteries of the revision before are missing; empty: none."""
    count = sum(_readings_gone(one) for one in revision.changes)
    gone = [one_line(one.tag) for one in revision.changes if one.field == BATTERY and one.after == ABSENT]
    told = []
    if count:
        told.append("1 reading" if count == 1 else f"{count} readings")
    if gone:
        told.append(f"{'battery' if len(gone) == 1 else 'batteries'} {_named(gone, revision.number)}")
    if not told:
        return ""
    are, were = ("is", "it was") if count + len(gone) == 1 else ("are", "they were")
    return (
        f"Of revision {revision.number - 1}, {' and '.join(told)} {are} not in this one. If {were} not taken "
        "out on purpose, the wrong workbook may have been saved."
    )


def _moved(revision: Revision, how: str, moved: Callable[[int, int], bool]) -> str:
    found = [
        f"{one_line(one.tag)} ({arrow(one)})"
        for one in revision.changes
        if one.field == GRADE and moved(_rank(one.before), _rank(one.after))
    ]
    before = revision.number - 1
    return f"{how} since revision {before}: {_named(found, revision.number)}." if found else ""


def _named(ones: list[str], number: int) -> str:
    more = len(ones) - _MOST_NAMED
    named = ", ".join(ones[:_MOST_NAMED])
    return f"{named} and {more} more, listed under Since revision {number - 1}" if more > 0 else named


def _rank(grade: str) -> int:
    """Return the place of a grade, what may be sold first; of a battery that is not there, the last."""
    found = [place for place, one in enumerate(_BEST_FIRST) if one.value == grade]
    return found[0] if found else len(_BEST_FIRST)


def _readings_gone(change: Change) -> int:
    """Return how many fewer readings a cell, or the list of hold readings, has."""
    columns = load_dictionary().sheets["batteries"].columns
    measured = {one.header for one in columns if one.key in _MEASURED}
    if change.field != HOLD and change.field not in measured:
        return 0
    before, after = (sum(bool(part) for part in text.split("; ")) for text in (change.before, change.after))
    return max(before - after, 0)


def arrow(change: Change) -> str:
    """Return what was and what is, ``blank`` for an empty cell."""
    return f"{change.before or 'blank'} → {change.after or 'blank'}"
