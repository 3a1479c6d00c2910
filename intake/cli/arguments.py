"""The command line, described once."""

import argparse
import re
from datetime import date
from pathlib import Path
from typing import Any, NoReturn

from intake import __version__
from intake.cli.bench_arguments import add_bench_options
from intake.cli.load_arguments import add_custody_options, add_load_options
from intake.model.paper import PaperDocument
from intake.model.printable import printable

_JOBS_MOST = 61
"""As many processes as every system can wait for at once."""
SHORT_WAY = "short"
"""What ``intake WORKBOOK.xlsx`` stands for; not shown among the commands."""
_LONGEST_MOMENT_S = 600.0
_ADDRESS = re.compile(
    r"(?P<protocol>(tcp|tls)://)?(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9._-]+):(?P<port>[1-9][0-9]{0,4})"
)
_PORT_MOST = 65535


def _positive(text: str) -> int:
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError("must be 1 or more")
    if number > _JOBS_MOST:
        raise argparse.ArgumentTypeError(f"must be {_JOBS_MOST} at most")
    return number


def _not_negative(text: str) -> int:
    number = int(text)
    if number < 0:
        raise argparse.ArgumentTypeError("must be 0 or more")
    return number


def _text(text: str) -> str:
    if not text.strip():
        raise argparse.ArgumentTypeError("must not be blank")
    return text.strip()


def _moment(text: str) -> float:
    moment = float(text)
    if not 0 < moment <= _LONGEST_MOMENT_S:
        raise argparse.ArgumentTypeError(f"must be over 0 to {_LONGEST_MOMENT_S:g} seconds")
    return moment


def _add_printing(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--papers",
        type=_papers,
        metavar="LIST",
        help="which printed documents, such as manifest,labels (default: all; JSON and xlsx always)",
    )
    parser.add_argument(
        "--sheets",
        choices=("tested", "all"),
        default="tested",
        help="condition sheets for tested batteries only, or for all that are for resale",
    )


def _papers(text: str) -> tuple[PaperDocument, ...]:
    """Return the documents that a list names, in their order."""
    names = {one.strip().casefold() for one in text.split(",") if one.strip()}
    known = {one.value for one in PaperDocument}
    if not names or names - known:
        wrong = ", ".join(sorted(names - known)) or "nothing"
        raise argparse.ArgumentTypeError(f"{wrong} is none of {', '.join(PaperDocument)}")
    return tuple(one for one in PaperDocument if one.value in names)


def _add_out(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--out",
        type=Path,
        metavar="DIR",
        help="where the documents go (default: graded beside the workbook, or in the folder given)",
    )


def _day(text: str) -> date:
    try:
        if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise argparse.ArgumentTypeError(f"{text!r} is no day of the calendar; write it like 2026-09-30")


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, summary: str, example: str
) -> argparse.ArgumentParser:
    return commands.add_parser(
        name,
        help=summary,
        description=summary[0].upper() + summary[1:] + ".",
        epilog=f"Example:\n  {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def _add_reading(parser: argparse.ArgumentParser, *rule_data: str) -> None:
    parser.add_argument("--policy", type=Path, metavar="FILE", help="a site's own grading policy")
    _add_rule_data(parser, *rule_data)
    order = parser.add_mutually_exclusive_group()
    order.add_argument("--day-first", action="store_true", help="read 03/04/2021 as 3 April 2021")
    order.add_argument("--month-first", action="store_true", help="read 03/04/2021 as March 4, 2021")


def _add_rule_data(parser: argparse.ArgumentParser, *names: str) -> None:
    parser.add_argument(
        *(names or ("--rules", "--rule-data")),
        dest="rule_data",
        type=Path,
        metavar="DIR",
        help="a folder of the site's own rule data, one file a jurisdiction",
    )


def _add_jobs(
    parser: "argparse.ArgumentParser | argparse._MutuallyExclusiveGroup",
) -> None:
    parser.add_argument(
        "--jobs", type=_positive, default=1, metavar="N", help="work on N workbooks at a time"
    )


def _add_where(parser: argparse.ArgumentParser) -> None:
    """Add where many workbooks are worked on: on this machine, or on a cluster."""
    where = parser.add_mutually_exclusive_group()
    _add_jobs(where)
    where.add_argument(
        "--cluster",
        type=_scheduler,
        metavar="ADDRESS",
        help="work on the machines of a dask scheduler, such as tcp://192.0.2.10:8786, over shared storage",
    )


def _scheduler(text: str) -> str:
    """Return the address of a scheduler with its protocol."""
    match = _ADDRESS.fullmatch(text)
    if match is None or int(match["port"]) > _PORT_MOST:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no address of a scheduler; write it like tcp://192.0.2.10:8786"
        )
    return text if match["protocol"] else f"tcp://{text}"


def _add_many(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("paths", nargs="+", type=Path, metavar="PATH", help="a workbook, or a folder of them")
    parser.add_argument("--strict", action="store_true", help="any row error rejects the workbook")
    parser.add_argument("--recursive", action="store_true", help="look into the folders below a PATH as well")
    parser.add_argument("--quiet", action="store_true", help="print errors only")
    parser.add_argument("--json", action="store_true", help="print JSON lines instead of text")


class _Parser(argparse.ArgumentParser):
    """Says what is wrong with the arguments, and steers no terminal with what they hold."""

    def error(self, message: str) -> NoReturn:
        super().error(printable(message))

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Refuse what is not known where it was given, so that the usage shown is the command's own."""
        found, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(f"unrecognized arguments: {' '.join(unknown)}")
        return found, unknown


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    parser: argparse.ArgumentParser = _Parser(
        prog="intake",
        description="Read intake workbooks of used 12 V batteries, grade each, and write the documents.",
        epilog="Each command has its own --help with an example.",
    )
    parser.add_argument("--version", action="version", version=f"intake {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    new = _command(
        commands,
        "new",
        "write a blank intake workbook, or a form to fill in by hand",
        "intake new pallet-17.xlsx\n  intake new --short pallet-17.xlsx\n  intake new --pen form.pdf",
    )
    new.add_argument("file", type=Path, nargs="?", metavar="FILE.xlsx")
    new.add_argument("--short", action="store_true", help="only what a grade needs, on one page of 30 rows")
    new.add_argument(
        "--pen", type=Path, metavar="FILE.pdf", help="print the short form as a page to fill in with a pen"
    )
    new.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of --pen (default: a4)")
    _add_rule_data(new)

    check = _command(
        commands, "check", "read and validate workbooks and say what is wrong", "intake check pallet-17.xlsx"
    )
    _add_many(check)
    _add_jobs(check)
    check.add_argument(
        "--marked", type=Path, metavar="DIR", help="write a copy of each workbook with its findings marked"
    )
    check.add_argument("--overwrite", action="store_true", help="replace marked copies that exist already")
    _add_reading(check)

    grade = _command(
        commands,
        "grade",
        "grade every battery and write the documents of each batch",
        "intake grade pallet-17.xlsx --out graded",
    )
    _add_many(grade)
    _add_where(grade)
    _add_out(grade)
    grade.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    _add_printing(grade)
    grade.add_argument("--overwrite", action="store_true", help="replace documents that exist already")
    grade.add_argument(
        "--reason",
        type=_text,
        metavar="TEXT",
        help='why a batch is graded again, such as "second readings": keeps the revision before',
    )
    grade.add_argument("--by", type=_text, metavar="NAME", help="who says so (default: the inspector)")
    _add_reading(grade)

    short = commands.add_parser(SHORT_WAY, description="Check a workbook and grade it beside itself.")
    short.add_argument("workbook", type=Path, metavar="WORKBOOK.xlsx")
    _add_out(short)
    short.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    _add_printing(short)
    short.add_argument("--overwrite", action="store_true", help="replace documents that exist already")
    short.add_argument("--reason", type=_text, metavar="TEXT", help="why the batch is graded again")
    short.add_argument("--by", type=_text, metavar="NAME", help="who says so (default: the inspector)")
    _add_reading(short)

    watch = _command(
        commands,
        "watch",
        "serve a folder: each workbook saved into it gets its papers",
        "intake watch --set-up inbox --out graded   (then: intake watch inbox --out graded)",
    )
    watch.add_argument("inbox", type=Path, metavar="INBOX", help="the folder that people save workbooks into")
    watch.add_argument(
        "--out", type=Path, metavar="DIR", help="where the documents go (default: graded inside INBOX)"
    )
    watch.add_argument(
        "--set-up", action="store_true", help="make the folder ready: START-HERE.pdf and blank forms"
    )
    watch.add_argument("--once", action="store_true", help="serve what is there and end, for a scheduler")
    watch.add_argument(
        "--moment",
        type=_moment,
        default=2.0,
        metavar="S",
        help="how long a workbook has to stand unchanged, in seconds (default: 2)",
    )
    watch.add_argument(
        "--polling", action="store_true", help="look every moment; for a folder on another machine"
    )
    watch.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    watch.add_argument("--strict", action="store_true", help="any row error rejects the workbook")
    watch.add_argument("--quiet", action="store_true", help="print nothing; the log has it all")
    _add_jobs(watch)
    _add_reading(watch)

    explain = _command(
        commands,
        "explain",
        "show the whole decision of one battery, rule by rule",
        "intake explain pallet-17.xlsx B-012",
    )
    explain.add_argument("--all", action="store_true", help="also the rules that did not fire")
    explain.add_argument("workbook", type=Path, nargs="?", metavar="WORKBOOK")
    explain.add_argument("tag", nargs="?", metavar="TAG")
    explain.add_argument(
        "--rules", action="store_true", help="print every rule with its meaning instead; needs no workbook"
    )
    explain.add_argument("--json", action="store_true", help="print the trace or the rules as JSON")
    _add_reading(explain, "--rule-data")  # there, --rules lists the rules of the grading

    plan = _command(
        commands,
        "plan",
        "plan the bench: which battery goes on which charging station, when, and what is read when",
        "intake plan pallet-17.xlsx --stations 2x10A:lead,1x20A:LFP --shift 08:00-17:00 --out plans",
    )
    add_bench_options(plan)
    _add_reading(plan)

    verify = _command(
        commands,
        "verify",
        "compute graded batches again from their workbooks and say whether the documents still stand",
        "intake verify graded --workbooks intake-2026",
    )
    verify.add_argument("folder", type=Path, metavar="DIR", help="a folder that grade wrote")
    verify.add_argument(
        "further", type=Path, nargs="*", metavar="DIR", help="further folders, such as that of the loads"
    )
    verify.add_argument(
        "--loads", type=Path, action="append", default=[], metavar="DIR", help="a folder of written loads"
    )
    verify.add_argument("--workbooks", type=Path, metavar="DIR", help="where the graded workbooks are kept")
    _add_where(verify)
    verify.add_argument("--policy", type=Path, metavar="FILE", help="the site's policy they were graded by")
    _add_rule_data(verify)
    verify.add_argument("--quiet", action="store_true", help="print only what does not stand")

    summarise = _command(
        commands,
        "summarise",
        "write the period register over graded batches",
        "intake summarise graded --from 2026-09-01 --to 2026-11-30 --storage-limit 180",
    )
    summarise.add_argument("folder", type=Path, metavar="DIR", help="a folder that grade wrote")
    summarise.add_argument(
        "--from", dest="first", type=_day, required=True, metavar="DATE", help="first day of the period"
    )
    summarise.add_argument(
        "--to", dest="last", type=_day, required=True, metavar="DATE", help="its last day, included"
    )
    summarise.add_argument(
        "--closing",
        type=_day,
        metavar="DATE",
        help="the day for which meters and storage are checked (default: the last day)",
    )
    summarise.add_argument(
        "--storage-limit",
        type=_not_negative,
        metavar="DAYS",
        help="the site's own storage limit, from its permit or rule",
    )
    _add_rule_data(summarise)
    summarise.add_argument(
        "--loads", type=Path, action="append", default=[], metavar="DIR", help="a folder of written loads"
    )
    summarise.add_argument(
        "--verify", action="store_true", help="count only batches whose documents verify finds to stand"
    )
    summarise.add_argument(
        "--workbooks", type=Path, metavar="DIR", help="for --verify: where the graded workbooks are kept"
    )
    summarise.add_argument(
        "--policy", type=Path, metavar="FILE", help="for --verify: the site's policy they were graded by"
    )
    _add_where(summarise)
    summarise.add_argument("--recursive", action="store_true", help="look into folders of folders too")
    summarise.add_argument(
        "--out", type=Path, metavar="DIR", help="where the register's folder goes (default: the folder read)"
    )
    summarise.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    summarise.add_argument("--overwrite", action="store_true", help="replace a register that exists already")
    summarise.add_argument("--quiet", action="store_true", help="print only what was left out")

    load = _command(
        commands,
        "load",
        "say what leaves the yard: list it, then write the papers of the load",
        "intake load new graded --out load-14.xlsx   (then: intake load write load-14.xlsx --out loads)",
    )
    add_load_options(load)
    custody = _command(
        commands,
        "custody",
        "print all that is known of one battery, in order of time",
        "intake custody B-012 graded loads",
    )
    add_custody_options(custody)

    policy = _command(
        commands,
        "policy",
        "print the grading policy in force, or validate a site's own",
        "intake policy > site-policy.json   (change it, then: intake policy --check site-policy.json)",
    )
    one = policy.add_mutually_exclusive_group()
    one.add_argument("--check", type=Path, metavar="FILE", help="validate FILE and say what is wrong with it")
    one.add_argument(
        "--policy", type=Path, metavar="FILE", help="print this policy instead of the shipped one"
    )
    return parser
