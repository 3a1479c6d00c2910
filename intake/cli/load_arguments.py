"""Options of ``intake load`` and ``intake custody``."""

import argparse
from pathlib import Path


def add_load_options(load: argparse.ArgumentParser) -> None:
    """Describe ``load new`` and ``load write``."""
    actions = load.add_subparsers(dest="action", required=True, metavar="new|write")
    new = actions.add_parser(
        "new",
        help="write a load workbook with a row for each battery that is here and fit to leave",
        epilog="Example:\n  intake load new graded --out load-14.xlsx --consignee 'Receiver 3'",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    new.add_argument(
        "folders", nargs="+", type=Path, metavar="DIR", help="a folder of graded batches, and of loads so far"
    )
    new.add_argument("--out", type=Path, required=True, metavar="LOAD.xlsx", help="the new load workbook")
    new.add_argument(
        "--kind",
        choices=("recycling", "sale", "return"),
        default="recycling",
        help="what leaves: to a recycler, to a buyer, or back to the sender (default: recycling)",
    )
    new.add_argument("--consignee", metavar="TEXT", help="who receives it")
    new.add_argument("--streams", metavar="KEY,KEY", help="only these waste streams")
    new.add_argument(
        "--loads",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help="another folder of written loads",
    )
    new.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    new.add_argument("--recursive", action="store_true", help="look into folders of folders too")
    write = actions.add_parser(
        "write",
        help="check a filled-in load workbook and write its documents",
        epilog="Example:\n  intake load write load-14.xlsx --out loads",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    write.add_argument("workbook", type=Path, metavar="LOAD.xlsx")
    write.add_argument("--out", type=Path, required=True, metavar="DIR", help="the folder of all loads")
    write.add_argument(
        "--marked", type=Path, metavar="DIR", help="write a copy with the findings marked at their cells"
    )
    write.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    write.add_argument("--overwrite", action="store_true", help="write a load again, say with its receipt")
    write.add_argument(
        "--rules",
        "--rule-data",
        dest="rule_data",
        type=Path,
        metavar="DIR",
        help="a folder of the site's own rule data, one file a jurisdiction",
    )
    order = write.add_mutually_exclusive_group()
    order.add_argument("--day-first", action="store_true", help="read 03/04/2026 as 3 April 2026")
    order.add_argument("--month-first", action="store_true", help="read 03/04/2026 as March 4, 2026")


def add_custody_options(custody: argparse.ArgumentParser) -> None:
    """Describe ``custody``."""
    custody.add_argument("tag", metavar="TAG")
    custody.add_argument(
        "folders", nargs="+", type=Path, metavar="DIR", help="a folder of graded batches or of loads"
    )
    custody.add_argument("--recursive", action="store_true", help="look into folders of folders too")
    custody.add_argument("--json", action="store_true", help="print the events as JSON lines")
