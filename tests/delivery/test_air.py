"""The air against published formulas and tables."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.delivery.air import FREEZING, Air, moist_density, standard_pressure, viscosity


def test_density_of_moist_air_against_the_simplified_formula_of_the_weights():
    # OIML R 111-1:2004, eq. E.3-1: (0.34848 p − 0.009 h exp(0.061 t))/(273.15 + t), p in hPa, h in %, t in °C,
    # stated good to 2e-4 for 900–1100 hPa, 10–30 °C and h below 80 %. CIPM-2007 stands 1e-4 off its forerunner.
    for p in (900.0, 1000.0, 1100.0):
        for t in (10.0, 20.0, 30.0):
            for h in (0.0, 40.0, 79.0):
                expected = (0.34848 * p - 0.009 * h * np.exp(0.061 * t)) / (273.15 + t)
                assert moist_density(100.0 * p, FREEZING + t, 0.01 * h) == pytest.approx(expected, rel=3e-4)


def test_density_of_dry_air():
    # 1.293 kg/m³ at 0 °C and 1.2250 at 15 °C, 101 325 Pa (handbooks; ICAO Standard Atmosphere): the last figure,
    # and for the second the 4e-5 by which the two molar masses differ.
    assert moist_density(101325.0, FREEZING, 0.0) == pytest.approx(1.293, abs=5e-4)
    assert moist_density(101325.0, FREEZING + 15.0, 0.0) == pytest.approx(1.2250, rel=6e-4)


def test_moist_air_is_lighter():
    # Water's 18 g/mol against 29: at 30 °C saturation is 42.5 hPa (tables), 0.378·42.5/1013 = 1.6 %.
    share = moist_density(101325.0, FREEZING + 30.0, 1.0) / moist_density(101325.0, FREEZING + 30.0, 0.0)
    assert 1.0 - share == pytest.approx(0.378 * 4250.0 / 101325.0, rel=0.02)


@pytest.mark.parametrize(("altitude", "pressure"), [(0.0, 101325.0), (1000.0, 89874.6), (5000.0, 54019.9)])
def test_standard_atmosphere(altitude, pressure):
    # ICAO Standard Atmosphere, tables over geopotential altitude (from memory; six figures).
    assert standard_pressure(altitude) == pytest.approx(pressure, rel=2e-6)


def test_viscosity():
    # 1.7894e-5 Pa·s at 15 °C (U.S. Standard Atmosphere 1976, table; from memory): its last figure.
    assert viscosity(FREEZING + 15.0) == pytest.approx(1.7894e-5, rel=3e-5)


def test_a_barometer_goes_before_the_altitude():
    assert Air(altitude=1500.0, pressure=95000.0).station_pressure == 95000.0
    assert Air(altitude=1500.0).density < Air().density


def test_wind_blows_from_where_it_is_said_to_come():
    # World: x to the target, y to the left of somebody who looks at it.
    np.testing.assert_allclose(Air(wind_speed=4.0, wind_from=0.0).wind(), [-4.0, 0.0, 0.0], atol=1e-15)
    np.testing.assert_allclose(Air(wind_speed=4.0, wind_from=np.pi / 2).wind(), [0.0, 4.0, 0.0], atol=1e-15)
    np.testing.assert_allclose(Air(wind_speed=4.0, wind_from=np.pi).wind(), [4.0, 0.0, 0.0], atol=1e-15)
    mirrored = Air(wind_speed=4.0, wind_from=1.0).wind(left_handed=True)
    np.testing.assert_allclose(mirrored, Air(wind_speed=4.0, wind_from=-1.0).wind(), atol=1e-15)


def test_says_what_it_is():
    assert Air().describe() == "20 °C, 1013 hPa, 50 % humidity (1.199 kg/m³), no wind"
    assert "wind 4.0 m/s from 270°" in Air(wind_speed=4.0, wind_from=-np.pi / 2).describe()
