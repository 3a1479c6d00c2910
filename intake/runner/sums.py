"""The digests of a batch's documents, in the format of the usual command, so that it needs no other tool.

``SHA256SUMS`` holds a line for each document. The last one is the manifest's, since the manifest bears the
seal: the digest of all lines before it. A digest of the whole file could not stand in the manifest, for the
file holds the manifest's own.
"""

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path

from intake.policy.regular_file import Unreadable, read_regular_file

SUMS = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-f]{64})  ([^/\n]+)\n")
_SUMS_BYTES_MOST = 64 * 1024


def sums_of(digests: Mapping[str, str]) -> bytes:
    """Return the lines for these documents, digests by name."""
    return "".join(f"{digest}  {name}\n" for name, digest in digests.items()).encode()


def seal_of(digests: Mapping[str, str]) -> str:
    """Return the digest of the lines for these documents: all but the manifest."""
    return hashlib.sha256(sums_of(digests)).hexdigest()


def read_sums(folder: Path) -> dict[str, str]:
    """Return the digests by name that the folder's ``SHA256SUMS`` holds.

    Raises
    ------
    ValueError
        It holds anything else. ``str()`` says so.
    OSError
        There is none, or it cannot be read.
    """
    try:
        content = read_regular_file(folder / SUMS, most_bytes=_SUMS_BYTES_MOST)
    except Unreadable as problem:
        raise ValueError(str(problem)) from problem
    lines = content.decode("utf-8", errors="replace").splitlines(keepends=True)
    matches = [_LINE.fullmatch(line) for line in lines]
    digests = {match[2]: match[1] for match in matches if match}
    if not lines or len(digests) != len(lines):
        raise ValueError("it holds other lines than one digest and name for each document")
    return digests


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file in hex digits; empty where it is no file or cannot be read."""
    if not path.is_file():  # a pipe would keep its reader waiting
        return ""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def standing_by(folder: Path, digests: Mapping[str, str]) -> dict[str, bool]:
    """Return for each document whether it has the digest that is written of it."""
    return {name: digest_of(folder / name) == digest for name, digest in digests.items()}
