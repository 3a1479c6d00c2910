"""Minutes on each station, rounded up, and why no station may take a battery."""

import pytest

from intake.bench.jobs import BenchJob
from intake.bench.station_work import StationWork, person_minutes, station_work
from intake.bench.stations import stations_from
from intake.bench.timeline import DueReading, Minutes
from intake.model.plan import HeldBack
from tests.bench.builders import POLICY, need_of
from tests.grading.builders import battery, graded, held


def work_of(one, stations, **told):
    job = need_of(one, **told)
    assert isinstance(job, BenchJob)
    return station_work(job, stations_from(stations, usual_current_a=10), policy=POLICY)


def test_each_station_has_its_own_time():
    found = work_of(battery("AGM", rest_voltage_v=12.9, rated_capacity_ah=80), "1x20A,1x5A,1:lfp")
    assert isinstance(found, StationWork)
    fast, slow, none = found.estimates
    assert none is None
    assert (fast.current_a, slow.current_a) == (20, 5)
    for minutes, estimate in zip(found.work.station_min, (fast, slow), strict=False):
        assert minutes - 1 < estimate.hours_high * 60 <= minutes
    assert found.work.station_min[2] is None
    assert found.work.readings == (DueReading(30, 60), DueReading(720, None))
    assert not found.work.stays


def test_a_whole_number_of_minutes_stays_whole():
    """60 Ah from empty, 72 Ah at 10 A, taper 3 h: 10.2 h are 612 minutes."""
    found = work_of(
        battery("flooded", rest_voltage_v=12.7, rated_capacity_ah=60, delivered_capacity_ah=60), "1"
    )
    assert found.work.station_min == (612,)


def test_without_station_work_only_readings():
    found = work_of(held("AGM", (0.5, 13.3), (1.99, 13.2)), "1")
    assert (found.estimates, found.work.station_min) == ((), ())
    assert found.work.readings == (DueReading(601, None),)


def test_no_station_takes_its_chemistry():
    one = battery("gel", rest_voltage_v=12.9, rated_capacity_ah=60)
    found = work_of(one, "2:agm,1:lfp")
    assert found == HeldBack(
        "B-001", one.chemistry, graded(one).grade, "No station takes gel.", graded(one).next_step, one.row
    )


@pytest.mark.parametrize(("stations", "allowed"), [("3", [0]), ("2,1:apart", [2]), ("1:apart,2:lead,1", [0])])
def test_a_suspect_one_stands_in_the_marked_place_alone(stations, allowed):
    found = work_of(battery("LFP", rest_voltage_v=7.5, rated_capacity_ah=60), stations, qualified=True)
    assert [place for place, one in enumerate(found.work.station_min) if one is not None] == allowed
    assert found.work.stays


def test_no_marked_place():
    found = work_of(
        battery("LFP", rest_voltage_v=7.5, rated_capacity_ah=60), "1:lead:apart,2", qualified=True
    )
    assert isinstance(found, HeldBack)
    assert found.reason.startswith("It is suspect and is charged alone in a marked place")


def test_the_persons_minutes():
    assert person_minutes(POLICY) == Minutes(connect=5, disconnect=5, reading=3)
