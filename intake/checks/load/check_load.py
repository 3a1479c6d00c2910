"""A raw load workbook in, a typed load and all findings out. A load is whole or it is rejected."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from intake.checks.cells.dates import DateOrder
from intake.checks.field_sheet import Field, read_fields, read_values
from intake.checks.find_sheets import Place, find_sheets
from intake.checks.finding_log import CORRECT_ONE, FindingLog, TooManyFindings, in_the_future
from intake.checks.load.load_rules import check_packing, check_rows
from intake.checks.load.rows import ReadRow, read_rows
from intake.model.battery import Chemistry
from intake.model.finding import Finding, in_sheet_order
from intake.model.load import GradedSource, Load, LoadedBattery, LoadHead, LoadKind, Package, Receipt, Yard
from intake.model.raw_workbook import RawWorkbook
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.waste_streams import stream_named


@dataclass(frozen=True, slots=True)
class CheckedLoad:
    """What a load workbook holds. ``load`` None: a finding rejects it."""

    load: Load | None
    findings: tuple[Finding, ...]


def check_load_workbook(
    raw: RawWorkbook, *, today: date, date_order: DateOrder | None, yard: Callable[[str], Yard]
) -> CheckedLoad:
    """Check and type a load workbook; every problem is a finding, nothing is raised for what it holds.

    Parameters
    ----------
    today
        to tell whether the receipt lies in the future.
    date_order
        what ``03/04/2026`` means; None: such a date is refused.
    yard
        What the load is held against, by the name of the load.
    """
    whole = FindingLog("", 0)
    places = find_sheets(raw, whole, workbook="load")
    logs = [whole, *(place.log for place in places.values())]
    load = None
    try:
        if all(key in places for key in ("load", "batteries", "batches")):
            load = _read(places, today=today, date_order=date_order, yard=yard)
    except TooManyFindings as too_many:
        whole.reject(
            str(too_many),
            "Write the load workbook anew with intake load new.",
        )
    if any(one.rejects for log in logs for one in log.found):
        load = None
    return CheckedLoad(load, in_sheet_order([one for log in logs for one in log.found]))


def _read(
    places: Mapping[str, Place], *, today: date, date_order: DateOrder | None, yard: Callable[[str], Yard]
) -> Load | None:
    head, fields = _head(places["load"], date_order)
    if head is not None:
        _check_head(head, fields, places["load"].log, yard(head.load))
    receipt = _receipt(places.get("receipt"), head, today=today, date_order=date_order)
    sources = _sources(places["batches"], date_order)
    packages = _packages(places.get("packages"), date_order)
    ticked = list(_ticked(places["batteries"], date_order))
    log = places["batteries"].log
    if not ticked:
        log.reject("No battery is in this load.", "Tick the batteries that leave: yes or x in In this load.")
    if head is None:
        return None
    check_rows(ticked, log, kind=head.kind, sources=sources, yard=yard(head.load))
    packed = {place.values["package"]: (place, one) for place, one in packages}
    check_packing(
        ticked, packed, log, places["packages"].log if "packages" in places else log, kind=head.kind
    )
    return Load(
        head,
        tuple(one for _, one in packages),
        tuple(one for _, one in ticked),
        receipt,
        tuple(source for source in sources.values() if any(one.batch == source.batch for _, one in ticked)),
    )


def _head(place: Place, date_order: DateOrder | None) -> tuple[LoadHead | None, dict[str, Field]]:
    fields = read_fields(place.raw, place.wanted, place.log)
    values = read_values(place.wanted, fields, place.log, date_order=date_order)
    if any(column.needed and column.key not in values for column in place.wanted.columns):
        return None, fields
    return LoadHead(**{**values, "kind": LoadKind(values["kind"])}), fields


def _check_head(head: LoadHead, fields: Mapping[str, Field], log: FindingLog, yard: Yard) -> None:
    if head.jurisdiction not in yard.jurisdictions:
        log.reject(
            f'"{head.jurisdiction}" is no jurisdiction that rules are held for.',
            f"One of: {', '.join(yard.jurisdictions)}.",
            fields["jurisdiction"].spot,
        )


def _receipt(
    place: Place | None, head: LoadHead | None, *, today: date, date_order: DateOrder | None
) -> Receipt:
    if place is None or not place.raw.rows:
        return Receipt()
    fields = read_fields(place.raw, place.wanted, place.log)
    values = read_values(place.wanted, fields, place.log, date_order=date_order)
    count = values.get("count")
    if count is not None:
        values["count"] = int(count)
        if count != int(count):
            place.log.reject(
                f"{count:g} is no number of batteries.", "Write a whole number.", fields["count"].spot
            )
    day = values.get("received_on")
    if day is not None and head is not None and day < head.date:
        place.log.reject(
            f"{day.isoformat()} is before the load left, {head.date.isoformat()}.",
            CORRECT_ONE,
            fields["received_on"].spot,
        )
    if day is not None and (fault := in_the_future(day, today=today)):
        place.log.reject(
            fault,
            "Write the day on which the receiver took the load over.",
            fields["received_on"].spot,
        )
    return Receipt(**values)


def _sources(place: Place, date_order: DateOrder | None) -> dict[str, GradedSource]:
    rows = read_rows(place.raw, place.wanted, place.log, date_order=date_order)
    return {
        row.values["batch"]: GradedSource(
            row.values["batch"], int(row.values["revision"]), row.values["results_sha256"]
        )
        for row in rows
    }


def _packages(place: Place | None, date_order: DateOrder | None) -> list[tuple[ReadRow, Package]]:
    if place is None:
        return []
    found: dict[str, tuple[ReadRow, Package]] = {}
    for row in read_rows(place.raw, place.wanted, place.log, date_order=date_order):
        _name_stream(row)
        name = row.values["package"]
        earlier = found.get(name)
        if earlier is not None:
            place.log.reject(
                f'The package "{name}" stands in {earlier[0].spot("package").cell} too.',
                "Give each package a name of its own, on the package and here.",
                row.spot("package"),
            )
            continue
        found[name] = (row, Package(**row.values))
    return list(found.values())


def _ticked(place: Place, date_order: DateOrder | None) -> Iterator[tuple[ReadRow, LoadedBattery]]:
    for row in read_rows(place.raw, place.wanted, place.log, date_order=date_order):
        _name_stream(row)
        values = {**row.values}
        if not values.pop("in_this_load", False):
            continue
        record = values.pop("record", "")
        row.values["record"] = record
        yield (
            row,
            LoadedBattery(
                **{
                    "stream": None,
                    "mass_kg": None,
                    "mass_estimated": False,
                    **values,
                    "revision": int(values.get("revision", 1)),
                    "chemistry": Chemistry(values["chemistry"]),
                    "grade": Grade(values["grade"]),
                    "handling": Handling(values["handling"]),
                    "evidence": Evidence(values.get("evidence", Evidence.NONE)),
                    "row": row.place.number,
                }
            ),
        )


def _name_stream(row: ReadRow) -> None:
    """Put the key of the stream in place of its title, as the workbook has it."""
    if "stream" in row.values:
        row.values["stream"] = stream_named(row.values["stream"])
