"""What to do with each battery now: every one in exactly one group, the most dangerous first."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from intake.model.battery import Chemistry
from intake.model.condition import MAY_BE_WORKED_ON, Condition
from intake.model.result import BatchResult, ChargeRefusal, GradedBattery
from intake.model.rules import Remedy, Rule
from intake.model.shown import shown_h
from intake.model.verdict import Evidence, Grade, MissingTest
from intake.report.words.reasons import step_in_few_words
from intake.report.words.tag_order import by_tag
from intake.report.words.wording import load_wording


class Action(StrEnum):
    """The groups, in the order in which they are done."""

    APART = "apart"
    MEND = "mend"
    READ = "read"
    CHARGE = "charge"
    RECOVER = "recover"
    STRENGTH = "strength"
    RECYCLE = "recycle"
    SELL = "sell"


ACTION_OF_REMEDY: Mapping[Remedy, Action] = {
    Remedy.MEND_ROW: Action.MEND,
    Remedy.HAND_OVER: Action.RECYCLE,
    Remedy.FILL: Action.RECOVER,
    Remedy.IDENTIFY: Action.APART,
    Remedy.MEND_CONNECTION: Action.RECOVER,
    Remedy.SWAP_LEADS: Action.READ,
    Remedy.READ_REST: Action.READ,
    Remedy.READ_AFRESH: Action.READ,
    Remedy.READ_QUALIFIED: Action.APART,
    Remedy.CHARGE_AND_HOLD: Action.CHARGE,
    Remedy.RECOVER_AND_HOLD: Action.RECOVER,
    Remedy.HOLD_ON: Action.READ,
    Remedy.READ_ON: Action.READ,
    Remedy.CHECK_HOURS: Action.READ,
    Remedy.LEVEL: Action.RECOVER,
    Remedy.RECOVER_AND_REPEAT: Action.RECOVER,
    Remedy.FOR_SALE: Action.SELL,
    Remedy.TAKE_NOTE: Action.READ,
}
_BY_EVIDENCE = {
    Evidence.NONE: Action.CHARGE,
    Evidence.REST_ONLY: Action.CHARGE,
    Evidence.SHORT_HOLD: Action.READ,
}
"""What is left to do with a battery that nothing speaks against and no test is missing of, else: sell it."""


_LEVEL = {Chemistry.FLOODED: "charge, equalise, hold", Chemistry.LFP: "charge, balance the cells, hold"}
"""Levelling in a few words, in the order of the bench; the other kinds do not open and are recovered."""

CLEAN = "clean the terminals, then read again"
_RECALLED = "; follow the recall notice"
_UNDER_RECALL = "under recall"
_DO_NOT_SELL = f"{_UNDER_RECALL}: do not charge or sell, follow its notice"
LOOK_AGAIN = "set apart, look again first"
HOT = "set apart, hot: leave it alone until it is cool"
SEE_TIGHT = "see that its case is tight"
_WARM_FIRST = "Let it come to the bench's temperature first, and see that it is not frozen."
_COOL_FIRST = "Let it cool to the bench's temperature first."
_MEND = "Its loose terminal is made good by a qualified person before that."
_IS_HOT = "It is hot"
_SHARED = (
    "Its tag stands more than once, and all that bear it are handled as the worst of them: give each a tag "
    "of its own, grade again."
)


class Line(NamedTuple):
    """Batteries of one group that share a cause, a time or a stream; ``told`` empty: nothing to add."""

    told: str
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ActionGroup:
    """All batteries that want one thing done."""

    action: Action
    lines: tuple[Line, ...]

    @property
    def count(self) -> int:
        """How many batteries the group has."""
        return sum(len(line.tags) for line in self.lines)


def action_for(one: GradedBattery) -> Action:
    """Return the one thing to do with a battery now."""
    action = _action_at_bench_temperature(one)
    charges = action in (Action.CHARGE, Action.RECOVER)
    return Action.READ if charges and temperature_first(one) is not None else action


def temperature_first(one: GradedBattery) -> ChargeRefusal | None:
    """Return why it comes to the bench's temperature before the charge that its grade asks for.

    None where nothing bars the charge, where none comes next, and where its connection is mended first.
    """
    verdict = one.verdict
    charges = verdict.grade in (Grade.RESALE, Grade.RECONDITIONABLE) and verdict.again_after_h is None
    if one.charge_refusal is None or not charges or mends_first(one):
        return None
    return one.charge_refusal


def mends_first(one: GradedBattery) -> bool:
    """Say whether a loose terminal is made good before anything is connected."""
    return one.verdict.grade is Grade.RECONDITIONABLE and any(
        step.rule.remedy is Remedy.MEND_CONNECTION for step in one.verdict.reasons
    )


def _action_at_bench_temperature(one: GradedBattery) -> Action:
    verdict = one.verdict
    if one.stands_apart:
        return Action.APART
    if verdict.grade is Grade.RECYCLE:
        return Action.RECYCLE
    if verdict.again_after_h is not None:
        return Action.READ
    if verdict.grade is Grade.RESALE:
        action = Action.SELL if verdict.missing_test is None else Action.STRENGTH
        action = _BY_EVIDENCE.get(verdict.evidence, action)
        before_sale = action in (Action.STRENGTH, Action.SELL)
        return Action.READ if before_sale and cleans_first(one) else action
    if verdict.missing_test is not None:
        return Action.READ if verdict.missing_test is MissingTest.BETTER_METER else Action.STRENGTH
    return ACTION_OF_REMEDY[remedy_of(one)]


def on_offer(graded: Iterable[GradedBattery]) -> int:
    """Count the batteries graded for resale that may be offered now, tested or in the words of their hold."""
    ready = (Action.STRENGTH, Action.SELL)
    return sum(one.verdict.grade is Grade.RESALE and action_for(one) in ready for one in graded)


def remedy_of(one: GradedBattery) -> Remedy:
    """Return what the decisive rule leaves to do."""
    return one.verdict.decisive.rule.remedy


def cleans_first(one: GradedBattery) -> bool:
    """Say whether a battery for resale has corroded terminals: they are cleaned before anything else."""
    corroded = any(step.rule is Rule.TERMINAL_CORRODED for step in one.verdict.reasons)
    return corroded and one.verdict.grade is Grade.RESALE and not one.stands_apart


def next_step_in_few_words(one: GradedBattery) -> str:
    """Return what comes next, for a list."""
    refusal, action = temperature_first(one), action_for(one)
    if refusal is None or action is Action.APART:
        return _at_bench_temperature(one, action)
    first = "let it cool" if refusal.too_warm else "let it warm up"
    if action is not Action.READ:
        return f"{first}, {_at_bench_temperature(one, action)}"
    return f"{first}, {CLEAN if cleans_first(one) else 'then read again'}"


def _at_bench_temperature(one: GradedBattery, action: Action) -> str:
    if not cleans_first(one):
        return _in_few_words(one, action)
    if action is Action.READ and one.verdict.again_after_h is None:
        return CLEAN
    return f"clean the terminals, {_in_few_words(one, action)}"


def _in_few_words(one: GradedBattery, action: Action) -> str:
    match action:
        case Action.APART if looks_again(one):
            return LOOK_AGAIN
        case Action.APART if one.condition is Condition.DAMAGED:
            return f"set apart, do not charge{_RECALLED if one.battery.under_recall else ''}"
        case Action.APART if one.condition is Condition.DENTED:
            return f"set apart, {SEE_TIGHT}"
        case Action.APART if one.is_hot and one.condition in MAY_BE_WORKED_ON:
            return HOT
        case Action.APART if one.is_unidentified:
            return "set apart, have it identified"
        case Action.APART:
            return "set apart, qualified person only"
        case Action.READ if one.verdict.again_after_h is not None:
            doubtful = remedy_of(one) is Remedy.CHECK_HOURS
            first = "check the hours, read again" if doubtful else "leave standing, read"
            return f"{first} at {shown_h(one.verdict.again_after_h)} h"
        case Action.READ | Action.STRENGTH if one.verdict.missing_test is not None:
            return one.verdict.missing_test.value
        case Action.RECYCLE:
            return f"do not charge or sell{_RECALLED}" if one.battery.under_recall else "recycle"
        case Action.CHARGE:
            return "charge, then hold 12 h"
        case Action.SELL:
            return "charge, then sell"
        case Action.MEND if one.battery.under_recall:
            return "do not charge or sell, under recall; mend the row"
        case _:
            return remedy_in_few_words(one)


def looks_again(one: GradedBattery) -> bool:
    """Say whether a battery stands apart for its row alone: its note or its tag puts it in doubt."""
    shared = one.worst_of_tag is not None and one.worst_of_tag not in MAY_BE_WORKED_ON
    return shared or bool(one.look_again)


def step_in_full(one: GradedBattery) -> str:
    """Return the next step as sentences; what keeps a battery apart goes before what its grade asks for."""
    if one.look_again:
        why = one.look_again
        return f"Set it apart and look again first; connect nothing. {why[0].upper()}{why[1:]}."
    if looks_again(one):
        return f"Set it apart and look again first; connect nothing. {_SHARED}"
    if one.is_hot and not one.verdict.next_step.startswith(_IS_HOT):
        return (
            f"{_IS_HOT}: leave it alone outdoors, away from others, until it is cool. {one.verdict.next_step}"
        )
    refusal = temperature_first(one)
    if refusal is None:
        return _step_at_bench_temperature(one)
    first = _COOL_FIRST if refusal.too_warm else _WARM_FIRST
    return f"{first} {refusal.why} Then read it again. {_step_at_bench_temperature(one)}"


def _step_at_bench_temperature(one: GradedBattery) -> str:
    verdict = one.verdict
    if action_for(one) is Action.MEND and one.battery.under_recall:
        return f"Do not charge or sell it; follow the recall notice. {verdict.next_step}"
    if cleans_first(one):
        return f"{CLEAN[0].upper()}{CLEAN[1:]}. {verdict.next_step}"
    told = verdict.decisive.rule is Rule.DENTED and verdict.next_step == verdict.decisive.next_step
    if one.condition is Condition.DENTED and not told:
        return f"Set it apart and {SEE_TIGHT} before anything is connected. {verdict.next_step}"
    if one.condition is Condition.DENTED and mends_first(one):
        return f"{verdict.next_step} {_MEND}"
    if one.stands_apart and verdict.decisive.handling is not verdict.handling:
        few = next_step_in_few_words(one)
        return f"{few[0].upper()}{few[1:]}. {verdict.next_step}"
    return verdict.next_step


def remedy_in_few_words(one: GradedBattery) -> str:
    """Return what the decisive rule leaves to do, for a list."""
    if one.verdict.decisive.rule is Rule.NO_READING and one.battery.rest_voltage_v is None:
        return "measure the rest voltage"
    if remedy_of(one) is Remedy.LEVEL:
        return _LEVEL.get(one.battery.chemistry, Remedy.RECOVER_AND_HOLD.value)
    return remedy_of(one).value


def levels(one: GradedBattery) -> bool:
    """Say whether its cells are brought level after a charge, and nothing is recovered."""
    return remedy_of(one) is Remedy.LEVEL and one.battery.chemistry in _LEVEL


def lacks_capacity(one: GradedBattery) -> bool:
    """Say whether a test under load is all that a battery has which is no starter: it says too little."""
    verdict = one.verdict
    return verdict.evidence is Evidence.STRENGTH and verdict.missing_test is MissingTest.CAPACITY


def action_groups(result: BatchResult) -> tuple[ActionGroup, ...]:
    """Return the groups that have a battery, in the order of work."""
    titles = {stream.key: stream.title for stream in result.compliance.streams}
    found: dict[Action, list[GradedBattery]] = {}
    for one in by_tag(result.graded):
        found.setdefault(action_for(one), []).append(one)
    return tuple(
        ActionGroup(action, _lines(action, found[action], titles)) for action in Action if action in found
    )


def _lines(action: Action, ones: Iterable[GradedBattery], titles: Mapping[str, str]) -> tuple[Line, ...]:
    told: dict[str, list[str]] = {}
    for one in ones:
        told.setdefault(_told(action, one, titles), []).append(one.name)
    return tuple(Line(text, tuple(tags)) for text, tags in told.items())


def _told(action: Action, one: GradedBattery, titles: Mapping[str, str]) -> str:
    """Return what parts a group: the cause, the hour, the stream or the test."""
    match action:
        case Action.APART:
            return why_apart(one)
        case Action.MEND:
            return _DO_NOT_SELL if one.battery.under_recall else ""
        case Action.RECYCLE:
            stream = titles.get(one.stream or "", "")
            return f"{stream}; under recall: follow its notice" if one.battery.under_recall else stream
        case Action.READ if one.verdict.again_after_h is not None:
            first = "check the hours, then " if remedy_of(one) is Remedy.CHECK_HOURS else ""
            return f"{first}at {shown_h(one.verdict.again_after_h)} h after its charge"
        case Action.READ if temperature_first(one) is not None:
            return next_step_in_few_words(one)
        case Action.READ if cleans_first(one):
            return CLEAN
        case Action.CHARGE if cleans_first(one):
            return "clean the terminals first"
        case Action.READ | Action.STRENGTH if one.verdict.missing_test is not None:
            return one.verdict.missing_test.value
        case Action.READ | Action.RECOVER:
            return remedy_in_few_words(one)
        case Action.SELL:
            return load_wording().evidence[one.verdict.evidence]
        case _:
            return ""


def why_apart(one: GradedBattery) -> str:
    """Return how to handle a battery, and every rule or row that asks for it."""
    told = _why_apart(one)
    recalled = one.battery.under_recall and _UNDER_RECALL not in told
    also = [_UNDER_RECALL] if recalled else []
    also += ["its row has an error"] if one.battery.row_errors else []
    return "; ".join((told, *also))


def _why_apart(one: GradedBattery) -> str:
    verdict = one.verdict
    if one.look_again:
        return f"{LOOK_AGAIN}: {one.look_again}"
    if looks_again(one):
        return f"{one.condition.value}: the tag stands more than once"
    if one.condition is Condition.DENTED:
        return f"dented: {SEE_TIGHT} before anything is connected, charge it under watch only"
    if one.is_hot and one.condition in MAY_BE_WORKED_ON:
        return "hot: leave it alone outdoors, away from others; look at it again when it is cool"
    asking = (step for step in verdict.reasons if step.handling is verdict.handling)
    return f"{verdict.handling.value}: {step_in_few_words(next(asking, verdict.decisive))}"
