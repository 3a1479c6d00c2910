"""Whether one packed stream of bytes holds what another holds, and nothing besides."""

import zlib

ZLIB, RAW = zlib.MAX_WBITS, -zlib.MAX_WBITS
"""With and without a head, as PDF files and archives hold them."""


def same_content(old: bytes, new: bytes, *, wrapping: int) -> bool:
    """Say whether ``old`` unpacks to the same bytes as ``new``, to its last byte.

    Never more is unpacked than ``new`` holds and one byte.
    """
    if old == new:
        return True
    expected = zlib.decompress(new, wbits=wrapping)
    opener = zlib.decompressobj(wbits=wrapping)
    try:
        content = opener.decompress(old, len(expected) + 1)
    except zlib.error:
        return False
    return content == expected and opener.eof and not opener.unused_data
