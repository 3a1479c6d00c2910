"""Text that steers nothing when it is shown: on a terminal, in a log."""


def printable(text: str) -> str:
    """Return text on one line without anything that could steer a terminal."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else " " for sign in text)
