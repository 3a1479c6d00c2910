"""A results file, read battery by battery: read whole, one of 48,000 would take over 1 GB of memory."""

from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from intake.policy.long_json import Reduce, read_long_json
from intake.policy.regular_file import regular_file_pieces

RESULTS_BYTES_MOST = 256 * 1024 * 1024
"""Some 70,000 batteries."""


class ResultsFile(NamedTuple):
    """What a results file holds."""

    document: Any
    """Its batteries and findings are what was kept of each."""
    sha256: str


def forgotten(_: object) -> None:
    """Keep nothing of an entry but its place."""


def read_results_file(path: Path, *, battery: Reduce = forgotten, finding: Reduce = forgotten) -> ResultsFile:
    """Return what a file that may be a results file holds.

    Parameters
    ----------
    battery, finding
        What is kept of each; what these raise comes through.

    Raises
    ------
    Unreadable
        It is a folder, a pipe or a device, or too large.
    OSError
        It cannot be read.
    ValueError, RecursionError
        It is no JSON that can be used.
    """
    digest = sha256()

    def digested(pieces: Iterable[bytes]) -> Iterator[bytes]:
        for piece in pieces:
            digest.update(piece)
            yield piece

    pieces = digested(regular_file_pieces(path, most_bytes=RESULTS_BYTES_MOST))
    document = read_long_json(pieces, {"batteries": battery, "findings": finding})
    return ResultsFile(document, digest.hexdigest())
