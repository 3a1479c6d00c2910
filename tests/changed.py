"""A record with some attributes changed, whichever of the two kinds of record it is."""

import dataclasses
from typing import Any


def replace(record: Any, /, **changes: Any) -> Any:
    """Return a copy of a named tuple or dataclass; an unknown name is refused."""
    return record._replace(**changes) if isinstance(record, tuple) else dataclasses.replace(record, **changes)
