"""The sections of the load sheet after its entries: batteries by package, receipt, what the rules say."""

from intake.model.compliance import LoadOnPaper
from intake.model.kilograms import kg_in_words
from intake.model.load import Load, LoadedBattery
from intake.model.verdict import Evidence
from intake.report.drawing.list_table import Align, Column
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import STRONG
from intake.report.drawing.writer import Writer
from intake.report.load.content import LoadContent
from intake.report.words.battery import chemistry_in_words
from intake.report.words.by_stream import statements_by_stream, told_by_stream
from intake.report.words.sources import Sources
from intake.report.words.wording import load_wording

_DASH = "–"
_TESTED = (Evidence.STRENGTH, Evidence.CAPACITY)
SIGN_OFF = ("Loaded and counted", "Entries checked by a competent person", "Released for loading", "Driver")


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
    Column("Batch", 1.9),
    Column("Tag", 1.3, style=STRONG),
    Column("Chemistry", 1.4),
    Column("Handling", 1.1),
    Column("kg", 0.8, Align.POINT),
    Column("Remark", 3.8),
)


def _battery_row(one: LoadedBattery, currency: str | None) -> tuple[str, ...]:
    price = f"price {one.price} {currency or ''}".rstrip() if one.price else ""
    identified = f"identified as {one.identified_as}" if one.identified_as else ""
    estimated = "mass estimated" if one.mass_estimated else ""
    untested = (
        ""
        if one.stream or one.evidence in _TESTED
        else f"no test that counts; read: {load_wording().evidence[one.evidence]}"
    )
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


def place_rules(writer: Writer, content: LoadContent, said: LoadOnPaper, sources: Sources) -> None:
    """Place what the rule data say of the streams and of the whole load, each statement once."""
    found = statements_by_stream(((one.number, one.stream) for one in content.streams), storage=False)
    found.update((one, "all") for one in said.general)
    writer.section("What the rules say, and of which streams")
    with writer.continued("What the rules say"):
        writer.columns(told_by_stream(found, sources))
