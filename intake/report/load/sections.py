"""The sections of the load sheet: at a glance, what must not travel together, form entries, packages."""

from collections.abc import Sequence

from intake.model.compliance import Statement
from intake.model.load import Load, LoadedBattery, LoadKind, LoadTotal
from intake.report.drawing.list_table import TO_WRITE, Align, Column
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG
from intake.report.drawing.writer import Fact, Writer
from intake.report.load.content import CONFIRM, LoadContent, StreamLine
from intake.report.words.battery import chemistry_in_words

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
_KNOWN, _YOURS = "known", "yours"
SIGN_OFF = ("Loaded and counted", "Entries checked by a competent person", "Released for loading", "Driver")


def place_glance(writer: Writer, load: Load, content: LoadContent, total: LoadTotal) -> None:
    """Place the first page: what leaves, for whom, and each stream on one line."""
    head = load.head
    count = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
    writer.title(f"Load {head.load}: {count}, {_kg(total.net_kg)} kg net, {_TITLES[head.kind]}", NO_FORM)
    writer.facts(_facts(load), columns=2)
    writer.section("The load at a glance")
    writer.table(_STREAM_COLUMNS, [*map(_stream_row, content.streams), _sum_row(content, total)], sum_rows=1)
    if total.without_mass or total.net_estimated_kg:
        writer.text(_mass_remark(total), MUTED)
    for line in content.streams:
        writer.part(line.title)
        writer.facts(_stream_facts(line))


def _facts(load: Load) -> list[Fact]:
    head = load.head
    batches = ", ".join(f"{one.batch} (revision {one.revision})" for one in load.batches)
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
    Column("Stream", 3.2, style=STRONG),
    Column("Number", 1, Align.POINT),
    Column("Net kg", 1.2, Align.POINT),
    Column("Gross kg", 1.2, Align.POINT),
    Column("Packages", 2.4),
    Column("Who must still decide what", 3),
)


def _stream_row(line: StreamLine) -> tuple[str, ...]:
    packages = ", ".join(f"{one.package}{f' ({one.type})' if one.type else ''}" for one in line.packages)
    return (
        line.title,
        str(line.total.count),
        _kg(line.total.net_kg),
        _DASH if line.gross_kg is None else _kg(line.gross_kg),
        one_line(packages) or "to be written",
        "waste or not, UN entry, packing: a competent person",
    )


def _sum_row(content: LoadContent, total: LoadTotal) -> tuple[str, ...]:
    gross = [line.gross_kg for line in content.streams]
    whole = _DASH if None in gross else _kg(sum(one for one in gross if one is not None))
    return ("All", str(total.count), _kg(total.net_kg), whole, "", "")


def _stream_facts(line: StreamLine) -> list[Fact]:
    packing = [one for one in line.packing if one.text]
    return [
        ("Transport, proposed", line.transport),
        *(("Waste code, proposed", one_line(code)) for code in line.codes),
        *((one_line(one.heading), one_line(one.text or "")) for one in packing),
    ]


def _mass_remark(total: LoadTotal) -> str:
    parts = []
    if total.net_estimated_kg:
        parts.append(f"{_kg(total.net_estimated_kg)} kg of the net mass are estimated")
    if total.without_mass:
        parts.append(f"{total.without_mass} without a mass are missing from the kilograms")
    return f"{'; '.join(parts)}. An estimate is no declaration: weigh the load."


def place_warnings(writer: Writer, warnings: Sequence[Statement]) -> None:
    """Place what must not travel together in this load."""
    writer.section("Before anything is loaded")
    if not warnings:
        writer.text("The rule data name nothing against these batteries standing together. Confirm locally.")
    for one in warnings:
        writer.text(one.heading, STRONG)
        writer.text(one_line(one.text) if one.text else CONFIRM)


def place_entries(writer: Writer, load: Load, content: LoadContent, total: LoadTotal) -> None:
    """Place the entries that a form asks for, each marked as known, proposed or left to the officer."""
    head = load.head
    writer.section(
        "Entries for the form",
        "Known: from this load. Proposed: from the rule data, to be checked. Yours: to be written here.",
    )
    rows = [
        ("Number of the paper", head.form_number),
        ("Consignor: name and place", head.site),
        ("Consignor: registration, permit", None),
        ("Consignee: name and address", head.consignee),
        ("Consignee: permit", head.permit),
        ("Carrier", head.carrier),
        ("Vehicle", head.vehicle),
        ("Seals", head.seals),
        ("Emergency telephone", head.emergency_telephone),
        ("Date of leaving", head.date.isoformat()),
        ("Packages: number and type", _packages(load)),
        ("Quantity", f"{total.count} batteries, {_kg(total.net_kg)} kg net"),
    ]
    table = [(name, _KNOWN, one_line(text)) if text else (name, _YOURS, TO_WRITE) for name, text in rows]
    for line in content.streams:
        table.append((f"{line.title}: description", "proposed", line.transport))
        table += [(f"{line.title}: waste code", "proposed", one_line(code)) for code in line.codes]
    writer.table(_ENTRY_COLUMNS, table, title="Entries for the form")


_ENTRY_COLUMNS = (Column("Entry", 3, style=STRONG), Column("", 1), Column("What to write", 5))


def _packages(load: Load) -> str | None:
    if not load.packages:
        return None
    named = ", ".join(f"{one.package} {one.type or ''}".strip() for one in load.packages)
    return f"{len(load.packages)}: {named}"


def place_packages(writer: Writer, content: LoadContent) -> None:
    """Place every battery under its package."""
    writer.section("Batteries by package")
    for package, batteries in content.packages:
        name = package.package if package else "In no package"
        gross = f", {_kg(package.gross_kg)} kg gross" if package and package.gross_kg is not None else ""
        kind = f", {one_line(package.type)}" if package and package.type else ""
        title = f"{name}{kind}: {len(batteries)}{gross}"
        writer.part(title)
        writer.table(_BATTERY_COLUMNS, [_battery_row(one) for one in batteries], title=title)


_BATTERY_COLUMNS = (
    Column("Batch", 2.2),
    Column("Tag", 1.4, style=STRONG),
    Column("Chemistry", 1.5),
    Column("Handling", 1.2),
    Column("kg", 1, Align.POINT),
    Column("Remark", 3),
)


def _battery_row(one: LoadedBattery) -> tuple[str, ...]:
    price = f"price {one.price}" if one.price else ""
    identified = f"identified as {one.identified_as}" if one.identified_as else ""
    estimated = "mass estimated" if one.mass_estimated else ""
    remark = "; ".join(part for part in (identified, price, estimated, one.note or "") if part)
    return (
        one.batch,
        one.tag,
        chemistry_in_words(one.chemistry),
        one.handling.value,
        _DASH if one.mass_kg is None else _kg(one.mass_kg),
        one_line(remark),
    )


def place_receipt(writer: Writer, load: Load) -> None:
    """Place what the receiver answered, or lines to write it on."""
    receipt = load.receipt
    facts = [
        ("Received on", receipt.received_on.isoformat() if receipt.received_on else ""),
        ("Received by", receipt.received_by or ""),
        ("Weight, net kg", "" if receipt.weight_kg is None else _kg(receipt.weight_kg)),
        ("Batteries counted", "" if receipt.count is None else str(receipt.count)),
        ("Receiver's reference", receipt.reference or ""),
        ("Differences", one_line(receipt.differences or "")),
    ]
    writer.section("Receipt", "Written into the Receipt sheet of the load workbook, it closes the account.")
    writer.fill(facts)


def _kg(mass_kg: float) -> str:
    return f"{mass_kg:.1f}"
