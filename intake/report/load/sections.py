"""The sections of the load sheet: at a glance, what must not travel together, form entries, packages."""

from collections.abc import Sequence

from intake.model.compliance import FormPlaces, Statement
from intake.model.kilograms import kg_in_words, sum_kg
from intake.model.load import Load, LoadedBattery, LoadKind, LoadTotal
from intake.model.verdict import Evidence
from intake.report.drawing.list_table import TO_WRITE, Align, Cell, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG, TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.load.content import CONFIRM, NOT_WASTE, LoadContent, StreamLine
from intake.report.words.battery import chemistry_in_words
from intake.report.words.form_entries import Entry, entries_in_order

NO_FORM = (
    "This is no legal form. It is not a manifest, shipping paper, consignment note or declaration, and never"
    " travels in place of one. A competent person checks every entry."
)
_TITLES = {
    LoadKind.RECYCLING: "to a recycler",
    LoadKind.SALE: "sold",
    LoadKind.RETURN: "returned to the sender",
}
_DASH = "–"
_KNOWN, _IN_PART, _PROPOSED, _YOURS = "known", "in part", "proposed", "yours"
_HALF = ("holder-contact", "handed-over", "first-carrier")
"""Entries that ask for a telephone, a time or a number as well."""
DECIDES = (
    "Whether a stream is waste, how it is described and packed: a competent person decides, under the local"
    " rules."
)
_TESTED = (Evidence.STRENGTH, Evidence.CAPACITY)
SIGN_OFF = ("Loaded and counted", "Entries checked by a competent person", "Released for loading", "Driver")


def place_glance(
    writer: Writer, load: Load, content: LoadContent, total: LoadTotal, warnings: Sequence[Statement]
) -> None:
    """Place the first page: what leaves, for whom, each stream on one line, what must not go together."""
    head = load.head
    count = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
    writer.title(f"Load {head.load}: {count}, {kg_in_words(total.net_kg)} kg net, {_TITLES[head.kind]}")
    writer.text(NO_FORM, STRONG)
    writer.facts(_facts(load), columns=2)
    writer.section("The load at a glance")
    writer.table(_STREAM_COLUMNS, [*map(_stream_row, content.streams), _sum_row(content, total)], sum_rows=1)
    writer.flow.space(4)
    writer.text(f"{DECIDES} {_mass_remark(total)}".strip(), MUTED)
    writer.section("Before anything is loaded")
    if not warnings:
        writer.text("The rule data name nothing against these batteries standing together. Confirm locally.")
    for one in warnings:
        writer.paragraph(one.heading, one_line(one.text) if one.text else CONFIRM)


def _facts(load: Load) -> list[Fact]:
    head = load.head
    batches = ", ".join(
        f"{one.batch} (revision {one.revision})" if one.revision > 1 else one.batch for one in load.batches
    )
    facts = [
        ("From", head.site),
        ("To", head.consignee),
        ("Date", head.date.isoformat()),
        ("Rules of", f"{head.jurisdiction}{f', {head.region}' if head.region else ''}, on that date"),
        ("Carrier, vehicle", ", ".join(one for one in (head.carrier, head.vehicle) if one) or _DASH),
        ("Form and number", " ".join(one for one in (head.form, head.form_number) if one) or _DASH),
        ("Seals", head.seals or _DASH),
        ("Prepared by", head.prepared_by),
        ("Batches", batches),
        *([("Note", head.note)] if head.note else []),
    ]
    return [(name, one_line(text)) for name, text in facts]


_STREAM_COLUMNS = (
    Column("Stream", 22, style=STRONG),
    Column("count", 7, Align.POINT),
    Column("net kg", 9, Align.POINT),
    Column("gross kg", 9, Align.POINT),
    Column("Proposed description", 28, style=STRONG),
    Column("Waste code", 17, style=STRONG),
    Column("Packages, marks", 26),
)


def _stream_row(line: StreamLine) -> Row:
    packages = ", ".join(f"{one.package}{f' ({one.type})' if one.type else ''}" for one in line.packages)
    return (
        line.title,
        str(line.count),
        kg_in_words(line.net_kg),
        _DASH if line.gross_kg is None else kg_in_words(line.gross_kg),
        line.transport,
        line.codes,
        (one_line(packages), *(Words(one, MUTED) for one in line.marks)),
    )


def _sum_row(content: LoadContent, total: LoadTotal) -> tuple[str, ...]:
    gross = [line.gross_kg for line in content.streams]
    whole = _DASH if None in gross else kg_in_words(sum_kg(one for one in gross if one is not None))
    return ("All", str(total.count), kg_in_words(total.net_kg), whole, "", "", "")


def _mass_remark(total: LoadTotal) -> str:
    parts = []
    if total.net_estimated_kg:
        parts.append(f"{kg_in_words(total.net_estimated_kg)} kg of the net mass is estimated")
    if total.without_mass:
        verbs = ("has", "counts") if total.without_mass == 1 else ("have", "count")
        parts.append(f"{total.without_mass} {verbs[0]} no mass and {verbs[1]} 0 kg")
    return f"{'; '.join(parts)}. An estimate is no declaration: weigh the load." if parts else ""


def place_entries(
    writer: Writer, load: Load, content: LoadContent, total: LoadTotal, forms: Sequence[FormPlaces]
) -> None:
    """Place the entries in the order of the form, each known, proposed, or left to be written."""
    told = " ".join(f"{form.title}: {form.source}" for form in forms)
    writer.section("Entries for the form", told or "No form is held for this jurisdiction.")
    values = _known(load, content, total)
    rows = [
        (place, _name(one, group), *_value(values.get(one.key)))
        for place, one, group in entries_in_order(forms)
    ]
    writer.table(_ENTRY_COLUMNS, rows, title="Entries for the form")


_ENTRY_COLUMNS = (
    Column("Form", 22),
    Column("Entry", 58),
    Column("What to write", 56, style=STRONG),
    Column("", 13),
)
Value = tuple[Cell, str]
"""What to write, and whether it is known or proposed."""


def _name(one: Entry, group: str) -> str:
    if one.entry not in ("Name", "Address, telephone"):
        return one.entry
    return f"{group.split(':')[0]}: {one.entry[0].lower()}{one.entry[1:]}"


def _value(found: Value | None) -> Value:
    return (TO_WRITE, _YOURS) if found is None else found


def _known(load: Load, content: LoadContent, total: LoadTotal) -> dict[str, Value]:
    """Return what the load knows or proposes, by the key of the entry."""
    head = load.head
    known = {
        "paper-number": head.form_number,
        "holder-name": head.site,
        "holder-contact": head.prepared_by,
        "emergency-telephone": head.emergency_telephone,
        "first-carrier": head.carrier,
        "vehicle": head.vehicle,
        "handed-over": head.date.isoformat(),
        "receiver-name": head.consignee,
        "receiver-numbers": head.permit,
        "packages": _packages(load),
        "quantity": f"{total.count} batteries, {kg_in_words(total.net_kg)} kg net",
    }
    proposed = {
        "description": [f"{one.title}: {one.transport}" for one in content.streams],
        "waste-codes": [
            one.title if one.codes == (NOT_WASTE,) else f"{one.title}: {'; '.join(one.codes)}"
            for one in content.streams
        ],
    }
    values: dict[str, Value] = {
        key: (one_line(text), _IN_PART if key in _HALF else _KNOWN) for key, text in known.items() if text
    }
    for key, texts in proposed.items():
        values[key] = (tuple(Words(one_line(text), TEXT) for text in dict.fromkeys(texts)), _PROPOSED)
    return values


def _packages(load: Load) -> str | None:
    if not load.packages:
        return None
    named = ", ".join(f"{one.package} {one.type or ''}".strip() for one in load.packages)
    return f"{len(load.packages)}: {named}"


def place_conditions(writer: Writer, content: LoadContent) -> None:
    """Place what the rule data say of the codes and the packing of each stream of the load."""
    told = [
        (f"{line.title}: {one.heading[0].lower()}{one.heading[1:]}", one_line(one.text))
        for line in content.streams
        for one in line.conditions
        if one.text
    ]
    if told:
        writer.section("Waste codes and packing, stream by stream")
        writer.columns(told)


def place_packages(writer: Writer, content: LoadContent, *, currency: str | None) -> None:
    """Place every battery under its package; prices are in ``currency``, None where none is given."""
    writer.section("Batteries by package")
    for package, batteries in content.packages:
        name = package.package if package else "In no package"
        gross = (
            f", {kg_in_words(package.gross_kg)} kg gross" if package and package.gross_kg is not None else ""
        )
        kind = f", {one_line(package.type)}" if package and package.type else ""
        title = f"{name}{kind}: {len(batteries)}{gross}"
        writer.part(title)
        writer.table(_BATTERY_COLUMNS, [_battery_row(one, currency) for one in batteries], title=title)


_BATTERY_COLUMNS = (
    Column("Batch", 2.2),
    Column("Tag", 1.4, style=STRONG),
    Column("Chemistry", 1.5),
    Column("Handling", 1.2),
    Column("kg", 1, Align.POINT),
    Column("Remark", 3),
)


def _battery_row(one: LoadedBattery, currency: str | None) -> tuple[str, ...]:
    price = f"price {one.price} {currency or ''}".rstrip() if one.price else ""
    identified = f"identified as {one.identified_as}" if one.identified_as else ""
    estimated = "mass estimated" if one.mass_estimated else ""
    untested = "" if one.stream or one.evidence in _TESTED else f"not tested ({one.evidence.value})"
    parts = (identified, untested, price, estimated, one.note or "")
    remark = "; ".join(part for part in parts if part)
    return (
        one.batch,
        one.tag,
        chemistry_in_words(one.chemistry),
        one.handling.value,
        _DASH if one.mass_kg is None else kg_in_words(one.mass_kg),
        one_line(remark),
    )


def place_receipt(writer: Writer, load: Load) -> None:
    """Place what the receiver answered, or lines to write it on."""
    receipt = load.receipt
    facts = [
        ("Received on", receipt.received_on.isoformat() if receipt.received_on else ""),
        ("Received by", receipt.received_by or ""),
        ("Weight, net kg", "" if receipt.weight_kg is None else kg_in_words(receipt.weight_kg)),
        ("Batteries counted", "" if receipt.count is None else str(receipt.count)),
        ("Receiver's reference", receipt.reference or ""),
        ("Differences", one_line(receipt.differences or "")),
    ]
    writer.section("Receipt", "Written into the Receipt sheet of the load workbook, it closes the account.")
    writer.fill(facts)
