"""PDF files read back: text, words with their boxes, fonts."""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pypdfium2
from pypdf import PdfReader


class Word(NamedTuple):
    """A word and the box about its ink, in points from the lower left."""

    text: str
    left: float
    bottom: float
    right: float
    top: float


def texts(path: Path) -> list[str]:
    """Return the text of each page in the order of the file."""
    return [page.extract_text() for page in PdfReader(path).pages]


def flat(text: str) -> str:
    """Return text on one line with single spaces."""
    return " ".join(text.split())


def words_by_page(path: Path) -> Iterator[tuple[tuple[float, float], list[Word]]]:
    """Yield the size of each page and its words."""
    document = pypdfium2.PdfDocument(path)
    try:
        for page in document:
            yield page.get_size(), list(_words(page.get_textpage()))
    finally:
        document.close()


def _words(page: pypdfium2.PdfTextPage) -> Iterator[Word]:
    word: list[tuple[str, tuple[float, float, float, float]]] = []
    for index in range(page.count_chars()):
        sign = page.get_text_range(index, 1)
        if not sign.strip():
            yield from _whole(word)
            word = []
            continue
        box = page.get_charbox(index)
        if word and (abs(box[1] - word[-1][1][1]) > 12 or box[0] < word[0][1][0]):
            yield from _whole(word)
            word = []
        word.append((sign, box))
    yield from _whole(word)


def _whole(word: list[tuple[str, tuple[float, float, float, float]]]) -> Iterator[Word]:
    if word:
        lefts, bottoms, rights, tops = zip(*(box for _, box in word), strict=True)
        yield Word("".join(sign for sign, _ in word), min(lefts), min(bottoms), max(rights), max(tops))


def overlapping(words: list[Word], *, slack: float = 0.3) -> list[tuple[Word, Word]]:
    """Return the pairs of words whose ink meets by more than ``slack`` points in both directions."""
    ordered = sorted(words, key=lambda word: word.left)
    found = []
    for index, one in enumerate(ordered):
        for other in ordered[index + 1 :]:
            if other.left >= one.right - slack:
                break
            if min(one.top, other.top) - max(one.bottom, other.bottom) > slack:
                found.append((one, other))
    return found


def outside(words: list[Word], size: tuple[float, float], *, margin: float) -> list[Word]:
    """Return the words that reach into the margin."""
    width, height = size
    return [
        word
        for word in words
        if word.left < margin
        or word.right > width - margin
        or word.bottom < margin
        or word.top > height - margin
    ]


def fonts(path: Path) -> set[str]:
    """Return the names of all fonts that pages use, and whether each is embedded: ``name embedded``."""
    found = set()
    for page in PdfReader(path).pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object()
            embedded = "/FontFile2" in described["/FontDescriptor"].get_object()
            found.add(f"{described['/BaseFont'][1:]}{' embedded' if embedded else ''}")
    return found


def rises(values: list[float]) -> bool:
    """Say whether no value is below the one before it."""
    return all(first <= second for first, second in pairwise(values))


def smallest_size(path: Path) -> float:
    """Return the smallest size in points that any text is set in."""
    sizes = set()
    for page in PdfReader(path).pages:
        page.extract_text(
            visitor_text=lambda text, cm, tm, font, size: sizes.add(size) if text.strip() else None
        )
    return min(sizes)
