"""Blocks in two columns, each read from the top down, over as many pages as they need."""

from collections.abc import Sequence

from intake.report.drawing.blocks import side_by_side, stack
from intake.report.drawing.flow import Block, Flow

GUTTER = 14.0
"""Points between the columns."""
_TOGETHER = 2
"""Lines of a paragraph that are never parted at its beginning and at its end."""


def column_width(width: float) -> float:
    """Return how wide each of two columns is."""
    return (width - GUTTER) / 2


def divided(lines: Sequence[Block], *, below: float) -> list[Block]:
    """Return a paragraph in parts that may stand in two columns, never one line alone, with room below."""
    gap = Block(below, ())
    if len(lines) < 2 * _TOGETHER:
        return [stack([*lines, gap])]
    first, last = stack(lines[:_TOGETHER]), stack([*lines[-_TOGETHER:], gap])
    return [first, *lines[_TOGETHER:-_TOGETHER], last]


def place_in_columns(flow: Flow, blocks: Sequence[Block]) -> None:
    """Place undivided blocks, left column first; the last columns of all are equally long."""
    right = column_width(flow.sheet.room_width) + GUTTER
    left = list(blocks)
    while left:
        if left[0].height > flow.room:
            flow.turn_page()
        first, second = _columns(left, flow.room)
        left = left[len(first) + len(second) :]
        flow.place(side_by_side([(0.0, stack(first)), (right, stack(second))]))


def height_in_columns(blocks: Sequence[Block]) -> float:
    """Return how high two equally long columns of blocks are on one page."""
    return _halved([one.height for one in blocks])[0]


def _halved(heights: Sequence[float]) -> tuple[float, int]:
    """Return the height of the longer of two columns as equal as can be, and how many stand in the first."""
    halves = range(1, len(heights) + 1)
    return min((max(sum(heights[:place]), sum(heights[place:])), place) for place in halves)


def _columns(blocks: list[Block], room: float) -> tuple[list[Block], list[Block]]:
    """Return two columns: all blocks, as equally long as can be, or as many as fit in the room."""
    longest, half = _halved([one.height for one in blocks])
    if longest <= room:
        return blocks[:half], blocks[half:]
    first = _as_many(blocks, room) or blocks[:1]
    return first, _as_many(blocks[len(first) :], room)


def _as_many(blocks: list[Block], room: float) -> list[Block]:
    """Return as many of the first blocks as fit."""
    number = 0
    while number < len(blocks) and stack(blocks[: number + 1]).height <= room:
        number += 1
    return blocks[:number]
