"""Which waste stream a battery belongs to. The keys are the same in every jurisdiction."""

from intake.compliance.pallet import UNIDENTIFIED, VALVE_REGULATED, Item
from intake.model.battery import Chemistry
from intake.model.condition import Condition, condition_of
from intake.model.verdict import Grade, Handling
from intake.policy.waste_streams import LFP_DAMAGED

LEAD_ACID_WET = "lead-acid-wet"
LEAD_ACID_NON_SPILLABLE = "lead-acid-non-spillable"
LEAD_ACID_DAMAGED = "lead-acid-damaged"
LFP_INTACT = "lfp-intact"
OTHER_OR_UNKNOWN = "other-or-unknown"
UNIDENTIFIED_STREAM = "unidentified"
"""For batteries that nobody could identify: a load may take them, with no other stream."""


def stream_to_leave_by(*, chemistry: Chemistry, grade: Grade, stream: str | None) -> str | None:
    """Return the stream by which a graded battery may leave to a recycler; None: it is no waste, or not yet.

    A battery that nobody can identify has a way out too: unresolved as it is, by arrangement with a
    receiver who is permitted to take it.
    """
    unclear = grade is Grade.UNRESOLVED and chemistry in UNIDENTIFIED
    return UNIDENTIFIED_STREAM if unclear else stream


def choose_stream(
    *, chemistry: Chemistry, handling: Handling, non_spillable_mark: bool, case: str | None
) -> str:
    """Return the key of the stream.

    Whatever is not known to be intact goes with the damaged ones of its chemistry: a case that could
    not be read, and lithium that cannot be diagnosed before carriage (ADR 2025 SP 376, as reported in
    a transport manual of 2023, p. 21). Valve-regulated batteries count as non-spillable only where the
    mark was seen (49 CFR 173.159a by PHMSA letters 01-0010 and 02-0184), else as wet.
    """
    if chemistry in UNIDENTIFIED:
        return OTHER_OR_UNKNOWN
    intact = condition_of(handling=handling, case=case, packed=True) is Condition.INTACT
    if chemistry is Chemistry.LFP:
        return LFP_INTACT if intact else LFP_DAMAGED
    if not intact:
        return LEAD_ACID_DAMAGED
    marked = non_spillable_mark and chemistry in VALVE_REGULATED
    return LEAD_ACID_NON_SPILLABLE if marked else LEAD_ACID_WET


def stream_of(item: Item) -> str:
    """Return the key of the stream that a battery would go with."""
    return choose_stream(
        chemistry=item.battery.chemistry,
        handling=item.verdict.handling,
        non_spillable_mark=item.battery.non_spillable_mark,
        case=item.battery.case,
    )
