"""Blocks one below the other over as many pages as they need."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol

from intake.report.drawing.page import OutlineEntry, Page, Placed, Sheet

_ROUNDING = 1e-6
"""Points by which a block that fills its room exactly may seem to be too high."""


@dataclass(frozen=True, slots=True)
class Block:
    """Something so many points high that is never divided; its marks count from its top left."""

    height: float
    placed: Sequence[Placed]
    outline: tuple[str, int] | None = None
    """Title and level, when it opens a section."""


class Pages(Protocol):
    """Takes pages in order: a list, or a file that is being written."""

    def append(self, page: Page, /) -> None:
        """Begin a page, to which marks are added until the next one is begun."""


class Flow:
    """Fills pages from the top down. A page is filled when the next one is begun."""

    def __init__(self, sheet: Sheet, pages: Pages | None = None) -> None:
        self.sheet = sheet
        self.pages: Pages = [] if pages is None else pages
        self._begun = 0
        self._page = self._next_page()
        self._y = sheet.top
        self._waiting: list[Block] = []
        self._head: Block | None = None

    @property
    def room(self) -> float:
        """Height left on this page below what waits for its next block."""
        return self.sheet.bottom - self._y - self.waiting

    @property
    def page_number(self) -> int:
        """How many pages were begun."""
        return self._begun

    @property
    def waiting(self) -> float:
        """Height of the headings that wait for their next block."""
        return sum(block.height for block in self._waiting)

    @property
    def full_room(self) -> float:
        """Height that a new page offers below the head that repeats there."""
        return self.sheet.room_height - (self._head.height if self._head else 0.0)

    def place(self, block: Block) -> None:
        """Put a block down with the headings that wait for it, on a new page where it does not fit."""
        if block.height > self.room + _ROUNDING and self._y > self.sheet.top:
            self.turn_page()
        waiting, self._waiting = self._waiting, []
        for one in (*waiting, block):
            self._put(one)

    def keep_with_next(self, block: Block) -> None:
        """Hold a block back until the next one is placed, so that it never stands alone at a foot."""
        self._waiting.append(block)

    def space(self, height: float) -> None:
        """Leave room, but none at the top of a page."""
        if self._waiting:
            self._waiting.append(Block(height, ()))
        elif self._y > self.sheet.top:
            self._y = min(self._y + height, self.sheet.bottom)

    def turn_page(self) -> None:
        """Go on at the top of a new page, under the head that repeats there unless a heading waits."""
        self._page = self._next_page()
        self._y = self.sheet.top
        if self._head is not None and not self._waiting:
            self._put(self._head)

    @contextmanager
    def repeating(self, head: Block) -> Iterator[None]:
        """Put ``head`` at the top of each page that is turned to meanwhile."""
        self._head = head
        try:
            yield
        finally:
            self._head = None

    def _next_page(self) -> Page:
        page = Page()
        self.pages.append(page)
        self._begun += 1
        return page

    def _put(self, block: Block) -> None:
        if block.outline is not None:
            title, level = block.outline
            self._page.outline.append(OutlineEntry(title, level, self._y))
        self._page.add(block.placed, x=self.sheet.left, y=self._y)
        self._y += block.height
