"""What a reader of a register has to know before using its figures, in words."""

from collections.abc import Iterable, Iterator

from intake.model.account import Difference, SentLoad
from intake.model.kilograms import grams_in_words
from intake.model.load import LoadKind
from intake.model.register import MeterStanding, Period, Register, StorageStanding
from intake.model.verdict import HELD, Grade
from intake.report.drawing.plain_text import one_line
from intake.report.register.views import Line, whole_line

_HUNDRED_TONNES_G = 100_000_000
_MOST_TAGS = 12
"""So many tags are named before the rest is only counted."""


def register_remarks(register: Register) -> tuple[str, ...]:
    """Return the remarks, those that put the figures in doubt first."""
    return tuple(_remarks(register, whole_line(register)))


def period_in_words(period: Period) -> str:
    """Return the period like ``2026-09-01 to 2026-11-30``."""
    return f"{period.first} to {period.last}"


def counted(number: int, one: str, more: str = "") -> str:
    """Return ``1 battery`` or ``2 batteries``."""
    return f"{number} {one}" if number == 1 else f"{number} {more or one + 's'}"


def kilograms(mass_g: int, whole_g: int) -> str:
    """Return a mass in kg for a table: with one decimal unless the whole is over a hundred tonnes."""
    return grams_in_words(mass_g, decimals=0 if whole_g >= _HUNDRED_TONNES_G else 1)


def _remarks(register: Register, whole: Line) -> Iterator[str]:
    if not register.batches:
        yield f"No batch was received from {period_in_words(register.period)}: every sum is zero."
    if register.left_out:
        files = counted(len(register.left_out), "results file")
        yield f"{files} left out and in no sum; named with the reason under Not counted."
    if register.copies:
        files = counted(len(register.copies), "results file")
        yield f"{files} with the same bytes as another one: counted once."
    if register.repeated_tags:
        tags = counted(len(register.repeated_tags), "tag")
        yield (
            f"{tags} in more than one batch: the same battery may be counted twice, or a tag was used "
            "twice. Every line is counted as it stands; go and look."
        )
    yield from _receipts(register)
    yield from _provenance(register)
    yield from _measuring(register, whole)
    yield from _holding(register)


def _receipts(register: Register) -> Iterator[str]:
    loads = register.account.loads
    differing = [one.load for one in loads if receiver_differs(one)]
    if differing:
        yield (
            f"{one_line(', '.join(differing))}: the receiver's count or weight differs from the load's. "
            "The account goes by the load."
        )
    waiting = [one.load for one in loads if one.received_on is None and one.kind is not LoadKind.SALE]
    if waiting:
        yield f"{one_line(', '.join(waiting))}: no receipt yet; ask the receiver."


def receiver_differs(one: SentLoad) -> bool:
    """Say whether a receiver counted or weighed otherwise than the load says."""
    mass_g = sum(item.mass_g or 0 for item in one.departures)
    return one.received_g not in (None, mass_g) or one.received_count not in (None, len(one.departures))


def _provenance(register: Register) -> Iterator[str]:
    policies = {one.policy_sha256 for one in register.batches}
    if len(policies) > 1:
        yield (
            f"The batches were graded by {len(policies)} different policies: their grades follow different "
            "limits."
        )
    versions = sorted({one.version for one in register.batches})
    if len(versions) > 1:
        yield f"The batches were graded by different versions of intake: {', '.join(versions)}."
    yield (
        "The results files were read as they are. Whether they still follow from their workbooks is for "
        "intake verify to say."
    )


def _measuring(register: Register, whole: Line) -> Iterator[str]:
    yield from _resale(register, whole)
    yield from _apart(whole)
    if whole.mass_estimated_g:
        yield "Estimated masses come from the rated capacity; an estimate is no declaration."
    if whole.without_mass:
        lack = counted(whole.without_mass, "battery has", "batteries have")
        yield f"{lack} no mass, weighed or estimated: missing from every sum of kilograms."
    if whole.without_figures:
        lack = counted(whole.without_figures, "batch gives", "batches give")
        yield f"{lack} no expected wrong acceptances: missing from that sum."
    past = [one for one in register.meters if one.used_past_due]
    if past:
        batches = sum(len(one.used_past_due) for one in past)
        yield (
            f"{counted(batches, 'batch', 'batches')} read with a meter past its calibration: the grades rest "
            "on those readings."
        )
    if any(one.standing is MeterStanding.UNKNOWN or one.without_date for one in register.meters):
        yield "Where a Batch sheet gives no calibration date, the state of its meter is not known."


def _resale(register: Register, whole: Line) -> Iterator[str]:
    """Say what is to be done before a sale; nobody is sent to charge what stands apart."""
    all_resale = whole.by_grade[Grade.RESALE]
    groups = [(one.batch, group) for one in register.batches for group in one.groups]
    resale = [(batch, group) for batch, group in groups if group.grade is Grade.RESALE]
    to_charge = whole.resale_owed - sum(len(group.apart) for _, group in resale if group.evidence not in HELD)
    if to_charge:
        yield (
            f"{counted(to_charge, 'battery', 'batteries')} of the {all_resale} graded for resale: no hold "
            "has shown anything yet. Charge and hold-test first; until then nobody knows how many can be "
            "sold."
        )
    apart = [f"{batch}/{tag}" for batch, group in resale for tag in group.apart]
    if apart:
        are, them = ("is", "it") if len(apart) == 1 else ("are", "them")
        more = f" and {len(apart) - _MOST_TAGS} more" if len(apart) > _MOST_TAGS else ""
        yield (
            f"{counted(len(apart), 'battery', 'batteries')} of the {all_resale} graded for resale {are} set "
            f"apart for a second look. Do not charge or sell {them} before that: "
            f"{one_line(', '.join(apart[:_MOST_TAGS]))}{more}."
        )


def owed_in_words(line: Line) -> str:
    """Return how many still want a test, and how many of them are not to be tested before a second look."""
    apart = f", {line.owed_apart} of them set apart" if line.owed_apart else ""
    return f"{counted(line.owed, 'battery', 'batteries')}{apart}"


def _apart(whole: Line) -> Iterator[str]:
    """Say of those owed a test which nobody may connect anything to yet."""
    if whole.owed_apart:
        are = "is" if whole.owed_apart == 1 else "are"
        yield (
            f"{whole.owed_apart} of the {counted(whole.owed, 'battery', 'batteries')} still owed a test "
            f"{are} set apart: damaged, suspect or not identified. A trained person looks at them first; "
            "nothing is charged or tested before that."
        )


def _holding(register: Register) -> Iterator[str]:
    period, standings = register.period, [one.standing for one in register.storage]
    if period.storage_limit_days is None:
        yield (
            "The site's storage limit was not given (--storage-limit): days held are listed, whether they "
            "are too many is not known."
        )
    over = standings.count(StorageStanding.OVER)
    if over:
        yield (
            f"{counted(over, 'batch', 'batches')} over the site's storage limit of "
            f"{period.storage_limit_days} days on {period.closing}."
        )
    yield (
        "The storage list counts from Received, and only what is graded recycle. Whether other batteries "
        "are waste, and on which day a clock starts, local rules decide. The loads tell what has left; "
        "without any, a Ship date is believed as typed."
    )


def differences_in_words(differences: Iterable[Difference]) -> list[str]:
    """Return what does not add up, whole loads first; batteries of which the same is to be said together."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in sorted(differences, key=lambda one: bool(one.tag)):
        named = alike.setdefault((one.load, one.text), [])
        if one.tag:
            named.append(f"{one.batch}/{one.tag}")
    return [
        one_line(f"load {load}{', ' if tags else ''}{', '.join(tags)}: {text}")
        for (load, text), tags in alike.items()
    ]
