"""The air a ball flies through: density, viscosity and wind."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STANDARD_PRESSURE = 101325.0
"""Pa at sea level (ICAO Standard Atmosphere, Doc 7488)."""
FREEZING = 273.15
"""K at 0 °C"""


@dataclass(frozen=True)
class Air:
    """The air over the ground; SI.

    Attributes
    ----------
    altitude : m above sea level; used where no pressure is given
    temperature : K
    pressure : Pa, as a barometer at the place reads it (not reduced to sea level); None: of the standard
        atmosphere at the altitude
    humidity : 0 … 1, relative
    wind_speed : m/s, the same at all heights
    wind_from : rad, where the wind comes from: 0 from the target, +90° from the right of somebody who looks at
        the target, 180° from behind

    The defaults (sea level, 20 °C, half saturated, still) are common practice, no source.
    """

    altitude: float = 0.0
    temperature: float = FREEZING + 20.0
    pressure: float | None = None
    humidity: float = 0.5
    wind_speed: float = 0.0
    wind_from: float = 0.0

    @property
    def station_pressure(self) -> float:
        """Pa: the one given, or that of the standard atmosphere."""
        return standard_pressure(self.altitude) if self.pressure is None else self.pressure

    @property
    def density(self) -> float:
        """kg/m³"""
        return moist_density(self.station_pressure, self.temperature, self.humidity)

    @property
    def viscosity(self) -> float:
        """Pa·s"""
        return viscosity(self.temperature)

    def wind(self, *, left_handed: bool = False) -> Array:
        """(3,) m/s, velocity of the air in the world of the simulation, where every golfer is right-handed."""
        across = self.wind_speed * math.sin(self.wind_from)
        return np.array([-self.wind_speed * math.cos(self.wind_from), -across if left_handed else across, 0.0])

    def describe(self) -> str:
        """In words, for a table."""
        words = (
            f"{self.temperature - FREEZING:.0f} °C, {self.station_pressure / 100.0:.0f} hPa, "
            f"{100.0 * self.humidity:.0f} % humidity ({self.density:.3f} kg/m³)"
        )
        if self.wind_speed == 0.0:
            return f"{words}, no wind"
        degrees = math.degrees(self.wind_from) % 360.0
        return f"{words}, wind {self.wind_speed:.1f} m/s from {degrees:.0f}° (0° from the target, 90° from the right)"


def standard_pressure(altitude: float) -> float:
    """Pa of the standard atmosphere at a geopotential altitude, m, in the troposphere.

    p = p₀ (1 − L h/T₀)^(g M/(R L)), L = 6.5 K/km, T₀ = 288.15 K (ICAO Standard Atmosphere, Doc 7488; the same
    as U.S. Standard Atmosphere 1976).
    """
    gas = 8.31432 / 28.9644e-3
    return STANDARD_PRESSURE * (1.0 - 6.5e-3 * altitude / 288.15) ** (9.80665 / (gas * 6.5e-3))


def moist_density(pressure: float, temperature: float, humidity: float) -> float:
    """kg/m³ of moist air with 400 parts per million of carbon dioxide.

    Parameters
    ----------
    pressure, temperature, humidity : Pa, K, 0 … 1

    Notes
    -----
    CIPM-2007: Picard, Davis, Gläser & Fujii 2008, Metrologia 45:149, its appendix; constants from memory,
    checked against the values of dry and of moist air in the tests.
    """
    t = temperature - FREEZING
    saturation = math.exp(
        1.2378847e-5 * temperature**2 - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * t * t
    x = humidity * enhancement * saturation / pressure
    ratio = pressure / temperature
    z = (
        1.0
        - ratio
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t * t
            + (5.707e-6 - 2.051e-8 * t) * x
            + (1.9898e-4 - 2.376e-6 * t) * x * x
        )
        + ratio * ratio * (1.83e-11 - 0.765e-8 * x * x)
    )
    return ratio * 28.96546e-3 / (z * 8.314472) * (1.0 - 0.3780 * x)


def viscosity(temperature: float) -> float:
    """Pa·s of air: Sutherland's law, 1.458·10⁻⁶ T^1.5/(T + 110.4) (U.S. Standard Atmosphere 1976, eq. 51)."""
    return 1.458e-6 * temperature**1.5 / (temperature + 110.4)
