"""Which cited values a step rests on, as one source and one status."""

from typing import TypedDict

from intake.policy.cited import CitedTable, CitedValue, Status

_WEAKEST_FIRST = (
    Status.FROM_MEMORY,
    Status.FROM_SIMULATION,
    Status.SITE_CHOICE,
    Status.COMMON_PRACTICE,
    Status.OPENED,
)


class Basis(TypedDict):
    """The two fields of a step that say where its numbers come from."""

    source: str
    status: str


def basis(*cited: CitedValue | CitedTable) -> Basis:
    """Join the sources of the values a rule uses; the status is that of the weakest."""
    sources = dict.fromkeys(one.source for one in cited)
    statuses = {one.status for one in cited}
    return Basis(
        source="; ".join(sources),
        status=next(status.value for status in _WEAKEST_FIRST if status in statuses),
    )
