"""What the manifest says, before it is drawn."""

from collections.abc import Iterable
from typing import NamedTuple

from intake.model.condition import Condition
from intake.model.finding import Finding, Severity
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade
from intake.report.drawing.plain_text import one_line
from intake.report.words.actions import ActionGroup, action_groups, temperature_first
from intake.report.words.charge_and_remarks import finding_in_words
from intake.report.words.reasons import is_close
from intake.report.words.tag_order import by_tag

_MOST_MESSAGES = 2
"""So many different findings of one kind are printed before the rest is only counted."""
_MAIN_SHEET = "Batteries"
"""Its cells are named alone, those of another sheet with the sheet."""
_MOST_PLACES = 12
"""So many cells are named for a finding before the rest is only counted."""
_NOTHING_TO_DO = "Nothing to do"
_SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


class FindingLine(NamedTuple):
    """Findings that say the same, with every place where it was found."""

    severity: Severity
    what: str
    hint: str
    places: tuple[str, ...]
    """Cell or sheet, and the tag."""
    more: int
    """How many further places are not named."""


class ManifestContent(NamedTuple):
    """The whole document but for what is said of every load."""

    groups: tuple[ActionGroup, ...]
    listed: tuple[GradedBattery, ...]
    """Every battery, in the order of tags."""
    in_full: tuple[GradedBattery, ...]
    """Those that a line does not do justice: unresolved, close to a limit, contradicted, suspect, damaged."""
    findings: tuple[FindingLine, ...]
    only_noted: int
    """Findings that ask for nothing: how cells were read. They stand in ``results.xlsx`` alone."""


def manifest_content(result: BatchResult) -> ManifestContent:
    """Sort a graded batch for the recycler."""
    listed = by_tag(result.graded)
    told = [one for one in result.findings if not one.hint.startswith(_NOTHING_TO_DO)]
    return ManifestContent(
        groups=action_groups(result),
        listed=tuple(listed),
        in_full=tuple(one for one in listed if is_unusual(one)),
        findings=tuple(_collapsed(told)),
        only_noted=len(result.findings) - len(told),
    )


def is_unusual(one: GradedBattery) -> bool:
    """Say whether a battery wants more than a line."""
    verdict = one.verdict
    return (
        verdict.grade is Grade.UNRESOLVED
        or one.condition is not Condition.INTACT
        or bool(one.look_again)
        or temperature_first(one) is not None
        or bool(verdict.warnings)
        or is_close(verdict.decisive)
    )


def errors_in_words(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return how many errors the workbook has, for the first page; nothing where it has none."""
    count = sum(one.severity is Severity.ERROR for one in findings)
    if not count:
        return ()
    errors, them = ("1 error", "it") if count == 1 else (f"{count} errors", "them")
    return (f"{errors} in the workbook, see Findings: mend {them} and grade again.",)


def _collapsed(findings: Iterable[Finding]) -> list[FindingLine]:
    """Put findings that ask for the same on one line."""
    kinds: dict[tuple[Severity, str], list[Finding]] = {}
    for one in findings:
        kinds.setdefault((one.severity, one.hint), []).append(one)
    lines = [_line(ones) for ones in kinds.values()]
    return sorted(lines, key=lambda line: _SEVERITIES.index(line.severity))


def _line(ones: list[Finding]) -> FindingLine:
    messages = list(dict.fromkeys(one_line(finding_in_words(one)) for one in ones))
    more = len(messages) - _MOST_MESSAGES
    shown = messages[:_MOST_MESSAGES] + ([f"And {more} more like these."] if more > 0 else [])
    places = list(dict.fromkeys(_place(one) for one in ones))
    return FindingLine(
        severity=ones[0].severity,
        what=" ".join(shown),
        hint=one_line(ones[0].hint),
        places=tuple(places[:_MOST_PLACES]),
        more=max(len(places) - _MOST_PLACES, 0),
    )


def _place(one: Finding) -> str:
    where = one.cell if one.cell and one.sheet == _MAIN_SHEET else one.place
    return f"{where} {one.tag}".strip()
