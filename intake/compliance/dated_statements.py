"""One statement of the rule data as it stands on a day: printed, marked with its dates, or withheld."""

from collections.abc import Iterable
from datetime import date, timedelta

from intake.model.compliance import Statement
from intake.policy.jurisdictions import Rule, Standing
from intake.policy.sources import Source

CHANGE_SHOWN_DAYS = 60
"""So many days before and after a change both the old and the new statement are shown."""

_ONE_DAY = timedelta(days=1)
_CHECKED = {
    Standing.PROPOSAL: "no source says it outright",
    Standing.COMMON_PRACTICE: "no source opened",
    Standing.FROM_MEMORY: "not checked",
}
_OPENED = {
    frozenset({"authority"}): "official text opened",
    frozenset({"secondary"}): "report about the rule opened, not the rule",
    frozenset({"authority", "secondary"}): "opened: an official text, and a report about the rule",
}


def statement_on(rule: Rule, day: date, *, found: str = "") -> Statement:
    """Return the statement for documents of ``day``.

    It keeps its text where it is in force, or within 60 days of a change, and is then marked with its
    dates. Otherwise only the heading is left: what is out of date or from memory is never printed.

    Parameters
    ----------
    found
        What on this pallet calls for the statement; it opens the text.
    """
    text = rule.text
    if text is not None:
        text = _marked(rule, day, f"{found} {text}" if found else text)
    told = Statement(
        heading=rule.heading,
        text=text,
        source="" if text is None else source_in_words(rule.standing, rule.sources),
        checked=_checked_in_words(rule.standing, rule.sources),
        valid_from=rule.valid_from,
        valid_to=rule.valid_to,
        purpose=rule.purpose,
    )
    return told._replace(short=rule.short) if told.holds(day) else told


def statements_on(rules: Iterable[Rule], day: date) -> tuple[Statement, ...]:
    """Return all statements for ``day``, in the order of the data."""
    return tuple(statement_on(rule, day) for rule in rules)


def source_in_words(standing: Standing, sources: Iterable[Source]) -> str:
    """Return what is printed as the source: citations, or what replaces one."""
    citations = "; ".join(source.citation for source in sources)
    if standing is Standing.PROPOSAL:
        return f"proposal of this tool, read from: {citations}" if citations else "proposal of this tool"
    return citations or Standing.COMMON_PRACTICE.value


def _checked_in_words(standing: Standing, sources: Iterable[Source]) -> str:
    if standing is not Standing.OPENED:
        return _CHECKED[standing]
    told = tuple(sources)
    kind = _OPENED[frozenset(source.evidence for source in told)]
    return kind if all(source.whole for source in told) else f"{kind}; excerpts read"


def _marked(rule: Rule, day: date, text: str) -> str | None:
    """Return the text with the dates that matter on ``day``, None where it must not be printed."""
    if rule.valid_from and day < rule.valid_from:
        return f"Not yet in force, from {rule.valid_from}: {text}" if _near(rule.valid_from, day) else None
    if rule.valid_to and day > rule.valid_to:
        ended = _near(rule.valid_to + _ONE_DAY, day)
        return f"Until {rule.valid_to}, no longer in force: {text}" if ended else None
    if rule.valid_to and _near(rule.valid_to + _ONE_DAY, day):
        return f"In force until {rule.valid_to}: {text}"
    if rule.valid_from and _near(rule.valid_from, day):
        return f"In force from {rule.valid_from}: {text}"
    return text


def _near(change: date, day: date) -> bool:
    """Whether ``day`` is within 60 days of ``change``, the first day on which things are different."""
    return abs((change - day).days) <= CHANGE_SHOWN_DAYS
