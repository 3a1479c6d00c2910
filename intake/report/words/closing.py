"""How every document ends: the cautions with the lines to sign, then the sources."""

from collections.abc import Sequence

from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.flow import Block
from intake.report.drawing.styles import SOURCE
from intake.report.drawing.two_columns import column_width, place_in_columns
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
    """Place the numbered sources; nothing where there are none."""
    listed = sources.listed()
    if not listed:
        return
    writer.section("Sources", KEY)
    own = column_width(writer.width)
    with writer.continued("Sources"):
        place_in_columns(writer.flow, [_note(writer, number, text, own) for number, text in listed])


def _note(writer: Writer, number: str, text: str, width: float) -> Block:
    words = stack(writer.lines(text, SOURCE, width=width - _NUMBER_WIDTH))
    return side_by_side([(0.0, line_of(SOURCE, (0.0, number))), (_NUMBER_WIDTH, words)])
