"""Page 1 of the disposal sheet: the load at a glance, a line a stream, its warnings, who decides."""

from collections.abc import Sequence

from intake.model.compliance import Statement
from intake.model.result import BatchResult
from intake.model.verdict import Grade
from intake.policy.waste_streams import stream_decisions
from intake.report.disposal.content import DisposalContent, StreamPart
from intake.report.disposal.words import kilograms
from intake.report.drawing.list_table import TO_WRITE, Align, Cell, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import MUTED, STRONG, TEXT
from intake.report.drawing.writer import Fact, Writer
from intake.report.words.batch_facts import lead_facts
from intake.report.words.by_stream import told_or_confirm
from intake.report.words.sources import Sources
from intake.report.words.tag_order import by_tag
from intake.report.words.waste_codes import codes_in_short, packages_in_short

NO_FORM = (
    "This is no legal form. It is not a manifest, shipping paper, consignment note or declaration, and "
    "never travels in place of one. It holds what was found at intake, and proposals for a competent "
    "person to check."
)
NOTHING = "No battery of this batch is graded recycle: there is no waste stream and nothing to consign."
PROPOSALS = (
    "Descriptions, codes, packages and marks are proposals to be confirmed: their conditions stand under "
    "What the rules say."
)
_ELSEWHERE = {Grade.RESALE: "for resale after charge", Grade.RECONDITIONABLE: "reconditionable"}
_MOST_NAMED = 12
"""Batteries of a stream that page 1 names."""
_STREAMS = (
    Column("Stream", 22, style=STRONG),
    Column("count", 7, Align.POINT),
    Column("net kg", 9, Align.POINT),
    Column("Proposed description", 28, style=STRONG),
    Column("Waste code", 16, style=STRONG),
    Column("Package, mark", 22),
    Column("Who must still decide", 27),
)
_STATUS = (
    Column("Stream", 60),
    Column("Strike out", 24),
    Column("Decided by", 30),
    Column("Date", 16),
    Column("Signature", 30),
)


def place_glance(writer: Writer, result: BatchResult, content: DisposalContent, sources: Sources) -> None:
    """Place the streams of the load, what must still be decided, and its warnings."""
    count = content.recycle.count
    amount = (
        f"{count} {'battery' if count == 1 else 'batteries'} to recycle" if count else "nothing to recycle"
    )
    writer.title(f"{result.batch.batch}: {amount}")
    writer.text(NO_FORM, STRONG)
    writer.facts([*lead_facts(result), *_rule_facts(result)], columns=2)
    if result.batch.note:
        writer.long_text(f"Note: {one_line(result.batch.note)}")
    if content.parts:
        _place_streams(writer, result, content, sources)
    else:
        writer.text(NOTHING)
    writer.text(counted_in_words(content), MUTED)
    _place_warnings(writer, result.compliance.load_warnings, sources)
    if content.parts:
        writer.section("Waste or not: decided by the officer", "Never filled in by the program.")
        writer.table(_STATUS, [(part.name, "waste / not waste", TO_WRITE, "", "") for part in content.parts])


def counted_in_words(content: DisposalContent) -> str:
    """Say where the batteries of the batch are that are not in a stream."""
    parts = [f"{len(content.unresolved)} unresolved, listed apart"]
    parts += [f"{count} {_ELSEWHERE[grade]}" for grade, count in content.elsewhere]
    net = "Net: the batteries alone; an estimate comes from the rated capacity."
    return f"Not in this load: {', '.join(parts)}. {net}"


def _place_streams(writer: Writer, result: BatchResult, content: DisposalContent, sources: Sources) -> None:
    day = result.compliance.rules_date
    rows: list[Row] = [
        (
            (part.name, _named_tags(part)),
            str(part.total.count),
            kilograms(part.total),
            _description(part, sources),
            codes_in_short(part.stream, day),
            packages_in_short(part.stream),
            stream_decisions()[part.stream.key],
        )
        for part in content.parts
    ]
    whole = content.recycle
    rows.append(("All", str(whole.count), kilograms(whole), "", "", "", ""))
    writer.table(_STREAMS, rows, sum_rows=1)
    writer.flow.space(2)
    writer.text(PROPOSALS, MUTED)


def _description(part: StreamPart, sources: Sources) -> Cell:
    """Return the line to copy, its sources below it in a lighter style, so that nobody copies them."""
    line = part.stream.transport_line
    note = "" if line is None else sources.note(line.source).strip()
    return (told_or_confirm(line), Words(note, MUTED)) if note else told_or_confirm(line)


def _named_tags(part: StreamPart) -> Words:
    """Return the tags of a stream; of a long one only that they stand further on."""
    tags = ", ".join(one.name for one in by_tag(part.batteries))
    return Words(tags if len(part.batteries) <= _MOST_NAMED else "tags listed below", TEXT)


def _place_warnings(writer: Writer, warnings: Sequence[Statement], sources: Sources) -> None:
    if not warnings:
        return
    title = "Before anything is loaded"
    writer.section(title)
    with writer.continued(title):
        for one in warnings:
            writer.paragraph(one.heading, told_or_confirm(one) + sources.note(one.source))


def _rule_facts(result: BatchResult) -> list[Fact]:
    compliance, batch = result.compliance, result.batch
    basis = "the ship date" if compliance.rules_date_is_ship_date else "received: no ship date is given"
    data = compliance.rule_data
    facts = [("Jurisdiction", one_line(", ".join(one for one in (batch.jurisdiction, batch.region) if one)))]
    if data is None or data.covers(compliance.rules_date):
        facts.append(("Rules of", f"{compliance.rules_date}, {basis}"))
    if data:
        told = f"edition {one_line(data.edition)}, checked {data.checked_on}, review by {data.review_by}"
        facts.append(("Rule data", told))
    return facts
