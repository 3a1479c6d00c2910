"""The simulator itself, against published points and laws: it may not be wrong in the engine's favour."""

import csv
import math
import random
from pathlib import Path
from statistics import mean

import pytest
from scipy.integrate import solve_ivp

from tests.changed import replace
from tests.simulation.acid import WATER_AT_25_C, acid_for, cell_emf_v, molality_of
from tests.simulation.lead_acid import Cell, LeadAcidBlock, resistance_when_new
from tests.simulation.lfp import LfpBlock, LfpCell, cell_v
from tests.simulation.meter import FINE, PLAIN, draw_meter
from tests.simulation.settling import Settling

DATA = Path(__file__).parents[1] / "external" / "data"
AT_REST = [0.0] * 6
SETTLED = Settling(0.04, 12, 1.7)
NEW_ACID = acid_for(capacity_ah=60, full_gravity=1.265, empty_gravity=1.12)
NEW_CELL = Cell(NEW_ACID, 60, 0, wetness=1, surface=1, self_discharge_per_day=0.001)
NEW = LeadAcidBlock(
    kind="flooded",
    rated_ah=60,
    rated_cca_a=500,
    cells=(NEW_CELL,) * 6,
    weld_ohm=0,
    cell_ohm=resistance_when_new(cranking_a=550, acid=NEW_ACID),
    cranking_new_a=550,
    peukert=1.2,
    after_charge=SETTLED,
    after_discharge=Settling(0.09, 2, -0.8),
)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def with_cell(**change: float) -> LeadAcidBlock:
    return replace(NEW, cells=(replace(NEW_CELL, **change), *NEW.cells[1:]))


@pytest.mark.parametrize("row", rows("acid_sg_molality_ocv.csv"), ids=lambda row: row["sg"])
def test_six_cells_have_bodes_voltage_at_each_gravity(row: dict[str, str]) -> None:
    """The table's density over that of water is a hydrometer's gravity."""
    volts = 6 * cell_emf_v(molality=molality_of(gravity=float(row["sg"]) / WATER_AT_25_C))
    assert volts == pytest.approx(float(row["ocv_bode_12V"]), abs=0.001)


@pytest.mark.parametrize(
    ("gravity", "volts"), [(1.265, 12.65), (1.225, 12.45), (1.190, 12.24), (1.155, 12.06), (1.120, 11.89)]
)
def test_six_cells_meet_the_one_table_that_gives_gravity_and_voltage(gravity: float, volts: float) -> None:
    """Flooded column of a published table at 26.7 °C (its gravities from memory)."""
    emf = 6 * cell_emf_v(molality=molality_of(gravity=gravity), temperature_c=26.7)
    assert emf == pytest.approx(volts, abs=0.016)


@pytest.mark.parametrize(
    ("percent", "at_most_v"), [(100, 0.04), (75, 0.08), (50, 0.08), (25, 0.08), (0, 0.13)]
)
def test_a_new_flooded_block_lies_near_six_published_tables(percent: int, at_most_v: float) -> None:
    """Bode lies above the tables throughout, and their spread grows to 0.29 V when empty."""
    published = [
        float(row["volts"])
        for row in rows("open_circuit_published.csv")
        if row["kind"] == "flooded" and int(row["percent"]) == percent
    ]
    drawn = [60 * (1 - percent / 100)] * 6
    assert len(published) >= 5
    assert 0 < NEW.open_circuit_v(drawn, 25) - mean(published) < at_most_v


def test_an_ampere_hour_takes_3_66_g_of_acid_and_leaves_0_67_g_of_water() -> None:
    """Two formula units of acid by two electrons: 98.08 and 18.015 g/mol (common practice)."""
    before, after = NEW_ACID.molality_after(0), NEW_ACID.molality_after(1)
    acid_g = 98.08 * (before * NEW_ACID.water_kg - after * (NEW_ACID.water_kg + 0.000672))
    assert acid_g == pytest.approx(3.66, abs=0.005)


def test_the_acid_goes_from_one_gravity_to_the_other() -> None:
    assert NEW_ACID.molality_after(0) == pytest.approx(molality_of(gravity=1.265))
    assert NEW_ACID.molality_after(60) == pytest.approx(molality_of(gravity=1.12))
    assert NEW_ACID.ah_down_to(molality_of(gravity=1.12)) == pytest.approx(60)


def test_a_shorted_cell_leaves_five() -> None:
    """Bode 1977: 10.57 V at a density of 1.265 g/cm³, 0.02 V less at that gravity relative to water."""
    volts = with_cell(shunt_per_day=float("inf")).open_circuit_v([float("inf"), 0, 0, 0, 0, 0], 25)
    assert volts == pytest.approx(10.55, abs=0.01)


def test_a_flat_cell_that_is_not_shorted_hardly_shows() -> None:
    """About 12.5 V with one cell at 1.95 V: no rest voltage finds it."""
    assert NEW.open_circuit_v([65, 0, 0, 0, 0, 0], 25) == pytest.approx(12.52, abs=0.04)


def test_lost_water_raises_the_voltage_and_bound_sulphate_lowers_it() -> None:
    dry = replace(NEW, cells=(replace(NEW_CELL, acid=NEW_ACID.without_water(0.1)),) * 6)
    sulphated = replace(NEW, cells=(replace(NEW_CELL, sulphate_ah=15),) * 6)
    assert NEW.open_circuit_v(AT_REST, 25) + 0.1 < dry.open_circuit_v(AT_REST, 25)
    assert NEW.open_circuit_v(AT_REST, 25) - 0.1 > sulphated.open_circuit_v(AT_REST, 25)
    assert sulphated.capacity_ah() < 0.8 * NEW.capacity_ah()


def test_warmth_adds_1_3_mv_per_kelvin() -> None:
    """A handbook's 1.2 to 1.5 mV/K of a block (from memory)."""
    assert NEW.open_circuit_v(AT_REST, 35) - NEW.open_circuit_v(AT_REST, 25) == pytest.approx(0.0132)


def test_a_new_block_does_what_it_was_built_to_do() -> None:
    assert NEW.cranking_a() == pytest.approx(550, rel=0.01)
    assert 58 < NEW.capacity_ah() < 61


def test_a_new_block_passes_half_its_cranking_current_at_every_temperature_of_the_manuals() -> None:
    for row in rows("half_cca_min_voltage.csv"):
        assert NEW.loaded_v(AT_REST, 250, float(row["temp_C"])) > float(row["min_V_at_15s"])


def test_a_weak_cell_turns_over_under_load_and_is_silent_at_rest() -> None:
    weak = with_cell(active_ah=3, surface=0.05)
    assert weak.open_circuit_v(AT_REST, 25) == NEW.open_circuit_v(AT_REST, 25)
    assert weak.loaded_v(AT_REST, 250, 25) < 9.0
    assert weak.capacity_ah() < 3.1


def test_a_bad_weld_shows_under_load_only() -> None:
    bad = replace(NEW, weld_ohm=0.01)
    assert bad.open_circuit_v(AT_REST, 25) == NEW.open_circuit_v(AT_REST, 25)
    assert NEW.loaded_v(AT_REST, 250, 25) - bad.loaded_v(AT_REST, 250, 25) == pytest.approx(2.5)
    assert bad.cranking_a() < 0.5 * NEW.cranking_a()
    assert bad.capacity_ah() > 0.97 * NEW.capacity_ah()


def test_an_open_weld_leaves_nothing() -> None:
    open_weld = replace(NEW, weld_ohm=float("inf"))
    assert open_weld.open_circuit_v(AT_REST, 25) == 0
    assert open_weld.loaded_v(AT_REST, 250, 25) == 0
    assert open_weld.capacity_ah() == open_weld.cranking_a() == 0


def test_a_leak_in_one_cell_lowers_a_block_by_6_to_8_mv_a_day() -> None:
    """Of 5 % a day: 1.3 to 1.7 mV by % of that cell, worked out from Bode."""
    leaking = with_cell(self_discharge_per_day=0, shunt_per_day=0.05)
    drawn = [cell.drawn_by_standing(days=2, temperature_c=25) for cell in leaking.cells]
    sound = [cell.drawn_by_standing(days=2, temperature_c=25) for cell in NEW.cells]
    drawn[1:] = AT_REST[1:]
    lost = leaking.open_circuit_v(AT_REST, 25) - leaking.open_circuit_v(drawn, 25)
    assert 0.005 < lost / 2 < 0.008
    assert sound[0] == pytest.approx(0.12)


def test_a_bridge_empties_its_cell_to_nothing() -> None:
    bridged = with_cell(shunt_per_day=0.5)
    days = [cell.drawn_by_standing(days=2.1, temperature_c=25) for cell in bridged.cells]
    assert bridged.open_circuit_v(days, 25) == pytest.approx(10.55, abs=0.02)


@pytest.mark.parametrize("start_v", [1.7, -0.8])
def test_settling_solves_its_equation(start_v: float) -> None:
    law = Settling(0.055, 24, start_v)
    sign = 1 if start_v > 0 else -1

    def fall(_: float, left: list[float]) -> list[float]:
        return [-(0.055 / 24) * (math.exp(left[0] / 0.055) - 1)]

    begin = abs(law.left_v(0.1))
    solved = solve_ivp(fall, (0.1, 60), [begin], method="LSODA", rtol=1e-8, atol=1e-10, t_eval=[1, 12, 60])
    assert [sign * law.left_v(hours) for hours in (1, 12, 60)] == pytest.approx(solved.y[0], abs=1e-6)


def test_settling_falls_by_c_per_e_fold_far_from_rest_and_dies_with_tau() -> None:
    law = Settling(0.055, 24, 1.7)
    assert law.left_v(0.5) - law.left_v(0.5 * 2.718281828) == pytest.approx(0.055, abs=0.002)
    assert law.left_v(72) / law.left_v(96) == pytest.approx(2.718281828, rel=0.05)


@pytest.mark.parametrize(
    ("name", "law", "within_v"),
    [
        ("measured_la100_after_charge.csv", Settling(0.055, 24, 1.7), 0.005),
        ("measured_la100_after_discharge.csv", Settling(0.09, 2, -0.8), 0.010),
    ],
)
def test_settling_follows_the_measured_block(name: str, law: Settling, within_v: float) -> None:
    """From half an hour on; constants of the simulator's middle AGM block, only the rest voltage is free."""
    measured = [(float(row["t_h"]), float(row["volts"])) for row in rows(name) if float(row["t_h"]) >= 0.5]
    rest = mean(volts - law.left_v(hours) for hours, volts in measured)
    assert len(measured) > 100
    assert max(abs(rest + law.left_v(hours) - volts) for hours, volts in measured) < within_v


@pytest.mark.parametrize(("percent", "within_v"), [(20, 0.04), *((p, 0.03) for p in range(30, 91, 10))])
def test_four_lfp_cells_lie_near_the_measured_mean(percent: int, within_v: float) -> None:
    """Safari and Delacourt's formulas, another maker's cell than the measured one."""
    row = next(row for row in rows("lfp_ocv_measured_c30.csv") if int(row["soc_pct"]) == percent)
    measured = 2 * (float(row["dis_25C_V_per_cell"]) + float(row["chg_25C_V_per_cell"]))
    assert 4 * cell_v(percent / 100) == pytest.approx(measured, abs=within_v)


def test_the_gap_at_rest_is_narrower_than_the_one_measured_under_a_small_current() -> None:
    gap = 4 * (cell_v(0.5, branch=1) - cell_v(0.5, branch=-1))
    row = next(row for row in rows("lfp_ocv_measured_c30.csv") if int(row["soc_pct"]) == 50)
    measured = 4 * (float(row["chg_25C_V_per_cell"]) - float(row["dis_25C_V_per_cell"]))
    assert 0.6 * measured < gap < measured


def test_an_unequal_lfp_block_delivers_what_its_emptiest_cell_does() -> None:
    cells = (LfpCell(100, 0, 0), LfpCell(100, 0.3, 0), LfpCell(90, 0, 0), LfpCell(100, 0, 0))
    block = LfpBlock(100, cells, protection_broken=False, after_charge=SETTLED)
    assert block.capacity_ah() == pytest.approx(70)


def test_the_protection_circuit_opens_when_a_cell_is_empty_and_hides_everything() -> None:
    block = LfpBlock(100, (LfpCell(100, 0, 0),) * 4, protection_broken=False, after_charge=SETTLED)
    assert block.open_circuit_v([0.5] * 4, 25) > 13
    assert block.open_circuit_v([0.5, 0.5, 0.5, 0.01], 25) > 12
    assert block.open_circuit_v([0.5, 0.5, 0.5, 0.0], 25) == 0
    assert replace(block, protection_broken=True).open_circuit_v([0.5] * 4, 25) == 0


@pytest.mark.parametrize("sold_as", [FINE, PLAIN])
def test_a_meter_keeps_its_makers_promise_and_uses_it(sold_as) -> None:
    chance = random.Random(7)
    worst = 0.0
    for _ in range(300):
        meter = draw_meter(sold_as, chance)
        worst = max(worst, *(abs(meter.read(12.6, chance) - 12.6) for _ in range(20)))
    promised = sold_as.percent / 100 * 12.6 + sold_as.volts
    assert 0.7 * promised < worst <= promised + 1e-9


def test_gain_and_offset_are_common_to_a_pallet() -> None:
    meter = draw_meter(PLAIN, random.Random(3))
    chance = random.Random(4)
    errors = [meter.read(12.6, chance) - 12.6 for _ in range(50)]
    assert max(errors) - min(errors) < 0.025
    assert abs(mean(errors)) > 0.005
