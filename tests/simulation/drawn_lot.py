"""The lot statement of the command itself: its range, and its limit once what it draws has been tested.

Each pallet is graded on a hold; of each kind that it then offers, the first few tags in the order of the draw
get a capacity test, and the pallet is graded again. Another batch name draws other tags, so one pallet serves
more than once.
"""

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.simulation.graded import FEWEST, Graded, Study, run_command
from tests.simulation.intake_workbook import HOLD_96, write_intake
from tests.simulation.lot import draw_order
from tests.simulation.lot_claims import LEAST_LOT, family, is_short
from tests.simulation.tables import share


@dataclass(frozen=True)
class Drawn:
    """What the command says of one kind of one pallet, and what is true."""

    kind: str
    offered: int
    tags: tuple[str, ...]
    """The draw, worked out apart from the command."""
    truly_short: int
    """Of those offered, with less than 80 % of rated capacity."""
    said: Mapping[str, Any]
    """Its entry in results.json."""

    @property
    def holds(self) -> bool:
        """Whether the limit holds the true number."""
        return bool(self.truly_short <= self.said["unfit_at_most"])


def draw_and_test(
    study: Study, graded: Sequence[Graded], folder: Path, *, drawn: int, names: int = 3
) -> list[Drawn]:
    """Return the statements after ``drawn`` tests of each kind; ``graded`` are the same pallets on a hold."""
    inbox = folder / "inbox"
    inbox.mkdir(parents=True)
    offers: dict[str, dict[str, list[Graded]]] = defaultdict(lambda: defaultdict(list))
    for one in graded:
        if one.outcome == "sold":
            offers[one.pallet][family(one)].append(one)
    wanted: dict[tuple[str, str], tuple[list[Graded], tuple[str, ...]]] = {}
    for pallet, benches in study.pallets():
        for name in range(names):
            batch = f"D{name}-{pallet}"
            all_drawn: list[str] = []
            for kind, members in offers[pallet].items():
                tags = tuple(draw_order(batch, [one.bench.specimen.tag for one in members])[:drawn])
                wanted[batch, kind] = members, tags
                all_drawn += tags
            write_intake(
                inbox / f"{batch}.xlsx", benches, HOLD_96, batch=batch, meter=study.meter, drawn=all_drawn
            )
    run_command("grade", str(inbox), "--out", str(folder / "graded"), "--quiet", "--jobs", "2", *FEWEST)
    found = []
    for (batch, kind), (members, tags) in wanted.items():
        text = (folder / "graded" / batch / f"{batch}-results.json").read_text(encoding="utf-8")
        said = {entry["kind"]: entry for entry in json.loads(text)["lot"]["sampled"]}
        short = sum(is_short(one) for one in members)
        found.append(Drawn(kind, len(members), tags, short, said[kind]))
    return found


def range_answers(graded: Sequence[Graded], files: Sequence[Mapping[str, Any]]) -> list[bool]:
    """Return for each pallet with a lot worth the name whether the range that it prints holds."""
    unfit: dict[str, list[bool]] = defaultdict(list)
    for one in graded:
        if one.outcome == "sold":
            unfit[one.pallet].append(not one.truth.fit)
    answers = []
    for results in files:
        lot, pallet = results["lot"], results["batch"]["batch"].split("-")[-1]
        assert lot["offered"] == len(unfit[pallet])
        if lot["offered"] >= LEAST_LOT:
            answers.append(lot["unfit_low"] <= sum(unfit[pallet]) <= lot["unfit_high"])
    return answers


def printed_range_table(
    sets: Mapping[str, Sequence[Graded]], files: Mapping[str, Sequence[Mapping[str, Any]]]
) -> str:
    """Return how often the range "likely unfit" that a batch prints holds the true number."""
    lines = ["| readings | pallets | printed range holds % |", "|---|---|---|"]
    for name, graded in sets.items():
        answers = range_answers(graded, files[name])
        lines.append(f"| {name} | {len(answers)} | {share(sum(answers), len(answers)):.0f} |")
    return "\n".join(lines)


def printed_limit_table(found: Mapping[int, Sequence[Drawn]]) -> str:
    """Return how often the limit that a batch prints holds, by the number drawn of each kind."""
    lines = [
        "| drawn of each kind | statements | failed of the drawn % | printed limit holds % |",
        "|---|---|---|---|",
    ]
    for drawn, all_of in found.items():
        tested = sum(one.said["drawn"] for one in all_of)
        failed = sum(one.said["failed"] for one in all_of)
        held = sum(one.holds for one in all_of)
        lines.append(
            f"| {drawn} | {len(all_of)} | {share(failed, tested):.0f} | {share(held, len(all_of)):.1f} |"
        )
    return "\n".join(lines)
