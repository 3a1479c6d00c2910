"""The options of ``intake plan``."""

import argparse
import math
from datetime import datetime
from pathlib import Path

_WHOLE_PERCENT = 100


def _start(text: str) -> datetime:
    try:
        start = datetime.fromisoformat(text)
    except ValueError:
        start = datetime.max
    if start == datetime.max or start.tzinfo is not None:
        raise argparse.ArgumentTypeError(
            f"'{text}' was read; expected a date like 2026-11-25, or with a time like 2026-11-25T13:30"
        )
    return start.replace(second=0, microsecond=0)


def _share_percent(text: str) -> float:
    try:
        percent = float(text)
    except ValueError:
        percent = math.nan
    if not 0 < percent < _WHOLE_PERCENT:
        raise argparse.ArgumentTypeError(f"'{text}' was read; expected a percentage over 0 and under 100")
    return percent


def add_bench_options(parser: argparse.ArgumentParser) -> None:
    """Add the arguments that describe the bench."""
    parser.add_argument("workbook", type=Path, metavar="WORKBOOK")
    parser.add_argument(
        "--stations",
        required=True,
        metavar="N",
        help="how many charging stations, or groups like 2x10A:lead,1x20A:LFP:apart (count, amperes, what "
        "they take: all, lead, LFP or one chemistry; apart: in the marked place)",
    )
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="where the plan's folder goes (default: beside the workbook)"
    )
    parser.add_argument(
        "--shift",
        action="append",
        metavar="FROM-TO",
        help="when the one person is there; may stand several times (default: 08:00-17:00)",
    )
    parser.add_argument(
        "--days", default="mon-fri", metavar="DAYS", help="like mon-fri or mon,wed,sat (default: mon-fri)"
    )
    parser.add_argument(
        "--start",
        type=_start,
        metavar="DATE",
        help="when the work begins, like 2026-11-25T13:30 (default: the day of the latest reading)",
    )
    parser.add_argument(
        "--qualified",
        action="store_true",
        help="a qualified person is there: suspect ones are worked on too, alone in the marked place",
    )
    parser.add_argument(
        "--assure",
        type=_share_percent,
        metavar="N",
        help="also plan capacity tests of batteries drawn by lot, as many as show without a failure that at "
        "most N %% of those for resale are unfit",
    )
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    parser.add_argument("--overwrite", action="store_true", help="replace a plan that exists already")
    parser.add_argument("--strict", action="store_true", help="any row error rejects the workbook")
    parser.add_argument("--quiet", action="store_true", help="print errors only")
    parser.add_argument("--json", action="store_true", help="print a JSON line instead of text")
