"""What holds in the region that a batch names, and what has to be asked there."""

from collections.abc import Iterable

from intake.policy.jurisdictions import Jurisdiction, Rule, Standing

_REGION = "Region"


def in_region(jurisdiction: Jurisdiction, region: str | None) -> Jurisdiction:
    """Return the rules that hold in a region, with a statement of what is not known of it.

    Without a region, or where the data know none, nothing is left out. Load warnings are never left out:
    a caution that was read for one region is a reason to ask in the others.
    """
    regions = jurisdiction.regions
    named = regions.named(region) if regions and region else None
    asked = region_asked(jurisdiction, region)
    general = (*((asked,) if asked else ()), *_kept(jurisdiction.general, region, named))
    streams = tuple(
        one._replace(
            waste_codes=_kept(one.waste_codes, region, named),
            packing=_kept(one.packing, region, named),
            storage=_kept(one.storage, region, named),
            statements=_kept(one.statements, region, named),
        )
        for one in jurisdiction.streams
    )
    return jurisdiction._replace(general=general, streams=streams)


def _kept(rules: Iterable[Rule], region: str | None, named: str | None) -> tuple[Rule, ...]:
    if not region:
        return tuple(rules)
    return tuple(rule for rule in rules if not rule.regions or named in rule.regions)


def region_asked(jurisdiction: Jurisdiction, region: str | None) -> Rule | None:
    """Return what has to be asked of a region; None where there is nothing to say."""
    named = jurisdiction.regions.named(region) if jurisdiction.regions and region else None
    if region and named:
        text = (
            f"{named}: the statements held for it are among these. They are few; confirm with the authority "
            "what else differs there."
        )
    elif region:
        text = f"{_short(region)}: no rule of its own is held here. Confirm with the authority what differs."
    elif jurisdiction.regions:
        text = (
            f"The workbook names no {jurisdiction.regions.called}. Rules differ by it: name it, and "
            "confirm with the authority. A statement that holds in some regions only says so in its heading."
        )
    else:
        return None
    return Rule(heading=_REGION, text=text, standing=Standing.PROPOSAL)


def _short(region: str) -> str:
    return " ".join(region.split())
