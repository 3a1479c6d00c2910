"""Grades simulated pallets with known truth, and prints what the grades are worth.

``python -m tests.simulation [--batteries 1000] [--variation 400] [--guide]`` takes ten minutes: main study,
settling times, meters, populations, LFP falls, the lot. ``--guide`` also writes them into DEVELOPERS.md.
"""

import argparse
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.changed import replace
from tests.simulation.drawn_lot import draw_and_test, printed_limit_table, printed_range_table
from tests.simulation.graded import Graded, Study, grade_study
from tests.simulation.intake_workbook import CAPACITY, HOLD_12, HOLD_96, HOLD_168, REST, SETS
from tests.simulation.lfp_fall import fall_table
from tests.simulation.lot_claims import limit_table, range_table
from tests.simulation.meter import FINE, PLAIN
from tests.simulation.population import RETURNS, STRIPPED
from tests.simulation.tables import (
    claim_table,
    coverage_table,
    guard_table,
    leak_table,
    outcome_table,
    truth_table,
)

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"
START, END = "<!-- made by tests.simulation -->\n", "\n<!-- end -->"
SHORTER = (REST, HOLD_12, HOLD_168, CAPACITY)

VARIATIONS = {
    "settling times × 0.4": {"settling": 0.4},
    "settling times × 2.5": {"settling": 2.5},
    f"meter {PLAIN.name}": {"meter": PLAIN},
    f"population: {STRIPPED.name}": {"population": STRIPPED},
}


@dataclass(frozen=True)
class Part:
    """One heading and the text below it."""

    heading: str
    text: str


def main_study(study: Study, folder: Path) -> Iterator[Part]:
    """Yield the tables of the main study."""
    sets, files = grade_study(study, SETS, folder)
    yield Part("What is true of them", truth_table(sets[REST.name]))
    yield Part("What becomes of them", outcome_table(sets))
    yield Part("Intervals that cover", coverage_table(_only(sets, REST, HOLD_12, HOLD_168)))
    yield Part("Leaks of lead-acid blocks", leak_table(_only(sets, HOLD_12, HOLD_168, CAPACITY)))
    yield Part("Rules that scrap sound batteries", guard_table(sets))
    yield Part("How often a rule is right", claim_table(_only(sets, HOLD_168, CAPACITY)))
    yield Part("The lot: what a sale is worth, and the range likely unfit", range_table(sets))
    yield Part("The lot: the range as printed", printed_range_table(sets, files))
    yield Part("The lot: limit from a drawn sample, apart from the command", limit_table(sets))
    hold = sets[HOLD_96.name]
    printed = {n: draw_and_test(study, hold, folder / f"d{n}", drawn=n) for n in (3, 10)}
    yield Part("The lot: limit from a drawn sample, as printed", printed_limit_table(printed))


def _only(sets: dict[str, list[Graded]], *wanted: object) -> dict[str, list[Graded]]:
    names = [one.name for one in SETS if one in wanted]
    return {name: sets[name] for name in names}


def variations(study: Study, folder: Path) -> Iterator[Part]:
    """Yield the shorter tables of each variation."""
    for number, (name, change) in enumerate(VARIATIONS.items()):
        varied = replace(study, **change)
        sets, _ = grade_study(varied, SHORTER, folder / f"v{number}")
        tables = [outcome_table(sets), coverage_table(_only(sets, REST, HOLD_168))]
        tables += [leak_table(_only(sets, HOLD_168)), guard_table(sets)]
        yield Part(f"Varied: {name}", "\n\n".join(tables))


def parts(batteries: int, varied: int) -> Iterator[Part]:
    """Yield everything."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        study = Study(RETURNS, FINE, batteries)
        yield from main_study(study, folder / "main")
        (folder / "falls").mkdir()
        yield Part("LFP: a larger fall never grades better", fall_table(folder / "falls"))
        yield from variations(replace(study, batteries=varied), folder)


def main() -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batteries", type=int, default=1000)
    parser.add_argument("--variation", type=int, default=400)
    parser.add_argument("--guide", action="store_true", help="write the tables into DEVELOPERS.md as well")
    options = parser.parse_args()
    written = []
    for part in parts(options.batteries, options.variation):
        written.append(f"**{part.heading}**\n\n{part.text}\n")
        print(written[-1], flush=True)
    if options.guide:
        text = GUIDE.read_text(encoding="utf-8")
        before, rest = text.split(START)
        _, after = rest.split(END, maxsplit=1)
        GUIDE.write_text(before + START + "\n".join(written) + END + after, encoding="utf-8")


if __name__ == "__main__":
    main()
