"""How the grades of the 48-battery example move when a number they rest on moves by its own uncertainty."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from intake.grading.grade_battery import grade_battery
from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.verdict import Grade
from intake.policy.cited import CitedTable
from intake.policy.grading_policy import GradingPolicy, load_grading_policy
from intake.runner.run_batch import meter_accuracy, read_batch
from intake.runner.settings import Settings
from tests.changed import replace

POLICY = load_grading_policy()
EXAMPLE = Path(__file__).parents[2] / "example_batches" / "counter_returns_48" / "counter_returns_48.xlsx"
TODAY = date(2026, 11, 25)

FLOODED_V = {100: 0.030, 75: 0.040, 50: 0.050, 25: 0.070, 0: 0.120}
"""Standard deviation of six published tables, rounded."""
UNCERTAINTY_V: Mapping[Chemistry, Mapping[float, float]] = {
    Chemistry.FLOODED: FLOODED_V,
    Chemistry.FLOODED_SEALED: FLOODED_V,
    Chemistry.EFB: FLOODED_V,
    Chemistry.AGM: {100: 0.150, 75: 0.060, 50: 0.060, 25: 0.060, 0: 0.060},
    Chemistry.GEL: dict.fromkeys((100, 75, 50, 25, 0), 0.100),
    Chemistry.LFP: dict.fromkeys(
        (percent for percent, _ in POLICY.open_circuit.lfp_discharge_branch.points), 0.020
    ),
}
"""Of each table voltage by its % charge. AGM, gel: how far the sources disagree.

Flooded sealed and EFB have no source of their own and take the flooded table's. LFP: how far a second
measured set lies off at half charge (11 mV), rounded up.
"""
FURTHEST_V = 0.300
"""How far a whole table is moved in search of the first grade that changes."""

Batteries = tuple[Battery, ...]
Grades = dict[str, Grade]
Meter = tuple[float, float]
"""Accuracy in % of reading and in V."""
Case = tuple[Meter, GradingPolicy]


def example() -> tuple[Batteries, Meter]:
    """Return the batteries of the example and its meter."""
    batch = read_batch(EXAMPLE, Settings(policy=POLICY, today=TODAY)).batch
    assert batch is not None
    return batch.batteries, meter_accuracy(batch, POLICY)


def grades(batteries: Batteries, case: Case) -> Grades:
    (percent, volts), policy = case
    return {
        one.tag: grade_battery(one, accuracy_percent=percent, accuracy_volts=volts, policy=policy).grade
        for one in batteries
    }


def with_slope(share: float) -> GradingPolicy:
    """Return the policy with every relaxation slope times a share."""
    slopes = {
        kind: replace(slope, value=slope.value * share)
        for kind, slope in POLICY.hold.slope_v_per_efold.items()
    }
    return replace(POLICY, hold=replace(POLICY.hold, slope_v_per_efold=slopes))


def table_of(chemistry: Chemistry) -> CitedTable:
    tables = POLICY.open_circuit
    return tables.lead_acid[chemistry] if chemistry in LEAD_ACID else tables.lfp_discharge_branch


def with_table(chemistry: Chemistry, moved_v: Mapping[float, float]) -> GradingPolicy:
    """Return the policy with some voltages of one table moved."""
    table = table_of(chemistry)
    points = tuple((percent, volts + moved_v.get(percent, 0.0)) for percent, volts in table.points)
    moved, tables = replace(table, points=points), POLICY.open_circuit
    if chemistry in LEAD_ACID:
        tables = replace(tables, lead_acid={**tables.lead_acid, chemistry: moved})
    else:
        tables = replace(tables, lfp_discharge_branch=moved)
    return replace(POLICY, open_circuit=tables)


@dataclass(frozen=True)
class Move:
    """One number, or all voltages of a table, moved in one direction by its own uncertainty and further."""

    what: str
    of: Batteries
    """The batteries that it can move."""
    far: str
    at_uncertainty: Case
    further: tuple[tuple[str, Case], ...]
    """Growing moves, to find the first that changes a grade."""


def moves(batteries: Batteries, meter: Meter) -> Iterator[Move]:
    def read_with(share: float) -> Case:
        return (share * meter[0], share * meter[1]), POLICY

    for share, told in ((0.5, "halved"), (2.0, "doubled")):
        steps = [share ** (step / 4) for step in range(1, 17)]
        further = tuple((f"× {one:.2g}", read_with(one)) for one in steps)
        yield Move("accuracy of the meter", batteries, told, read_with(share), further)
    for sign in (-1, 1):
        shares = [sign * step / 20 for step in range(1, 21)]
        further = tuple((f"{100 * one:+.0f} %", (meter, with_slope(1 + one))) for one in shares)
        yield Move(
            "relaxation slope b", batteries, f"{30 * sign:+d} %", (meter, with_slope(1 + 0.3 * sign)), further
        )
    for chemistry, uncertainty_v in UNCERTAINTY_V.items():
        of = tuple(one for one in batteries if one.chemistry is chemistry)
        for sign in (-1, 1):
            told = f"{_span(uncertainty_v)} {'up' if sign > 0 else 'down'}"
            moved = with_table(chemistry, {percent: sign * far for percent, far in uncertainty_v.items()})
            volts = [sign * step / 100 for step in range(1, round(100 * FURTHEST_V) + 1)]
            further = tuple(
                (f"{one:+.2f} V", (meter, with_table(chemistry, dict.fromkeys(uncertainty_v, one))))
                for one in volts
            )
            yield Move(f"{chemistry} table, all voltages", of, told, (meter, moved), further)


def _span(uncertainty_v: Mapping[float, float]) -> str:
    low, high = min(uncertainty_v.values()), max(uncertainty_v.values())
    return f"{low:.2f} V" if low == high else f"{low:.2f} to {high:.2f} V"


def sensitivity_table() -> str:
    """Return the table in Markdown."""
    batteries, meter = example()
    before = grades(batteries, (meter, POLICY))
    lines = [
        f"| {one.what} | {one.far} | {_changed(one.of, before, one.at_uncertainty)} "
        f"| {_first_change(one, before)} |"
        for one in moves(batteries, meter)
    ]
    return "\n".join(
        (
            f"| moved | how far | grades of {len(before)} that change | first grade changes at |",
            "|---|---|---|---|",
            *lines,
            _single_voltages(batteries, before, meter),
        )
    )


def _changed(batteries: Batteries, before: Grades, case: Case) -> str:
    after = grades(batteries, case)
    told = [f"{tag}: {before[tag]} → {after[tag]}" for tag in after if before[tag] is not after[tag]]
    return f"{len(told)}: {'; '.join(told)}" if told else "none"


def _first_change(one: Move, before: Grades) -> str:
    for told, case in one.further:
        changed = _changed(one.of, before, case)
        if changed != "none":
            return f"{told}; {changed}"
    return f"not up to {one.further[-1][0]}"


def _single_voltages(batteries: Batteries, before: Grades, meter: Meter) -> str:
    """Return the line for each voltage of each table, moved alone by its own uncertainty."""
    found = {
        f"{chemistry} at {percent:g} % {sign * far_v:+.2f} V": _changed(
            batteries, before, (meter, with_table(chemistry, {percent: sign * far_v}))
        )
        for chemistry, uncertainty_v in UNCERTAINTY_V.items()
        for percent, far_v in uncertainty_v.items()
        for sign in (-1, 1)
    }
    told = "; ".join(f"{what}: {changed}" for what, changed in found.items() if changed != "none")
    return f"| each table voltage alone, {len(found)} moves | down, up | {told or 'none'} | |"
