"""The entries of the forms and the lines to fill in, from what the load workbook and the rule data say."""

from intake.model.compliance import FormPlaces
from intake.model.kilograms import kg_in_words
from intake.model.load import Load, LoadTotal
from intake.report.drawing.list_table import TO_WRITE, Cell, Column, Row, Words
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG, TEXT
from intake.report.drawing.writer import Writer
from intake.report.load.content import LoadContent, StreamLine
from intake.report.words.by_stream import by_stream
from intake.report.words.form_entries import PACKAGES, Entry, entries_in_order, lines_to_fill

_KNOWN, _IN_PART, _PROPOSED, _YOURS = "known", "in part", "proposed", "yours"
_HALF = ("holder-contact", "handed-over", "first-carrier")
"""Entries that ask for a telephone, a time or a number as well."""
_BY_HAND = "Fill in by hand what is left blank: the load workbook has no field for it."
_NO_FORM_HELD = (
    "The rule data hold no form for this jurisdiction and this kind of load: what forms ask for elsewhere."
)
_SENDERS = "Of each battery: the sender, on the papers of its batch."
_COMPOSITION = "Physical form and hazardous properties: under To fill in."
_SPECIAL = "Page 1, Before anything is loaded; then What the rules say."
_ENTRIES = (
    Column("Form", 22),
    Column("Entry", 58),
    Column("What to write", 56, style=STRONG),
    Column("", 13),
)
_MOST_NAMED = 2
"""Streams whose titles fit side by side above lines to fill in."""
Value = tuple[Cell, str]
"""What to write, and whether it is known, proposed or yours."""


def place_entries(
    writer: Writer, load: Load, content: LoadContent, total: LoadTotal, forms: tuple[FormPlaces, ...]
) -> None:
    """Place the entries in the order of the form, each known, proposed, or left to be written."""
    told = " ".join(f"{form.title}: {form.source}" for form in forms) or _NO_FORM_HELD
    writer.section("Entries for the form", f"{told} {_BY_HAND}")
    values = _values(load, content, total)
    placed = entries_in_order(forms, load.head.kind.purpose)
    rows = [(place, _name(one, group), *_value(one, values)) for place, one, group in placed]
    first = 0 if any(place for place, _, _ in placed) else 1
    writer.table(_ENTRIES[first:], [row[first:] for row in rows], title="Entries for the form")


def _name(one: Entry, group: str) -> str:
    if one.entry not in ("Name", "Address, telephone"):
        return one.entry
    return f"{group.split(':')[0]}: {one.entry[0].lower()}{one.entry[1:]}"


def _value(one: Entry, values: dict[str, Value]) -> Value:
    if one.key in values:
        return values[one.key]
    return (Words(one.here, TEXT), _YOURS) if one.here else (TO_WRITE, _YOURS)


def _values(load: Load, content: LoadContent, total: LoadTotal) -> dict[str, Value]:
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
    }
    values: dict[str, Value] = {
        key: (one_line(text), _IN_PART if key in _HALF else _KNOWN) for key, text in known.items() if text
    }
    lines = content.streams
    chemistries = by_stream((one.number, one.chemistries) for one in lines)
    proposed = {
        "handed-in-by": _SENDERS,
        "description": by_stream((one.number, one.transport) for one in lines),
        "quantity": f"{by_stream((one.number, _mass(one)) for one in lines)} All: {_all(content, total)}.",
        "waste-codes": by_stream((one.number, "; ".join(one.codes)) for one in lines),
        "composition": f"{chemistries} {_COMPOSITION}",
        "special-handling": _SPECIAL,
    }
    values |= {key: (Words(text, TEXT), _PROPOSED) for key, text in proposed.items()}
    if not total.net_estimated_kg and not total.without_mass:
        values["quantity"] = (values["quantity"][0], _KNOWN)
    return values


def _packages(load: Load) -> str | None:
    if not load.packages:
        return None
    named = ", ".join(f"{one.package} {one.type or ''}".strip() for one in load.packages)
    return f"{len(load.packages)}: {named}"


def _mass(line: StreamLine) -> str:
    gross = "" if line.gross_kg is None else f", {kg_in_words(line.gross_kg)} kg gross"
    net = "net not known" if line.net_kg is None else f"{kg_in_words(line.net_kg)} kg net"
    return f"{net}{gross}"


def _all(content: LoadContent, total: LoadTotal) -> str:
    gross = "" if content.gross_kg is None else f", {kg_in_words(content.gross_kg)} kg gross"
    count = f"{total.count} {'battery' if total.count == 1 else 'batteries'}"
    return f"{count}, {kg_in_words(total.net_kg)} kg net{gross}"


def place_stream_lines(
    writer: Writer, load: Load, content: LoadContent, forms: tuple[FormPlaces, ...]
) -> None:
    """Place what is to be filled in for each stream, a column a stream; packages as far as they are known."""
    lines = content.streams
    writer.section("To fill in, stream by stream", "On the day of loading: the load workbook cannot know it.")
    named = len(lines) <= _MOST_NAMED
    heads = [one.name if named else f"Stream {one.number}" for one in lines]
    columns = (Column("", 50 if named else 70), *(Column(head, 31) for head in heads))
    purpose = load.head.kind.purpose
    asked = {one.number: lines_to_fill(one.stream.key, purpose, forms) for one in lines}
    rows: list[Row] = [
        (
            wanted.label,
            *(
                (_packed(one) if wanted.key == PACKAGES else TO_WRITE) if wanted in asked[one.number] else "–"
                for one in lines
            ),
        )
        for wanted in dict.fromkeys(one for ones in asked.values() for one in ones)
    ]
    writer.table(columns, rows, title="To fill in")


def _packed(line: StreamLine) -> Cell:
    if not line.packages:
        return TO_WRITE
    named = ", ".join(f"{one.package} {one.type or ''}".strip() for one in line.packages)
    gross = "" if line.gross_kg is None else f"; {kg_in_words(line.gross_kg)} kg gross"
    return Words(one_line(f"{len(line.packages)}: {named}{gross}"), STRONG)
