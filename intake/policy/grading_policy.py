"""The grading policy: every number that a grade rests on, loaded from one JSON file.

The records mirror the file: each field is a key of ``schemas/grading-policy.schema.json``, and the
shipped values stand in ``templates/grading-policy.json``.
"""

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple, get_type_hints

from intake.model.battery import Chemistry
from intake.policy.cited import CitedTable, CitedValue, Status
from intake.policy.resources import resource

PerChemistry = Mapping[Chemistry, CitedValue]
TablePerChemistry = Mapping[Chemistry, CitedTable]


class Decision(NamedTuple):
    """How a probability becomes a decision."""

    risk_limit: CitedValue
    comparison_decimals: CitedValue
    coverage_factor: CitedValue


class Meter(NamedTuple):
    """Voltmeters: the one assumed when none is named, and the better one to compare with."""

    assumed_accuracy_percent: CitedValue
    assumed_accuracy_volts: CitedValue
    better_accuracy_percent: CitedValue
    better_accuracy_volts: CitedValue
    rectangular_divisor: CitedValue
    worth_at_v: CitedValue
    lfp_plateau_from_percent: CitedValue
    lfp_plateau_to_percent: CitedValue


class Temperature(NamedTuple):
    """Reduction to the reference temperature, and the range in which readings count."""

    reference_c: CitedValue
    coefficient_v_per_k: PerChemistry
    unknown_uncertainty_v: CitedValue
    lowest_c: CitedValue
    highest_c: CitedValue
    outside_below_c: CitedValue
    outside_above_c: CitedValue
    outside_uncertainty_v_per_k: CitedValue


class OpenCircuit(NamedTuple):
    """Open-circuit voltage against state of charge, per block at the reference temperature."""

    lead_acid: TablePerChemistry
    lfp_discharge_branch: CitedTable
    lfp_charge_branch: CitedTable
    table_uncertainty_v: PerChemistry
    interval_uncertainty_v: PerChemistry


class Rest(NamedTuple):
    """The rest screen."""

    assumed_rested_h: CitedValue
    shortest_rested_h: CitedValue
    relaxation_uncertainty_v: CitedTable
    lfp_settled_from_h: CitedValue
    lfp_unsettled_uncertainty_v: CitedValue
    lfp_settled_uncertainty_v: CitedValue
    reversed_at_most_v: CitedValue
    no_voltage_below_v: CitedValue
    highest_v: PerChemistry
    sound_v: PerChemistry
    lfp_bms_open_below_v: CitedValue
    lfp_deep_below_v: CitedValue
    cell_suspect_from_v: CitedValue
    cell_suspect_to_v: CitedValue
    cell_suspect_from_h: CitedValue
    implausible_rested_from_h: CitedValue
    implausible_above_full_v: CitedValue
    unused_sound_v: CitedValue
    capacity_shown_from_v: CitedValue


class Hold(NamedTuple):
    """The hold test after a full charge."""

    shortest_h: CitedValue
    long_from_h: CitedValue
    settled_from_h: CitedValue
    slope_v_per_efold: PerChemistry
    own_slope_ratio: CitedValue
    slope_relative_uncertainty: CitedValue
    settled_uncertainty_v: CitedValue
    high_state_of_charge_percent: CitedValue
    middle_state_of_charge_percent: CitedValue
    cell_down_from_v: CitedValue
    cell_down_to_v: CitedValue
    cell_down_from_h: CitedValue
    drop_fails_v: CitedValue
    drop_high_v: CitedValue
    lfp_drop_first_at_most_v: CitedValue
    rise_allowance_v: CitedValue
    pair_late_from_h: CitedValue
    pair_span_from_h: CitedValue
    pair_early_from_h: CitedValue
    lfp_pair_early_from_h: CitedValue
    pair_ratio: CitedValue
    temperature_apart_k: CitedValue
    drop_again_times: CitedValue


class SelfDischargePolicy(NamedTuple):
    """Loss of charge over a long hold."""

    fit_from_h: CitedValue
    fewest_readings: CitedValue
    last_from_h: CitedValue
    common_share: CitedValue
    reading_noise_v: CitedValue
    leak_fails_v_per_day: CitedValue
    leak_suspect_v_per_day: CitedValue
    suspect_probability: CitedValue
    month_days: CitedValue
    slope_from_percent: CitedValue
    cells: CitedValue
    read_again_h: CitedValue


class Storage(NamedTuple):
    """A charged battery that waits for a buyer."""

    temperature_c: CitedValue
    percent_per_month: PerChemistry
    factor_below: CitedValue
    factor_above: CitedValue
    factor_step_k: CitedValue
    recharge_at_percent: PerChemistry
    longest_days: CitedValue


class Capacity(NamedTuple):
    """A measured discharge against the label."""

    assumed_discharge_h: CitedValue
    rating_h: CitedValue
    long_from_h: CitedValue
    long_coefficient_per_k: PerChemistry
    short_coefficient_per_k: PerChemistry
    peukert_exponent: PerChemistry
    uncertainty: CitedValue
    rate_uncertainty: CitedValue
    low_below: CitedValue
    spent_below: CitedValue


class Cranking(NamedTuple):
    """Measured against rated cold-cranking current."""

    low_below: CitedValue
    spent_below: CitedValue


class LoadTest(NamedTuple):
    """A load of about fifteen seconds."""

    shortest_s: CitedValue
    longest_s: CitedValue
    least_share_of_cca: CitedValue
    least_amperes_per_ah: CitedValue
    least_rest_v: CitedValue
    lowest_c: CitedValue
    highest_c: CitedValue
    least_voltage_v: CitedTable
    by_capacity_addition_v: CitedValue
    open_circuit_from_h: CitedValue
    collapse_below_limit_v: CitedValue


class Resistance(NamedTuple):
    """Internal against rated resistance."""

    high_from: CitedValue
    spent_from: CitedValue


class SpecificGravity(NamedTuple):
    """Six hydrometer readings."""

    spread_high_above: CitedValue
    spread_fails_above: CitedValue
    lowest: CitedValue


class LfpCells(NamedTuple):
    """Four cell voltages."""

    spread_high_above_v: CitedValue
    spread_fails_above_v: CitedValue
    overdischarged_below_v: CitedValue
    dead_below_v: CitedValue


class CrossChecks(NamedTuple):
    """Readings that should agree with each other."""

    age_warning_years: CitedValue
    gravity_against_rest_v: CitedValue
    cells_against_block_v: CitedValue
    gravity_to_block_v: CitedTable


class LikelihoodRatio(NamedTuple):
    """Chance of a sale when sound over the chance when unfit, by the strongest reading."""

    rest: CitedValue
    hold: CitedValue
    load: CitedValue
    cranking: CitedValue
    capacity: CitedValue


class LotPolicy(NamedTuple):
    """What is known of a resale lot by a sample, and what is to be expected of it."""

    confidence: CitedValue
    most_unfit_share: CitedValue
    likelihood_ratio: LikelihoodRatio
    unfit_share: CitedValue | None
    """The site's own; None where it has none."""
    unfit_share_low: CitedValue
    unfit_share_high: CitedValue


class Mass(NamedTuple):
    """Mass where nobody weighed."""

    kg_per_ah: PerChemistry
    relative_uncertainty: CitedValue


class BenchPolicy(NamedTuple):
    """Charging time and temperatures, the person's minutes, and the site's own success rates."""

    recharge_factor: PerChemistry
    highest_current_a_per_ah: PerChemistry
    taper_h: PerChemistry
    recover_current_a_per_ah: CitedValue
    recover_h: PerChemistry
    equalise_h: CitedValue
    balance_h: CitedValue
    charge_above_c: PerChemistry
    charge_up_to_c: PerChemistry
    freezing_margin_k: CitedValue
    gravity_by_state_of_charge: CitedTable
    freezing_by_gravity: CitedTable
    assumed_capacity_low_ah: CitedValue
    assumed_capacity_high_ah: CitedValue
    rest_before_reading_h: CitedValue
    station_current_a: CitedValue
    connect_min: CitedValue
    disconnect_min: CitedValue
    reading_min: CitedValue
    short_reading_late_h: CitedValue
    capacity_test_h: CitedValue
    lfp_attended_below_v: CitedValue
    charge_success: PerChemistry
    """Only the chemistries for which the site gives a rate of its own."""
    recondition_success: PerChemistry


class GradingPolicy(NamedTuple):
    """All of it, with the name and the digest of the file it came from."""

    name: str
    sha256: str
    decision: Decision
    meter: Meter
    temperature: Temperature
    open_circuit: OpenCircuit
    rest: Rest
    hold: Hold
    self_discharge: SelfDischargePolicy
    storage: Storage
    capacity: Capacity
    cranking: Cranking
    load_test: LoadTest
    resistance: Resistance
    specific_gravity: SpecificGravity
    lfp_cells: LfpCells
    cross_checks: CrossChecks
    lot: LotPolicy
    mass: Mass
    bench: BenchPolicy


def _cited(entry: Mapping[str, Any]) -> CitedValue:
    return CitedValue(float(entry["value"]), entry["unit"], entry["source"], Status(entry["status"]))


def _table(entry: Mapping[str, Any]) -> CitedTable:
    points = tuple((float(x), float(y)) for x, y in entry["points"])
    return CitedTable(points, entry["unit"], entry["source"], Status(entry["status"]))


def _build(kind: Any, entry: Mapping[str, Any]) -> Any:
    if kind is CitedValue:
        return _cited(entry)
    if kind is CitedTable:
        return _table(entry)
    if kind == CitedValue | None:
        return _cited(entry) if entry else None
    if isinstance(kind, type) and issubclass(kind, tuple):
        return kind(**{name: _build(hint, entry[name]) for name, hint in get_type_hints(kind).items()})
    inner = CitedTable if kind == TablePerChemistry else CitedValue
    return {Chemistry(name): _build(inner, value) for name, value in entry.items()}


def assemble_policy(document: Mapping[str, Any], sha256: str) -> GradingPolicy:
    """Build the records from a document that has been validated."""
    hints = get_type_hints(GradingPolicy)
    groups = {
        name: _build(kind, document[name]) for name, kind in hints.items() if name not in ("name", "sha256")
    }
    return GradingPolicy(name=document["name"], sha256=sha256, **groups)


@cache
def load_grading_policy() -> GradingPolicy:
    """Return the shipped policy."""
    content = resource("templates", "grading-policy.json").read_bytes()
    return assemble_policy(json.loads(content), hashlib.sha256(content).hexdigest())


def shipped_policy_text() -> str:
    """Return the shipped policy file as text, to print or to start a site's own from."""
    return resource("templates", "grading-policy.json").read_text(encoding="utf-8")
