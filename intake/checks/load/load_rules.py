"""What may not leave together, twice, or at all: the rules of a load, each found at its cell."""

from collections.abc import Iterable, Mapping, Sequence

from intake.checks.finding_log import FindingLog
from intake.checks.load.rows import ReadRow
from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.kilograms import grams, sum_kg
from intake.model.load import GradedSource, LoadedBattery, LoadKind, Package, Yard
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.damage_words import damage_words
from intake.policy.evidence_words import evidence_words
from intake.policy.waste_streams import LFP_DAMAGED, stream_in_words

Ticked = Sequence[tuple[ReadRow, LoadedBattery]]
"""The rows that are in the load."""
Packed = Mapping[str, tuple[ReadRow, Package]]
"""The packages by name."""

TESTED = (Evidence.STRENGTH, Evidence.CAPACITY)
_FAMILY = dict.fromkeys(LEAD_ACID, "lead-acid") | {
    Chemistry.LFP: "lithium",
    Chemistry.OTHER: "unidentified",
    Chemistry.UNKNOWN: "unidentified",
}
_WRITE_ANEW = "Write the load workbook anew with intake load new, and tick the battery there."


def check_rows(
    ticked: Ticked,
    log: FindingLog,
    *,
    kind: LoadKind,
    sources: Mapping[str, GradedSource],
    yard: Yard,
) -> None:
    """Reject rows that were changed, stand twice, have left already, or do not fit this kind of load."""
    first: dict[tuple[str, str], ReadRow] = {}
    for row, one in ticked:
        key = (one.batch.casefold(), one.tag.casefold())
        _check_record(row, one, log, sources)
        if key in first:
            log.reject(
                f"{one.tag} of batch {one.batch} stands in {first[key].spot('tag').cell} too.",
                "Clear the tick in one of the two rows.",
                row.spot("tag"),
            )
        first.setdefault(key, row)
        if key in yard.gone:
            log.reject(
                f"{one.tag} of batch {one.batch} has left already, in load {yard.gone[key]}.",
                "Clear the tick, or correct the other load first.",
                row.spot("in_this_load"),
            )
        _check_kind(row, one, log, kind=kind, unidentified=yard.unidentified)
        _check_doubt(row, one, log, kind=kind)


def _check_record(
    row: ReadRow, one: LoadedBattery, log: FindingLog, sources: Mapping[str, GradedSource]
) -> None:
    source = sources.get(one.batch)
    if source is None:
        log.reject(
            f'Batch "{one.batch}" does not stand on the Batches sheet.', _WRITE_ANEW, row.spot("batch")
        )
    elif row.values["record"] != one.record(source.results_sha256):
        log.reject(
            f"What was graded of {one.tag} was changed in this row: batch, tag, revision, stream, chemistry,"
            " grade, handling, non-spillable mark or case plastic no longer fits the record.",
            _WRITE_ANEW,
            row.spot("record"),
        )


def _check_kind(
    row: ReadRow, one: LoadedBattery, log: FindingLog, *, kind: LoadKind, unidentified: str
) -> None:
    spot = row.spot("grade")
    if kind is LoadKind.SALE and one.grade is not Grade.RESALE:
        log.reject(
            f"{one.tag} is graded {one.grade.value}; a sale takes what is graded {Grade.RESALE.value} only.",
            "Clear the tick, or grade the battery again after the test it still needs.",
            spot,
        )
    elif kind is LoadKind.SALE and one.evidence not in TESTED:
        log.warn(
            f"{one.tag} has no test that counts; its evidence: {evidence_words()[one.evidence]}.",
            "Tell the buyer so, or test it first; a test counts beside a hold of 12 h or more. Its condition"
            " sheet says what was read.",
            row.spot("evidence"),
        )
    if kind is not LoadKind.RECYCLING or one.grade is Grade.RECYCLE:
        return
    if one.grade is not Grade.UNRESOLVED:
        log.reject(
            f"{one.tag} is graded {one.grade.value}, not {Grade.RECYCLE.value}.",
            "Clear the tick, or note in the intake workbook why it is scrapped, and grade again.",
            spot,
        )
    elif one.stream != unidentified:
        log.reject(
            f"{one.tag} is unresolved: which waste stream it belongs to is not settled.",
            "Take the measurement that its next step names, grade again, then write the load workbook anew.",
            spot,
        )


def _doubt(one: LoadedBattery) -> str:
    """Return what keeps a battery from the intact ones, in words; empty where nothing does.

    Its handling is part of the record that no cell can change. A note can add a doubt, never take one away.
    """
    if one.handling is not Handling.INTACT:
        return f"with handling {one.handling.value}"
    return "whose note speaks of damage" if damage_words(one.note or "") else ""


def _lithium_doubt(one: LoadedBattery) -> str:
    """Return the doubt about a lithium battery, which asks for a package of its own stream."""
    return _doubt(one) if one.chemistry is Chemistry.LFP else ""


def _check_doubt(row: ReadRow, one: LoadedBattery, log: FindingLog, *, kind: LoadKind) -> None:
    if kind is LoadKind.SALE and (doubt := _doubt(one)):
        log.reject(
            f"{one.tag} is {_FAMILY[one.chemistry]} {doubt}: it is not for sale.",
            "Clear the tick; look again, correct the case or the note in the intake workbook, grade again.",
            row.spot("handling"),
        )


def check_packing(
    ticked: Ticked, packed: Packed, log: FindingLog, package_log: FindingLog, *, kind: LoadKind
) -> None:
    """Reject a battery in a missing package or one of another stream, and a gross mass below the net."""
    for row, one in ticked:
        _check_package(row, one, packed, log, kind=kind)
    for name, (row, package) in packed.items():
        inside = [one for _, one in ticked if one.package == name]
        _check_mix(row, package, inside, package_log)
        _check_gross(row, package, inside, package_log)


def _check_package(
    row: ReadRow, one: LoadedBattery, packed: Packed, log: FindingLog, *, kind: LoadKind
) -> None:
    doubt = _lithium_doubt(one)
    if one.package is None:
        if doubt:
            log.reject(
                f"{one.tag} is lithium {doubt} and stands in no package.",
                "Give it a package of its stream, packed by a qualified person by the rules for these.",
                row.spot("package"),
            )
        elif packed:
            log.warn(
                f"{one.tag} stands in no package.", "Write the name of its package.", row.spot("package")
            )
        return
    if one.package not in packed:
        log.reject(
            f'The package "{one.package}" does not stand on the Packages sheet.',
            "Add it there, or correct the name.",
            row.spot("package"),
        )
        return
    held = packed[one.package][1].stream
    if doubt and one.stream != LFP_DAMAGED:
        if held != LFP_DAMAGED:
            log.reject(
                f"{one.tag} is lithium {doubt}; its package {one.package} {_says(held)}.",
                f'Pack it as "{stream_in_words(LFP_DAMAGED)}", by a qualified person, or look again and grade'
                " it again.",
                row.spot("package"),
            )
    elif held != one.stream and (kind is LoadKind.RECYCLING or doubt):
        log.reject(
            f"{one.tag} belongs to {_of_stream(one.stream)}, its package {one.package} {_says(held)}.",
            ("" if held else f'Choose "{stream_in_words(one.stream)}" there if it holds nothing else. ')
            + "A package holds one stream. Damaged or suspect lithium never goes in with intact batteries.",
            row.spot("package"),
        )


def _check_mix(row: ReadRow, package: Package, inside: Iterable[LoadedBattery], log: FindingLog) -> None:
    """Warn of a package that holds more than one kind; what is no waste counts by its chemistry."""
    kinds: dict[str, list[str]] = {}
    for one in inside:
        kind = stream_in_words(one.stream, none=_FAMILY[one.chemistry])
        kind += ", not known to be intact" if _doubt(one) else ""
        kinds.setdefault(kind, []).append(one.tag)
    if len(kinds) > 1:
        told = "; ".join(f"{kind}: {', '.join(tags)}" for kind, tags in kinds.items())
        log.warn(
            f'The package "{package.package}" holds more than one kind ({told}).',
            "A package holds one stream: give each kind a package of its own, what is not known to be intact"
            " never among the intact.",
            row.spot("package"),
        )


def _says(stream: str | None) -> str:
    return f'holds "{stream_in_words(stream)}"' if stream else "has no stream on the Packages sheet"


def _of_stream(stream: str | None) -> str:
    return f'the stream "{stream_in_words(stream)}"' if stream else "no waste stream"


def _check_gross(row: ReadRow, package: Package, inside: Iterable[LoadedBattery], log: FindingLog) -> None:
    masses = [one.mass_kg for one in inside]
    if not masses:
        log.warn(
            f'The package "{package.package}" holds no battery of this load.',
            "Delete the row, or write the package beside its batteries.",
            row.spot("package"),
        )
    net_kg = sum_kg(mass for mass in masses if mass is not None)
    if package.gross_kg is not None and grams(package.gross_kg) < grams(net_kg):
        log.reject(
            f"{package.gross_kg:g} kg gross is less than the {net_kg:g} kg of the batteries in it.",
            "Weigh the package again, or correct the masses of the batteries.",
            row.spot("gross_kg"),
        )
