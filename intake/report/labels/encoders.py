"""The library's encoders of the two codes, loaded without all that their packages load beside them.

The first file of either package loads every code and every kind of paragraph that the library can draw: 50 ms
of each run, where the two encoders take 4.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec, module_from_spec


@contextmanager
def first_file_unread(package: str) -> Iterator[None]:
    """Within it, modules of a package load without its first file, which is read when next wanted."""
    spec = find_spec(package) if package not in sys.modules else None
    if spec is None:
        yield
        return
    sys.modules[package] = module_from_spec(spec)
    try:
        yield
    finally:
        del sys.modules[package]


with first_file_unread("reportlab.platypus"), first_file_unread("reportlab.graphics.barcode"):
    from reportlab.graphics.barcode.code128 import Code128
    from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

__all__ = ["Code128", "QRCode", "QRErrorCorrectLevel"]
