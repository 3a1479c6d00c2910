"""What the rule data say of one load: its streams, what must not travel together in it, the cautions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.compliance.assess import forms_for, streams_on
from intake.compliance.load_warnings import load_warnings
from intake.compliance.pallet import Item
from intake.compliance.regions import in_region
from intake.compliance.rule_dates import data_warnings
from intake.compliance.streams import LEAD_ACID_DAMAGED, choose_stream
from intake.model.battery import Battery
from intake.model.compliance import FormPlaces, Statement, Stream
from intake.model.load import Load, LoadedBattery
from intake.model.verdict import Evidence, Handling, Verdict
from intake.policy.handling_texts import load_wording
from intake.policy.rule_data import load_jurisdiction

_NOT_LOOKED_AT = "not known to the load workbook"
"""In place of the case plastic, so that no warning is made up about it."""
_DAMAGED = "dented"
"""Stands for any damage of a case that a load workbook does not tell."""


@dataclass(frozen=True, slots=True)
class LoadOnPaper:
    """All that a load sheet says about rules and hazards."""

    streams: tuple[Stream, ...]
    """Those that have a battery in the load, as the rules are on its date."""
    carriage: Mapping[str, str]
    """For each battery, as batch/tag, the stream whose rules of carriage it meets, waste or not."""
    warnings: tuple[Statement, ...]
    forms: tuple[FormPlaces, ...]
    cautions: tuple[str, ...]
    rules_sha256: str


def assess_load(load: Load, rules_folder: Path | None = None) -> LoadOnPaper:
    """Gather what a load sheet reminds of; it never says that the load is lawful or safe.

    Parameters
    ----------
    rules_folder
        A site's own rule data, beside the shipped ones.
    """
    jurisdiction = in_region(load_jurisdiction(load.head.jurisdiction, rules_folder), load.head.region)
    day = load.head.date
    outdated = data_warnings(jurisdiction.rule_data, day, shipped=True)
    carriage = {_name(one): _carried_as(one) for one in load.batteries}
    return LoadOnPaper(
        streams=streams_on(jurisdiction.streams, carriage, day),
        carriage=carriage,
        warnings=(*outdated, *load_warnings(_items(load.batteries), jurisdiction, day)),
        forms=forms_for(jurisdiction.forms, {one.stream for one in load.batteries if one.stream}),
        cautions=load_wording().cautions,
        rules_sha256=jurisdiction.rule_data.sha256,
    )


def _name(one: LoadedBattery) -> str:
    return f"{one.batch}/{one.tag}"


def _carried_as(one: LoadedBattery) -> str:
    """Return the stream of a battery; of one that is no waste, the stream of its like."""
    if one.stream is not None:
        return one.stream
    return choose_stream(
        chemistry=one.chemistry, handling=one.handling, non_spillable_mark=False, case=_case(one)
    )


def _items(batteries: Sequence[LoadedBattery]) -> list[Item]:
    return [
        Item(
            Battery(
                tag=one.tag,
                row=one.row,
                chemistry=one.chemistry,
                case=_case(one),
                case_plastic=_NOT_LOOKED_AT,
                note=one.note,
            ),
            Verdict(one.grade, Evidence.NONE, one.handling, "", (), ()),
            one.mass_kg,
            one.mass_estimated,
        )
        for one in batteries
    ]


def _case(one: LoadedBattery) -> str:
    """Return a case that keeps a battery with the damaged ones where its stream or handling has it there."""
    damaged = one.handling is Handling.DAMAGED or one.stream == LEAD_ACID_DAMAGED
    return _DAMAGED if damaged else "sound"
