"""The air a ball flies through, as a scenario's file states it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from swingbeam.files.base import Record
from swingbeam.units import Quantity


class AirTable(Record):
    """Altitude (m), temperature (K), pressure (Pa), relative humidity (0 … 1) and wind (m/s, rad).

    Without a pressure it is that of the standard atmosphere at the altitude. The defaults are common practice,
    no source.
    """

    altitude: Annotated[float, Quantity("length", at_least=-500.0, at_most=5000.0)] = Field(
        default=0.0, description='above sea level, such as "300 m"'
    )
    temperature: Annotated[float, Quantity("temperature", at_least=233.15, at_most=333.15)] = Field(
        default=293.15, description='such as "20 degC" or "68 degF"'
    )
    pressure: Annotated[float, Quantity("pressure", at_least=4e4, at_most=1.1e5)] | None = Field(
        default=None, description='at the place, not reduced to sea level, such as "1013 hPa"; instead of altitude'
    )
    humidity: Annotated[float, Quantity("ratio", at_least=0.0, at_most=1.0)] = Field(
        default=0.5, description='relative, such as "50 %"'
    )
    wind_speed: Annotated[float, Quantity("speed", at_least=0.0, at_most=30.0)] = Field(
        default=0.0, description='such as "4 m/s"'
    )
    wind_from: Annotated[float, Quantity("angle", at_least=-6.2832, at_most=6.2832)] = Field(
        default=0.0,
        description='where it comes from: "0 deg" the target, "90 deg" the right of who looks at it, "180 deg" behind',
    )
