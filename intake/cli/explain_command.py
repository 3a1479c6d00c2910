"""``intake explain``: the whole decision trace of one battery."""

import argparse
import sys
from typing import Any

from intake.bench.charge_gates import gated
from intake.checks.clock_hours import hours_in_words
from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import settings_from
from intake.cli.rule_catalogue import catalogue_lines
from intake.cli.screen_text import finding_lines, json_line
from intake.model.battery import Batch
from intake.model.finding import Severity
from intake.model.printable import printable
from intake.model.result import GradedBattery
from intake.model.rules import Rule
from intake.model.verdict import Effect, Evidence, Step
from intake.policy.evidence_words import evidence_words
from intake.policy.grading_policy import GradingPolicy
from intake.policy.second_look import looked_over
from intake.report.words.actions import step_in_full
from intake.report.words.battery import tests_in_words
from intake.report.words.reasons import reason_in_full
from intake.runner.read_many import read_safely
from intake.runner.run_batch import grade_one, meter_accuracy

_SIGNS = (
    "u: standard uncertainty. P: probability that the true value keeps to the relation in its brackets.",
    "Slope per e-fold: what the voltage loses while the time since the charge grows 2.718 times.",
)
"""What the figures of the whole trace mean."""


def run(options: argparse.Namespace) -> ExitCode:
    """Print each rule applied to one battery, with reading, limit, margin and source; or list all rules."""
    if options.rules:
        for line in catalogue_lines(as_json=options.json):
            print(printable(line))
        return ExitCode.DONE
    if options.workbook is None or options.tag is None:
        print("explain needs a workbook and a tag, or --rules for the list of rules.", file=sys.stderr)
        return ExitCode.USAGE
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    read = read_safely(options.workbook, settings)
    if read.batch is None:
        print(printable(f"{options.workbook}: REJECTED"))
        for line in finding_lines(read.findings, least=Severity.ERROR):
            print(line)
        return ExitCode.REJECTED
    chosen = [one for one in read.batch.batteries if one.tag.casefold() == options.tag.casefold()]
    if not chosen:
        tags = ", ".join(one.tag for one in read.batch.batteries[:10])
        text = f"There is no battery {options.tag!r} in {options.workbook}. Its tags begin: {tags}."
        print(printable(text), file=sys.stderr)
        return ExitCode.USAGE
    verdicts = [grade_one(battery, read.batch, settings.policy) for battery in chosen]
    graded = [GradedBattery(*pair, None, None, False) for pair in zip(chosen, verdicts, strict=True)]
    for one in gated(looked_over(graded), policy=settings.policy):
        if options.json:
            battery = {"tag": one.battery.tag, "row": one.battery.row}
            shown = {"condition": one.condition.value, "do_next": step_in_full(one)}
            print(json_line({**battery, **shown, **_opened(one.verdict)}, default=_rule_id))
        else:
            for line in _lines(one, read.batch, settings.policy, everything=options.all):
                print(printable(line))
    return ExitCode.ROW_ERRORS if any(one.row_errors for one in chosen) else ExitCode.DONE


def _opened(value: Any) -> Any:
    """Return a record, and every record in it, as its attributes under their names; figures as they are."""
    if not isinstance(value, tuple):
        return value
    names, parts = getattr(value, "_fields", None), [_opened(one) for one in value]
    return dict(zip(names, parts, strict=True)) if names else parts


def _rule_id(rule: Rule) -> str:
    return rule.id


def _test_that_waits(one: GradedBattery) -> list[str]:
    """Return what keeps a test from being evidence: no hold that is long enough stands beside it."""
    tests = tests_in_words(one.battery)
    if not tests or one.verdict.evidence not in (Evidence.NONE, Evidence.REST_ONLY, Evidence.SHORT_HOLD):
        return []
    return [f"  tested: {tests}; as evidence a test counts beside a hold of 12 h or more"]


def _lines(one: GradedBattery, batch: Batch, policy: GradingPolicy, *, everything: bool) -> list[str]:
    """Return the decision, then the rules that fired, then with ``everything`` the others."""
    battery, verdict = one.battery, one.verdict
    percent, volts = meter_accuracy(batch, policy)
    lines = [
        f"{battery.tag} (Batteries row {battery.row}), {battery.chemistry.value}: {verdict.grade.value}",
        (
            f"  evidence {verdict.evidence.value} ({evidence_words()[verdict.evidence]}),"
            f" handling {one.condition.value}"
        ),
        *_test_that_waits(one),
        f"  decided by {verdict.decisive.rule.id}: {reason_in_full(verdict.decisive)}",
        f"  next step: {step_in_full(one)}",
        *(f"  {line}" for line in hours_in_words(battery)),
        f"  meter {percent:g} % + {volts:g} V, risk limit {policy.decision.risk_limit.value:g}",
        f"  policy {policy.name} ({policy.sha256[:12]})",
        "",
        "Rules that fired, that is, whose condition the readings meet; the decisive one first.",
        *(_SIGNS if everything else ()),
    ]
    for step in verdict.reasons:
        lines += _step_lines(step, step.text if everything else reason_in_full(step))
    others = [step for step in verdict.steps if not step.fired]
    if everything:
        lines += ["", "Rules that did not fire, in their order."]
        lines += [line for step in others for line in _step_lines(step, step.text)]
    elif others:
        lines += ["", f"{len(others)} more rules did not fire: --all shows them."]
    lines += [f"Warning: {warning}" for warning in verdict.warnings]
    return lines


def _step_lines(step: Step, text: str) -> list[str]:
    mark, effect = ("*", _effect(step)) if step.fired else (" ", "did not fire")
    lines = [f"{mark} {step.rule.id}: {effect}", f"    {text}"]
    if isinstance(step.measured, float) and isinstance(step.limit, float):
        unit = "" if step.unit == "1" else f" {step.unit}"
        margin = step.measured - step.limit
        read, limit = (_figure(one, step.unit) for one in (step.measured, step.limit))
        told = f"read {read}{unit}, limit {limit}{unit}, margin {margin:+.2g}{unit}"
        if step.limit_to_be_sure is not None:
            told += f", to be sure {_figure(step.limit_to_be_sure, step.unit)}{unit}"
        lines.append(f"    {told}")
    lines.append(f"    source: {step.source} ({step.status})")
    return lines


def _figure(value: float, unit: str) -> str:
    """Return a figure with what a meter can tell: volts to the millivolt, others to four digits."""
    return f"{value:.3f}" if unit == "V" else f"{value:.4g}"


def _effect(step: Step) -> str:
    if step.effect in (Effect.CAP_RECONDITIONABLE, Effect.CAP_RESALE):
        return f"at most {step.effect.value}"
    return step.effect.value
