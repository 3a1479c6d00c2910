"""All that the documents of one batch say about rules and hazards."""

from collections.abc import Mapping, Sequence
from datetime import date

from intake.compliance.consignment import general_statements, resale_statements
from intake.compliance.dated_statements import statement_on, statements_on
from intake.compliance.handling_notes import handling_notes
from intake.compliance.load_warnings import load_warnings
from intake.compliance.pallet import Item, pallet_of
from intake.compliance.regions import in_region
from intake.compliance.rule_dates import data_warnings
from intake.compliance.streams import stream_of
from intake.model.battery import Batch
from intake.model.compliance import Compliance, FormPlaces, Purpose, Stream
from intake.model.verdict import Grade, Verdict
from intake.policy.handling_texts import load_wording
from intake.policy.jurisdictions import Jurisdiction, StreamRules


def assess_compliance(
    batch: Batch,
    verdicts: Sequence[Verdict],
    masses: Sequence[tuple[float | None, bool]],
    jurisdiction: Jurisdiction,
) -> Compliance:
    """Sort the recycle batteries into waste streams and gather what the documents remind of.

    The rules shown are those in force on the ship date, else on Received. Nothing here says that a load
    is lawful or safe, or what is waste: it proposes, and names what has to be confirmed.

    Parameters
    ----------
    batch
        The typed batch.
    verdicts
        One for each battery, in the same order.
    masses
        Mass in kg, None where there is none, and whether it was estimated; in the same order.
    jurisdiction
        What is known of the rules that the batch names.

    Raises
    ------
    ValueError
        the first three are not of one length.
    """
    jurisdiction = in_region(jurisdiction, batch.region)
    pallet = pallet_of(batch, verdicts, masses)
    wording = load_wording()
    day = batch.ship_date or batch.received
    stream_by_tag = _stream_by_tag(pallet)
    load = [item for item in pallet if item.battery.tag in stream_by_tag]
    unresolved = [item for item in pallet if item.verdict.grade is Grade.UNRESOLVED]
    outdated = data_warnings(jurisdiction.rule_data, day, shipped=batch.ship_date is not None)
    return Compliance(
        jurisdiction=jurisdiction.key,
        rules_date=day,
        rules_date_is_ship_date=batch.ship_date is not None,
        streams=tuple(
            one.carried_for(Purpose.DISPOSAL) for one in streams_on(jurisdiction.streams, stream_by_tag, day)
        ),
        stream_by_tag=stream_by_tag,
        load_warnings=(*outdated, *load_warnings(load, jurisdiction, day)),
        pallet_warnings=(*outdated, *load_warnings(pallet, jurisdiction, day)),
        general=general_statements(batch, pallet, jurisdiction, day),
        resale=resale_statements(pallet, jurisdiction, day),
        handling_notes=handling_notes(pallet, wording),
        load_handling_notes=handling_notes([*load, *unresolved], wording),
        cautions=wording.cautions,
        data_name=jurisdiction.rule_data.name,
        data_built=jurisdiction.rule_data.checked_on.isoformat(),
        rule_data=jurisdiction.rule_data,
        forms=forms_for(jurisdiction.forms, set(stream_by_tag.values()), Purpose.DISPOSAL),
    )


def forms_for(
    known: Sequence[FormPlaces], streams: set[str], purpose: Purpose | None
) -> tuple[FormPlaces, ...]:
    """Return the forms that a load of these streams may need; a purpose of None is one not settled."""
    return tuple(
        one
        for one in known
        if (not one.streams or streams.intersection(one.streams))
        and (one.purpose is None or purpose in (None, one.purpose))
    )


def _stream_by_tag(pallet: Sequence[Item]) -> dict[str, str]:
    """Return the stream of every battery that is graded recycle, in workbook order."""
    return {item.battery.tag: stream_of(item) for item in pallet if item.verdict.grade is Grade.RECYCLE}


def streams_on(
    known: Sequence[StreamRules], stream_by_tag: Mapping[str, str], day: date
) -> tuple[Stream, ...]:
    """Return the streams that have a battery, as they stand on ``day``, in the jurisdiction's order.

    They hold what applies to both purposes: :meth:`Stream.carried_for` takes what applies to one.
    """
    tags_of: dict[str, list[str]] = {}
    for tag, key in stream_by_tag.items():
        tags_of.setdefault(key, []).append(tag)
    return tuple(
        Stream(
            key=rules.key,
            title=rules.title,
            tags=tuple(tags_of[rules.key]),
            transport_line=statement_on(rules.transport_line, day),
            waste_codes=statements_on(rules.waste_codes, day),
            packing=statements_on(rules.packing, day),
            storage=statements_on(rules.storage, day),
            statements=statements_on(rules.statements, day),
        )
        for rules in known
        if rules.key in tags_of
    )
