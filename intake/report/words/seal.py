"""The seal over a batch's other documents, as the manifest tells it beside the lines to sign."""

_HOW = (
    "This is the SHA-256 of all lines of the file SHA256SUMS but the last, which is that of this manifest. "
    "With the usual commands: sha256sum -c SHA256SUMS checks each document, and "
    "sed '$d' SHA256SUMS | sha256sum prints the seal."
)


def seal_in_words(seal: str) -> tuple[str, str]:
    """Return what is printed of the seal: the digest, and how anybody checks it."""
    return f"Seal of the other documents: {seal}", _HOW
