"""Tags that stand in more than one batch: the same battery twice, or a tag used twice."""

from collections.abc import Iterable

from intake.model.register import GradedBatch, Period, RepeatedTag, Sighting


def repeated_tags(batches: Iterable[GradedBatch], period: Period) -> tuple[RepeatedTag, ...]:
    """Return the tags, alike but for case, that stand in several batches, one of them of the period.

    Batches received before or after the period are examined too.
    """
    seen: dict[str, dict[str, Sighting]] = {}
    for one in batches:
        for tag in one.tags:
            sighting = Sighting(one.batch, one.received, tag, period.covers(one.received))
            seen.setdefault(tag.casefold(), {}).setdefault(one.batch, sighting)
    return tuple(
        _repeated(list(seen[key].values()))
        for key in sorted(seen)
        if len(seen[key]) > 1 and any(one.in_period for one in seen[key].values())
    )


def _repeated(sightings: list[Sighting]) -> RepeatedTag:
    in_order = sorted(sightings, key=lambda one: (one.received, one.batch))
    return RepeatedTag(in_order[0].tag, tuple(in_order))
