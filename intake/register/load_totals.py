"""Sums of a load, in whole grams, so that they do not depend on the order of the batteries."""

from collections.abc import Iterable

from intake.model.kilograms import sum_kg
from intake.model.load import Load, LoadedBattery, LoadTotal, LoadTotals


def load_totals(load: Load) -> LoadTotals:
    """Return the sums of a load, of all and by stream in the order in which the streams come."""
    streams = dict.fromkeys(one.stream or "" for one in load.batteries)
    gross = [one.gross_kg for one in load.packages]
    weighed = [mass for mass in gross if mass is not None]
    return LoadTotals(
        all=total_of(load.batteries),
        by_stream={
            key: total_of(one for one in load.batteries if (one.stream or "") == key) for key in streams
        },
        gross_kg=sum_kg(weighed) if weighed and len(weighed) == len(gross) else None,
    )


def total_of(batteries: Iterable[LoadedBattery]) -> LoadTotal:
    """Return the sum of some batteries."""
    ones = list(batteries)
    weighed = [(one.mass_kg, one.mass_estimated) for one in ones if one.mass_kg is not None]
    return LoadTotal(
        count=len(ones),
        net_kg=sum_kg(mass for mass, _ in weighed),
        net_estimated_kg=sum_kg(mass for mass, estimated in weighed if estimated),
        without_mass=len(ones) - len(weighed),
    )
