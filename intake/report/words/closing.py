"""How every document ends: the cautions with the lines to sign, then the sources."""

from collections.abc import Sequence

from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.flow import Block
from intake.report.drawing.styles import SOURCE
from intake.report.drawing.two_columns import column_width, height_in_columns, place_in_columns
from intake.report.drawing.typesetter import MISSING_SIGN
from intake.report.drawing.writer import Writer
from intake.report.words.sources import KEY, Sources

_NUMBER_WIDTH = 16.0


def place_cautions(
    writer: Writer, cautions: Sequence[str], roles: Sequence[str], *, below: Sequence[str] = ()
) -> None:
    """Place all cautions, once and together, and below them the lines to sign.

    Where a character could not be printed, this is said among them. ``below`` stands under the lines to sign.
    """
    texts = [*cautions, *_replaced(writer)]
    writer.sign_off(roles, texts, below=below)


def place_replaced(writer: Writer) -> None:
    """Say where a character could not be printed, in a document without cautions."""
    for text in _replaced(writer):
        writer.text(text)


def _replaced(writer: Writer) -> list[str]:
    replaced = writer.setter.replaced
    characters = "character" if replaced == 1 else "characters"
    return [f"{replaced} {characters} could not be printed; shown as {MISSING_SIGN}."] if replaced else []


def place_sources(writer: Writer, sources: Sources) -> None:
    """Place the numbered sources; nothing where there are none.

    Where the list would go on over a further page, it runs on from note to note if it then ends on this
    one; else it stands together on a page of its own, as far as a page can hold it.
    """
    listed = sources.listed()
    if not listed:
        return
    writer.section("Sources", KEY)
    own = column_width(writer.width)
    notes = [_note(writer, number, text, own) for number, text in listed]
    height = height_in_columns(notes)
    if height > writer.flow.room:
        run_on = writer.lines(
            " ".join(f"[{number}]\u00a0{text}" for number, text in listed), SOURCE, width=own
        )
        if height_in_columns(run_on) <= writer.flow.room:
            notes = run_on
        elif height + writer.flow.waiting <= writer.flow.full_room:
            writer.flow.turn_page()
    with writer.continued("Sources"):
        place_in_columns(writer.flow, notes)


def _note(writer: Writer, number: str, text: str, width: float) -> Block:
    words = stack(writer.lines(text, SOURCE, width=width - _NUMBER_WIDTH))
    return side_by_side([(0.0, line_of(SOURCE, (0.0, number))), (_NUMBER_WIDTH, words)])
