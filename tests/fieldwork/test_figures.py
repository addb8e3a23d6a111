"""Capacity, efficiency and units against published values."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata import Implement
from taskdata.fieldwork.coverage.figures import theoretical_capacity
from taskdata.quantities.by_area import farm_rate
from taskdata.reports.coverage_text import coverage_text
from taskdata.reports.styled import plain
from taskdata.results.figures import RateFigures
from tests.fieldwork import build

FOOT_M, MILE_M, ACRE_M2 = 0.3048, 1609.344, 4046.8564224  # NIST SP 811


@pytest.mark.parametrize(
    ("feet", "mph", "percent", "acres_h"),
    [
        # Iowa State University Extension, PM 696 / Ag Decision Maker A3-24, fertilizer and manure spreaders.
        (40, 6, 70, 20.4),
        (50, 6, 70, 25.5),
        (10, 5, 63, 3.8),
        (15, 5, 63, 5.7),
        (15, 6, 63, 6.9),
        (20, 6, 63, 9.2),
        (30, 6, 60, 13.1),
    ],
)
def test_capacities_are_those_of_the_published_table(feet: int, mph: int, percent: int, acres_h: float) -> None:
    hectares = theoretical_capacity(feet * FOOT_M, mph * MILE_M / 3600.0) * percent / 100.0
    assert hectares * 10_000.0 / ACRE_M2 == pytest.approx(acres_h, abs=0.05)


def test_theoretical_capacity_is_speed_times_width_by_ten() -> None:
    assert theoretical_capacity(24.0, 10.0 / 3.6) == pytest.approx(24.0)  # ASABE EP496: km/h x m / 10 = ha/h


def test_turns_and_stops_lower_the_efficiency_and_what_lies_outside_does_not() -> None:
    places = np.concatenate(
        [build.straight(way, start=start) for way, start in ((20.0, 0.0), (100.0, 20.0), (30.0, 120.0))]
    )
    on = np.zeros(len(places), dtype=int)
    on[30:110] = 1
    on[60:80] = 0
    log = build.log(places, {(141, "DET21"): on}, seconds=np.arange(len(places)) * 2.0)
    found = build.covered([log], [build.sprayer([5000])]).figures
    assert (found.working_time_s, found.field_time_s) == (120.0, 160.0)
    assert found.idle_time_s == 2.0 * (len(places) - 1) - 120.0
    assert found.theoretical_ha_h == pytest.approx((found.speed_m_s or 0.0) * 5.0 * 0.36)
    assert found.efficiency == pytest.approx(0.75, rel=0.02)
    assert found.distance_m + found.idle_distance_m == pytest.approx(150.0, rel=1e-6)


def test_a_pause_of_more_than_half_an_hour_is_no_field_time() -> None:
    seconds = np.arange(101.0) + np.where(np.arange(101) >= 50, 7200.0, 0.0)
    log = build.log(build.straight(100.0), {(141, "DET21"): 1}, seconds=seconds)
    found = build.covered([log], [build.sprayer([5000])]).figures
    assert (found.working_time_s, found.field_time_s) == (99.0, 99.0)


def test_the_spacing_is_width_less_overlap_or_plus_skip() -> None:
    # Common practice: adjacent passes lie one effective width apart.
    log = build.passes(4, 11.5, 200.0)
    kept = build.covered([log], [build.sprayer([6000, 6000])], implement=Implement(overlap_m=0.5))
    assert kept.figures.spacing_m == pytest.approx(11.5)
    assert kept.pass_to_pass is not None
    assert kept.pass_to_pass.pairs == 3
    assert kept.pass_to_pass.mean_abs_m < 0.005
    wide = build.covered([log], [build.sprayer([6000, 6000])], implement=Implement(skip_m=0.5))
    assert wide.figures.spacing_m == pytest.approx(12.5)
    assert wide.pass_to_pass is not None
    assert wide.pass_to_pass.mean_abs_m == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize(
    ("ddi", "unit", "physical", "metric", "us"),
    [
        (2, "mm³/m²", 20_000.0, (200.0, "L/ha", "L"), (200.0 / 9.353956228956, "gal/ac", "gal")),
        (7, "mg/m²", 15_000.0, (150.0, "kg/ha", "kg"), (150.0 / 1.120851156194, "lb/ac", "lb")),
        (12, "/m²", 30.0, (300_000.0, "1/ha", "pieces"), (30.0 * ACRE_M2, "1/ac", "pieces")),
    ],
)
def test_rates_are_shown_in_units_of_a_farm(
    ddi: int, unit: str, physical: float, metric: tuple[float, str, str], us: tuple[float, str, str]
) -> None:
    # Factors from NIST SP 811; 15000 mg/m² = 150 kg/ha is the example of ISO 11783-10 D.41.
    rate = RateFigures(ddi, None, None, unit, 1.0, physical, 0, 0, None, None, 0, None, 0, None, None)
    for system, (value, name, product) in (("metric", metric), ("us", us)):
        found = farm_rate(rate.ddi, system)
        assert (found.unit, found.product_unit) == (name, product)
        assert found.rate(physical) == pytest.approx(value, rel=1e-10)
        area = 10_000.0 if system == "metric" else ACRE_M2
        assert found.product(physical * area) == pytest.approx(value, rel=1e-10)


def rates(values: dict, **options):
    return build.covered([build.passes(2, 8.0, 100.0, values=values)], [build.sprayer([5000, 5000])], **options).rates


def test_a_rate_is_weighted_by_the_ground_it_went_on() -> None:
    # 100 L/ha on the first pass, 200 L/ha on the second; the passes overlap by 2 m of 10 m.
    (rate,) = rates({(2, "DET21"): np.repeat([1_000_000, 2_000_000], 101), (1, "DET21"): 1_500_000})
    assert (rate.ddi, rate.target_ddi, rate.unit) == (2, 1, "mm³/m²")
    assert (rate.mean, rate.minimum, rate.maximum) == (pytest.approx(15_000.0, rel=1e-6), 10_000.0, 20_000.0)
    assert (rate.target_mean, rate.within_10_percent) == (pytest.approx(15_000.0), 0.0)
    assert rate.area_m2 == pytest.approx(2000.0, rel=1e-5)
    assert rate.applied == pytest.approx(2000.0 * 15_000.0, rel=1e-5)
    assert rate.per_worked_m2 == pytest.approx(30e6 / 1800.0, rel=1e-5)
    assert rate.logged_total is None


def test_the_share_within_a_tenth_of_the_setpoint_is_by_ground() -> None:
    """Two passes of the same size, 5 % below the setpoint on the first and far above it on the second."""
    (rate,) = rates({(2, "DET21"): np.repeat([950_000, 2_000_000], 101), (1, "DET21"): 1_000_000})
    assert rate.within_10_percent == pytest.approx(0.5, rel=1e-5)
    (rate,) = rates({(2, "DET21"): 1_090_000, (1, "DET21"): 1_000_000})
    assert rate.within_10_percent == pytest.approx(1.0)


def test_product_on_double_ground_is_that_of_the_overlap() -> None:
    (rate,) = rates({(2, "DET21"): 2_000_000})
    assert rate.on_double == pytest.approx(200.0 * 20_000.0, rel=1e-4)
    (coarse,) = rates({(2, "DET21"): 2_000_000}, cell_m=0.25)
    assert coarse.on_double == pytest.approx(200.0 * 20_000.0, rel=0.05)


def test_a_total_of_the_machine_is_shown_beside_the_reckoned_product() -> None:
    litres = np.arange(202) // 5
    (rate,) = rates({(2, "DET21"): 2_000_000, (80, "DET21"): litres})
    assert rate.logged_total == pytest.approx(40.0e6)


def test_a_rate_of_one_section_counts_its_ground_alone() -> None:
    (rate,) = rates({(7, "DET22"): 15_000})
    assert rate.area_m2 == pytest.approx(1000.0, rel=1e-5)
    assert rate.mean == pytest.approx(15_000.0)


def test_text_shows_metric_or_us_units() -> None:
    log = build.passes(2, 10.0, 100.0, values={(2, "DET21"): 2_000_000})
    found = build.covered([log], [build.sprayer([5000, 5000])])
    metric, us = (plain(coverage_text("stick", [found], units)) for units in ("metric", "us"))
    assert "Worked 0.20 ha" in metric
    assert "200 L/ha" in metric
    assert "Worked 0.49 ac" in us
    assert "21.38 gal/ac" in us
    assert max(map(len, (metric + us).splitlines())) <= 80
