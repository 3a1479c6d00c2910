"""What the rule data say of one load: its streams, what must not travel together in it, the cautions."""

from collections.abc import Sequence
from pathlib import Path

from intake.compliance.assess import forms_for, streams_on
from intake.compliance.dated_statements import statements_on
from intake.compliance.load_warnings import load_warnings
from intake.compliance.pallet import Item, item_of
from intake.compliance.regions import in_region, region_asked
from intake.compliance.rule_dates import data_warnings
from intake.compliance.streams import LEAD_ACID_DAMAGED, choose_stream
from intake.model.battery import Battery
from intake.model.compliance import LoadOnPaper, Purpose, Statement
from intake.model.load import Load, LoadedBattery
from intake.model.verdict import Handling, Verdict
from intake.policy.handling_texts import load_wording
from intake.policy.jurisdictions import Jurisdiction, When
from intake.policy.rule_data import load_jurisdiction

_NO_MATTER = "no matter"
"""In place of the case plastic of what is sold: how waste is described is no question of a sale."""
_DAMAGED = "dented"
"""Stands for any damage of a case that a load workbook does not tell."""


def assess_load(load: Load, rules_folder: Path | None = None) -> LoadOnPaper:
    """Gather what a load sheet reminds of; it never says that the load is lawful or safe.

    Parameters
    ----------
    rules_folder
        A site's own rule data, beside the shipped ones.
    """
    jurisdiction = in_region(load_jurisdiction(load.head.jurisdiction, rules_folder), load.head.region)
    day, purpose = load.head.date, load.head.kind.purpose
    outdated = data_warnings(jurisdiction.rule_data, day, shipped=True)
    carriage = {_name(one): _carried_as(one) for one in load.batteries}
    waste = {one.stream for one in load.batteries if one.stream}
    # whether a return is waste is not settled: the forms that it would then need are named
    streams = waste if purpose else set(carriage.values())
    return LoadOnPaper(
        jurisdiction=jurisdiction.name,
        streams=tuple(one.carried_for(purpose) for one in streams_on(jurisdiction.streams, carriage, day)),
        carriage=carriage,
        warnings=(*outdated, *load_warnings(_items(load.batteries, purpose), jurisdiction, day)),
        general=_general(jurisdiction, load),
        forms=forms_for(jurisdiction.forms, streams, purpose),
        cautions=load_wording().cautions,
        rule_data=jurisdiction.rule_data,
    )


_WHEN = {
    Purpose.DISPOSAL: (When.CARRIAGE, When.RECYCLE),
    Purpose.SALE: (When.CARRIAGE, When.RESALE),
    None: (When.CARRIAGE, When.RECYCLE, When.RESALE),
}
"""General statements by the purpose of a load; where it is not settled, those of both."""


def _general(jurisdiction: Jurisdiction, load: Load) -> tuple[Statement, ...]:
    """Return what has to be asked of the region, then the general statements for a load of this kind."""
    asked = region_asked(jurisdiction, load.head.region)
    wanted = _WHEN[load.head.kind.purpose]
    rules = [*([asked] if asked else []), *(one for one in jurisdiction.general if one.when in wanted)]
    return statements_on(rules, load.head.date)


def _name(one: LoadedBattery) -> str:
    return f"{one.batch}/{one.tag}"


def _carried_as(one: LoadedBattery) -> str:
    """Return the stream of a battery; of one that is no waste, the stream of its like.

    The same facts decide as on the disposal sheet: without the mark on its case a valve-regulated one
    counts as wet.
    """
    if one.stream is not None:
        return one.stream
    return choose_stream(
        chemistry=one.chemistry,
        handling=one.handling,
        non_spillable_mark=one.non_spillable_mark,
        case=_case(one),
    )


def _items(batteries: Sequence[LoadedBattery], purpose: Purpose | None) -> list[Item]:
    return [
        item_of(
            Battery(
                tag=one.tag,
                row=one.row,
                chemistry=one.chemistry,
                case=_case(one),
                case_plastic=_NO_MATTER if purpose is Purpose.SALE else one.case_plastic,
                note=one.note,
            ),
            Verdict(one.grade, one.evidence, one.handling, "", (), ()),
            mass_kg=one.mass_kg,
            mass_estimated=one.mass_estimated,
            package=one.package or "",
        )
        for one in batteries
    ]


def _case(one: LoadedBattery) -> str:
    """Return a case that keeps a battery with the damaged ones where its stream or handling has it there."""
    damaged = one.handling is Handling.DAMAGED or one.stream == LEAD_ACID_DAMAGED
    return _DAMAGED if damaged else "sound"
