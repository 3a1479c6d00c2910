"""Page 1 of the load sheet: what leaves, for whom, each stream on one line, who decides, its warnings."""

from collections.abc import Sequence

from intake.model.compliance import LoadOnPaper, Statement
from intake.model.kilograms import kg_in_words
from intake.model.load import Load, LoadKind, LoadTotal
from intake.policy.waste_streams import stream_decisions
from intake.report.drawing.list_table import TO_WRITE, Align, Cell, Column, ListTable, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG, TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.load.content import LoadContent, StreamLine
from intake.report.words.by_stream import told_or_confirm
from intake.report.words.sources import Sources

NO_FORM = (
    "This is no legal form. It is not a manifest, shipping paper, consignment note or declaration, and never"
    " travels in place of one. A competent person checks every entry."
)
_TITLES = {
    LoadKind.RECYCLING: "to a recycler",
    LoadKind.SALE: "sold",
    LoadKind.RETURN: "returned to the sender",
}
_PURPOSES = {
    LoadKind.RECYCLING: "Carried for disposal or recycling: what holds only for what is sold is left out.",
    LoadKind.SALE: "Carried because they are sold: what holds only for disposal or recycling is left out. A "
    "battery that is to be scrapped does not belong in this load.",
    LoadKind.RETURN: "Whether the sender will use or scrap them is not settled: what holds for "
    "one of the two says so. Settle it before loading; until then keep to the stricter.",
}
_DASH = "–"
_HEADING = 50.0
"""Points that the heading of the decisions takes above their table."""
_STREAMS = (
    Column("Stream", 22, style=STRONG),
    Column("count", 7, Align.POINT),
    Column("net kg", 9, Align.POINT),
    Column("gross kg", 9, Align.POINT),
    Column("Proposed description", 28, style=STRONG),
    Column("Waste code", 17, style=STRONG),
    Column("Packages, marks", 26),
)
_DECISIONS = (
    Column("Stream", 40),
    Column("Who must still decide what", 62),
    Column("Strike out", 24),
    Column("Decided by", 28),
    Column("Date", 14),
    Column("Signature", 26),
)


def place_glance(
    writer: Writer, load: Load, content: LoadContent, total: LoadTotal, said: LoadOnPaper, sources: Sources
) -> None:
    """Place what leaves and for whom, each stream on one line, and what must not go together."""
    head = load.head
    count = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
    writer.title(f"Load {head.load}: {count}, {kg_in_words(total.net_kg)} kg net, {_TITLES[head.kind]}")
    writer.text(NO_FORM, STRONG)
    writer.facts(_facts(load, said), columns=2)
    writer.section("The load at a glance", _PURPOSES[head.kind])
    rows = [_stream_row(one, sources) for one in content.streams]
    writer.table(_STREAMS, [*rows, _sum_row(content, total)], sum_rows=1)
    if remark := _mass_remark(total):
        writer.flow.space(4)
        writer.text(remark, MUTED)
    _place_warnings(writer, said.warnings, sources)


def place_decisions(writer: Writer, content: LoadContent) -> None:
    """Place who must still decide what, on page 1 where it fits; page 1 then ends."""
    decide = stream_decisions()
    rows = [
        (one.name, decide[one.stream.key], "waste / not waste", TO_WRITE, "", "") for one in content.streams
    ]
    table = ListTable(writer.setter, _DECISIONS, rows, width=writer.width)
    first = writer.flow.page_number == 1
    if _HEADING + table.block().height > writer.flow.room:
        writer.flow.turn_page()
    writer.section("Who must still decide", "Never filled in by the program.")
    table.place(writer.flow, title="Who must still decide")
    if first and writer.flow.page_number == 1:
        writer.flow.turn_page()


def _facts(load: Load, said: LoadOnPaper) -> list[Fact]:
    head, data = load.head, said.rule_data
    batches = ", ".join(
        f"{one.batch} (revision {one.revision})" if one.revision > 1 else one.batch for one in load.batches
    )
    facts = [
        ("From", head.site),
        ("To", head.consignee),
        ("Date", head.date.isoformat()),
        ("Rules of", ", ".join(one for one in (said.jurisdiction, head.region, "on that date") if one)),
        ("Rule data", f"edition {data.edition}, checked {data.checked_on}, review by {data.review_by}"),
        ("Carrier, vehicle", ", ".join(one for one in (head.carrier, head.vehicle) if one) or _DASH),
        ("Form and number", " ".join(one for one in (head.form, head.form_number) if one) or _DASH),
        ("Seals", head.seals or _DASH),
        ("Prepared by", head.prepared_by),
        ("Batches", batches),
        *([("Note", head.note)] if head.note else []),
    ]
    return [(name, one_line(text)) for name, text in facts]


def _stream_row(line: StreamLine, sources: Sources) -> Row:
    packages = ", ".join(f"{one.package}{f' ({one.type})' if one.type else ''}" for one in line.packages)
    return (
        (line.name, Words(line.chemistries, TEXT)),
        str(line.count),
        _DASH if line.net_kg is None else kg_in_words(line.net_kg),
        _DASH if line.gross_kg is None else kg_in_words(line.gross_kg),
        _description(line, sources),
        line.codes,
        (one_line(packages), *(Words(one, MUTED) for one in line.marks)),
    )


def _description(line: StreamLine, sources: Sources) -> Cell:
    """Return the line to copy, its sources below it in a lighter style, so that nobody copies them."""
    described = line.stream.transport_line
    note = "" if described is None else sources.note(described.source).strip()
    return (line.transport, Words(note, MUTED)) if note else line.transport


def _sum_row(content: LoadContent, total: LoadTotal) -> tuple[str, ...]:
    gross = _DASH if content.gross_kg is None else kg_in_words(content.gross_kg)
    return ("All", str(total.count), kg_in_words(total.net_kg), gross, "", "", "")


def _mass_remark(total: LoadTotal) -> str:
    parts = []
    if total.net_estimated_kg:
        parts.append(f"{kg_in_words(total.net_estimated_kg)} kg of the net mass is estimated")
    if total.without_mass:
        verbs = ("has", "counts") if total.without_mass == 1 else ("have", "count")
        parts.append(f"{total.without_mass} {verbs[0]} no mass and {verbs[1]} 0 kg")
    return f"{'; '.join(parts)}. An estimate is no declaration: weigh the load." if parts else ""


def _place_warnings(writer: Writer, warnings: Sequence[Statement], sources: Sources) -> None:
    title = "Before anything is loaded"
    writer.section(title)
    if not warnings:
        writer.text("The rule data name nothing against these batteries standing together. Confirm locally.")
    with writer.continued(title):
        for one in warnings:
            writer.paragraph(one.heading, one_line(told_or_confirm(one)) + sources.note(one.source))
