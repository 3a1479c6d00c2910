"""How every document ends: the cautions with the lines to sign, then the sources."""

from collections.abc import Sequence

from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.flow import Block
from intake.report.drawing.styles import MUTED, SECTION, SOURCE
from intake.report.drawing.two_columns import column_width, height_in_columns, place_in_columns
from intake.report.drawing.typesetter import MISSING_SIGN
from intake.report.drawing.writer import Writer
from intake.report.words.sources import KEY, Sources

_NUMBER_WIDTH = 16.0
_SHORT = 1 / 3
"""Share of a page under which a list of sources is not left alone on it."""
_ROOM_OF_HEADING = 13.0
"""Points above and below the heading of a section."""


def place_closing(
    writer: Writer,
    cautions: Sequence[str],
    roles: Sequence[str],
    sources: Sources,
    *,
    below: Sequence[str] = (),
) -> None:
    """Place all cautions, once and together, below them the lines to sign, and then the sources.

    Where a character could not be printed, this is said among the cautions. ``below`` stands under the lines
    to sign. A short list of sources that would stand alone on the last page takes the cautions there with it.
    """
    signed = writer.sign_off_rows(roles, [*cautions, *_replaced(writer)], below=below)
    if _would_stand_alone(writer, stack(signed).height, sources):
        writer.flow.turn_page()
    writer.section("Cautions")
    writer.together(signed)
    place_sources(writer, sources)


def _would_stand_alone(writer: Writer, signed: float, sources: Sources) -> bool:
    """Say whether a short list of sources needs a further page that could hold the lines to sign as well."""
    heading = SECTION.leading + _ROOM_OF_HEADING
    before, full = signed + heading, writer.flow.full_room
    left = writer.flow.room - before
    listed, run_on = _as_list(writer, sources), _as_text(writer, sources)
    if not listed:
        return False
    least = min(height_in_columns(listed), height_in_columns(run_on)) + heading + MUTED.leading
    whole = height_in_columns(listed) + heading + MUTED.leading
    return least > left and whole < _SHORT * full and before + whole <= full


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
    notes = _as_list(writer, sources)
    if not notes:
        return
    writer.section("Sources", KEY)
    height = height_in_columns(notes)
    if height > writer.flow.room:
        run_on = _as_text(writer, sources)
        if height_in_columns(run_on) <= writer.flow.room:
            notes = run_on
        elif height + writer.flow.waiting <= writer.flow.full_room:
            writer.flow.turn_page()
    with writer.continued("Sources"):
        place_in_columns(writer.flow, notes)


def _as_list(writer: Writer, sources: Sources) -> list[Block]:
    """Return the notes, each with its number at the left."""
    own = column_width(writer.width)
    return [_note(writer, number, text, own) for number, text in sources.listed()]


def _as_text(writer: Writer, sources: Sources) -> list[Block]:
    """Return the lines of the notes as they run on from one to the next."""
    told = " ".join(f"[{number}]\u00a0{text}" for number, text in sources.listed())
    return writer.lines(told, SOURCE, width=column_width(writer.width))


def _note(writer: Writer, number: str, text: str, width: float) -> Block:
    words = stack(writer.lines(text, SOURCE, width=width - _NUMBER_WIDTH))
    return side_by_side([(0.0, line_of(SOURCE, (0.0, number))), (_NUMBER_WIDTH, words)])
