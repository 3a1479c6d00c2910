"""What every document prints beside a battery: the charge that counts, further reasons, warnings."""

from collections.abc import Mapping

from intake.model.finding import Finding, Severity
from intake.model.result import BatchResult, GradedBattery
from intake.model.rules import Rule
from intake.model.verdict import Effect, StateOfCharge, Step, Verdict
from intake.policy.dictionary import load_dictionary


def charge_that_counts(verdict: Verdict) -> StateOfCharge | None:
    """Return the state of charge that the hold shows, else the one at rest, else None."""
    held = verdict.held_charge
    return held.state_of_charge if held else verdict.state_of_charge


def charge_told(verdict: Verdict) -> StateOfCharge | None:
    """Return the charge to be printed: None where the voltages show nothing of what the cells hold.

    A rest voltage may be none of the cells' own; readings of a hold that rise are not those of one hold.
    """
    at_rest = verdict.held_charge is None
    hidden = at_rest and any(step.rule.hides_charge for step in verdict.reasons)
    rises = any(step.rule is Rule.HOLD_CONTRADICTS for step in verdict.reasons)
    return None if hidden or rises else charge_that_counts(verdict)


def further_reasons(one: GradedBattery) -> tuple[Step, ...]:
    """Return the rules that fired beside the decisive one."""
    return one.verdict.reasons[1:]


def notes_beside(one: GradedBattery) -> list[str]:
    """Return the sentences of the rules that change no grade and say something all the same."""
    return [step.text for step in further_reasons(one) if step.effect is Effect.NOTE]


def finding_in_words(finding: Finding) -> str:
    """Return what was found, after the name of the column or field it is about."""
    return f"{finding.field}: {finding.message}" if finding.field else finding.message


def warnings_by_row(result: BatchResult) -> Mapping[int, tuple[str, ...]]:
    """Return for each battery's row the warnings of the check and of the grading, each once.

    A finding belongs to the row it names, else to every battery with its tag.
    """
    by_tag: dict[str, list[Finding]] = {}
    for finding in result.findings:
        if finding.severity is Severity.WARNING and finding.tag:
            by_tag.setdefault(finding.tag, []).append(finding)
    list_sheet = load_dictionary().sheets["batteries"].name
    found: dict[int, tuple[str, ...]] = {}
    for one in result.graded:
        row = one.battery.row
        checked = [
            finding_in_words(finding)
            for finding in by_tag.get(one.battery.tag, ())
            if finding.sheet != list_sheet or finding.row in (0, row)
        ]
        found[row] = tuple(dict.fromkeys((*checked, *one.verdict.warnings)))
    return found
