"""Findings and outcomes as lines for a terminal. Reads records, computes nothing."""

import json
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from intake.model.battery import Batch
from intake.model.finding import FINDING_KEYS, Finding, Severity
from intake.model.like_findings import errors_last, gather_like
from intake.model.printable import printable
from intake.report.json.encode import attributes


def escaped(text: str) -> str:
    """Return the same JSON with nothing in it that could steer a terminal: such signs stand in texts only."""
    if text.isprintable():
        return text
    return "".join(
        sign if sign.isprintable() or sign in "\t\n\r" else json.dumps(sign)[1:-1] for sign in text
    )


def json_line(value: object, *, default: Callable[[Any], object] | None = None) -> str:
    """Return a value as one line of JSON that steers no terminal."""
    return escaped(json.dumps(value, ensure_ascii=False, default=default))


def finding_lines(findings: Iterable[Finding], *, least: Severity = Severity.NOTE) -> Iterable[str]:
    """Yield a line for each kind of finding that is at least as grave as ``least``, the gravest last."""
    gravest_first = list(Severity)
    grave = [one for one in findings if gravest_first.index(one.severity) <= gravest_first.index(least)]
    for group in gather_like(errors_last(grave)):
        one = group.first
        who = f"  {one.tag}" if one.tag and len(group.findings) == 1 else ""
        what = f"  {one.field}:" if one.field else ""
        yield printable(
            f"  {one.severity.value:<8} {group.place}{who}{what} {group.message} {one.hint}".rstrip()
        )


def warn_of_today(path: Path, findings: Iterable[Finding]) -> None:
    """Print on standard error what holds on the day of the run alone and is in no document."""
    for line in finding_lines(findings):
        print(printable(f"{path}:{line}"), file=sys.stderr)


def finding_json(workbook: str, finding: Finding) -> str:
    """Return one finding as one line of JSON."""
    return json_line({"workbook": workbook, **attributes(finding, (*FINDING_KEYS, "rejects"))})


def carried_lines(names: Sequence[str]) -> Iterable[str]:
    """Yield the line that names what lies beside new documents and was left as it is."""
    if names:
        yield f"  left untouched beside them: {', '.join(names)}"


def counted(number: int, word: str) -> str:
    """Return ``1 note`` or ``2 notes``."""
    if number == 1:
        return f"1 {word}"
    return f"{number} {word.removesuffix('y')}ies" if word.endswith("y") else f"{number} {word}s"


def severity_counts(findings: Iterable[Finding]) -> str:
    """Return ``1 error, 2 warnings, 0 notes``."""
    severities = [one.severity for one in findings]
    return ", ".join(counted(severities.count(one), one.value) for one in Severity)


def closing_line(
    batch: Batch | None, findings: Sequence[Finding], workbook: Path, *, going_on: bool = False
) -> str:
    """Say what was read of a workbook, how many errors there are, and what to do next.

    Parameters
    ----------
    going_on
        Whether the command grades it right away.
    """
    counts = severity_counts(findings)
    if batch is None and not any(one.sheet for one in findings):
        return (
            f"REJECTED, nothing was written for it: {counts}. Save it as the line above says, then try again."
        )
    if batch is None:
        rejecting = sum(one.rejects for one in findings)
        them = "the error" if rejecting == 1 else f"the {rejecting} errors"
        return (
            f"REJECTED, nothing was written for it: {counts}. Mend {them} of the whole workbook first,"
            " the last above; then save and check it again."
        )
    read = f"{counted(len(batch.batteries), 'battery')} read, {counts}."
    stuck = sum(bool(one.row_errors) for one in batch.batteries)
    if not any(one.severity is Severity.ERROR for one in findings):
        return read if going_on else f"{read} Next: intake {workbook.name}"
    stay = f"{counted(stuck, 'battery')} {'stays' if stuck == 1 else 'stay'} unresolved until then."
    return f"{read} Mend the cells named as errors, save and check it again; {stay}"


def rejected(workbook: Path) -> str:
    """Say that a workbook was rejected."""
    return f"{workbook}: REJECTED, nothing was written for it."


def exists_already(path: Path) -> str:
    """Say that a file was not overwritten."""
    return f"{path} exists already and is left as it is. Choose another name."


def no_folder(path: Path) -> str:
    """Say that a folder was expected."""
    return f"{path} is no folder."


def no_batch(folder: Path) -> str:
    """Say that a folder holds nothing to work on."""
    return f"{folder} holds no graded batch."
