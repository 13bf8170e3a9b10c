"""Section on what holds off the wind by its direction."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.scenario.fields import quantity


@dataclass(frozen=True)
class Shelter:
    """Trees or buildings that hold off wind from some directions."""

    from_direction: float = quantity(
        "rad", least="0 deg", most="360 deg", doc="compass bearing the wind comes from, first of the sector"
    )
    to_direction: float = quantity(
        "rad", least="0 deg", most="360 deg", doc="last of the sector, clockwise; it may run over north"
    )
    wind_share: float = quantity(
        "1", least="0 %", most="120 %", doc="of the wind of that sector that passes, before wind_reduction"
    )
