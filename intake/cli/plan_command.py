"""``intake plan``: which battery goes on which charging station, when, and what is read when."""

import argparse
import sys
from datetime import date

from intake.bench.schedule import NeverDone
from intake.bench.stations import StationsRefused, stations_from
from intake.bench.working_time import WorkingTimeRefused, days_from, merged, shift_from
from intake.cli.exit_codes import ExitCode
from intake.cli.reading_options import settings_from
from intake.cli.screen_text import carried_lines, counted, finding_lines, json_line, rejected
from intake.model.finding import Severity
from intake.model.plan import Plan
from intake.model.printable import printable
from intake.policy.grading_policy import GradingPolicy
from intake.report.plan.words import gap_in_words, lateness_in_words
from intake.runner.grade_many import Ending
from intake.runner.plan_bench import BenchOptions, PlanOutcome, plan_bench

_USUAL_SHIFT = "08:00-17:00"


def run(options: argparse.Namespace) -> ExitCode:
    """Plan the bench for one workbook and say what came out."""
    settings = settings_from(options)
    if settings is None:
        return ExitCode.USAGE
    try:
        bench = _bench_from(options, settings.policy)
        outcome = plan_bench(options.workbook, options.out or options.workbook.parent, settings, bench)
    except (StationsRefused, WorkingTimeRefused) as refusal:
        return _wrong(str(refusal))
    except NeverDone as never:
        return _wrong(f"No plan can be made: {never}. Give longer shifts or more days.")
    if outcome.plan is not None and not options.quiet:
        _warn_of_past(outcome.plan, settings.today)
    if options.json:
        print(_json(outcome))
    else:
        _tell(outcome, quiet=options.quiet)
    return _code(outcome)


def _bench_from(options: argparse.Namespace, policy: GradingPolicy) -> BenchOptions:
    return BenchOptions(
        stations=stations_from(options.stations, usual_current_a=policy.bench.station_current_a.value),
        shifts=merged(tuple(shift_from(text) for text in options.shift or (_USUAL_SHIFT,))),
        days=days_from(options.days),
        start=options.start,
        qualified=options.qualified,
        most_unfit_percent=options.assure,
    )


def _wrong(text: str) -> ExitCode:
    print(printable(text), file=sys.stderr)
    return ExitCode.USAGE


def _code(outcome: PlanOutcome) -> ExitCode:
    if outcome.ending is Ending.NOT_WRITTEN:
        return ExitCode.NOT_WRITTEN
    if outcome.ending is Ending.REJECTED:
        return ExitCode.REJECTED
    return ExitCode.ROW_ERRORS if outcome.row_errors else ExitCode.DONE


def _tell(outcome: PlanOutcome, *, quiet: bool) -> None:
    if outcome.ending is Ending.NOT_WRITTEN:
        print(printable(f"{outcome.path}: {outcome.problem}"), file=sys.stderr)
        return
    if outcome.plan is None:
        print(printable(rejected(outcome.path)))
    elif not quiet:
        for line in _lines(outcome.plan):
            print(printable(line))
        print(printable(f"  documents in {outcome.folder}"))
        for line in carried_lines(outcome.carried):
            print(printable(line))
    for line in finding_lines(outcome.findings, least=Severity.ERROR):
        print(line)


def _warn_of_past(plan: Plan, today: date) -> None:
    """Say where a plan lies in the past; only here, as its documents are the same on any day."""
    if plan.tasks and plan.start.date() < today:
        verb = "finishes" if plan.end.date() < today else "starts"
        print(
            f"The plan {verb} before today. Give the day on which the work begins, like --start {today}.",
            file=sys.stderr,
        )


def _lines(plan: Plan) -> list[str]:
    on_station = sum(one.station is not None for one in plan.batteries)
    return [
        (
            f"{plan.batch}: {on_station} of {len(plan.batteries) + len(plan.held_back)} batteries on "
            f"{counted(len(plan.stations), 'station')}, {len(plan.batteries) - on_station} only read, "
            f"{len(plan.held_back)} with nothing to do"
        ),
        f"  {gap_in_words(plan)}",
        f"  {lateness_in_words(plan)}",
    ]


def _json(outcome: PlanOutcome) -> str:
    plan = outcome.plan
    return json_line(
        {
            "workbook": str(outcome.path),
            "ending": outcome.ending.value,
            "batch": plan.batch if plan else "",
            "batteries": len(plan.batteries) if plan else 0,
            "held_back": len(plan.held_back) if plan else 0,
            "start": plan.start.isoformat(timespec="minutes") if plan else None,
            "end": plan.end.isoformat(timespec="minutes") if plan else None,
            "bound": plan.bound.isoformat(timespec="minutes") if plan else None,
            "folder": str(outcome.folder) if outcome.folder else None,
            "row_errors": outcome.row_errors,
            "problem": outcome.problem,
        }
    )
