"""Grades simulated pallets with the installed command, and puts each verdict beside the truth."""

import json
import random
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.simulation.bench import Bench, read_pallet
from tests.simulation.fit import Truth
from tests.simulation.intake_workbook import ReadingSet, write_intake
from tests.simulation.meter import MeterClass, draw_meter
from tests.simulation.population import Population, draw_pallet

FEWEST = ("--papers", "disposal")
"""Of the printed documents the shortest: results.json is all that is read."""

OUTCOME = {
    "resale-after-charge": "sold",
    "reconditionable": "held",
    "unresolved": "held",
    "recycle": "scrapped",
}


@dataclass(frozen=True)
class Graded:
    """One battery: what was read, what is true, what the command made of it."""

    bench: Bench
    pallet: str
    entry: dict[str, Any]
    """Its entry in results.json."""

    @property
    def truth(self) -> Truth:
        """What is true of it."""
        return self.bench.specimen.truth

    @property
    def outcome(self) -> str:
        """Sold, held or scrapped."""
        return OUTCOME[self.entry["grade"]]

    @property
    def fired(self) -> dict[str, str]:
        """Rules that fired, with their effect."""
        return {reason["rule"]: reason["effect"] for reason in self.entry["reasons"]}


@dataclass(frozen=True)
class Study:
    """Many pallets of one population, read with meters of one class."""

    population: Population
    meter: MeterClass
    batteries: int
    per_pallet: int = 50
    settling: float = 1.0
    seed: int = 20261127

    def pallets(self) -> Iterator[tuple[str, list[Bench]]]:
        """Draw each pallet by its own number, so that more pallets leave the first ones as they are."""
        for number in range(self.batteries // self.per_pallet):
            chance = random.Random(f"{self.seed} {self.population.name} {number}")
            drawn = draw_pallet(self.population, self.per_pallet, chance, settling=self.settling)
            meter = draw_meter(self.meter, chance)
            yield f"P{number + 1:03}", read_pallet(drawn, meter, chance)


def grade_study(
    study: Study, sets: Sequence[ReadingSet], folder: Path
) -> tuple[dict[str, list[Graded]], dict[str, list[dict[str, Any]]]]:
    """Return by set of readings the graded batteries, and each pallet's results file."""
    inbox = folder / "inbox"
    inbox.mkdir(parents=True)
    pallets = dict(study.pallets())
    names: dict[str, tuple[ReadingSet, str]] = {}
    for number, wanted in enumerate(sets):
        for pallet, benches in pallets.items():
            batch = f"R{number}-{pallet}"
            names[batch] = wanted, pallet
            write_intake(inbox / f"{batch}.xlsx", benches, wanted, batch=batch, meter=study.meter)
    run_command("grade", str(inbox), "--out", str(folder / "graded"), "--quiet", "--jobs", "2", *FEWEST)
    graded: dict[str, list[Graded]] = {wanted.name: [] for wanted in sets}
    files: dict[str, list[dict[str, Any]]] = {wanted.name: [] for wanted in sets}
    for batch, (wanted, pallet) in names.items():
        text = (folder / "graded" / batch / f"{batch}-results.json").read_text(encoding="utf-8")
        results = json.loads(text)
        files[wanted.name].append(results)
        entries = {entry["tag"]: entry for entry in results["batteries"]}
        graded[wanted.name] += [
            Graded(bench, pallet, entries[bench.specimen.tag]) for bench in pallets[pallet]
        ]
    return graded, files


def run_command(*arguments: str) -> None:
    """Run the command as a person does; anything but graded workbooks is an error."""
    done = subprocess.run(
        [sys.executable, "-m", "intake", *arguments], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        raise RuntimeError(f"intake ended with {done.returncode}: {done.stdout}{done.stderr}")
