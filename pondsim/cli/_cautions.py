"""Cautions for what a scenario holds: equipment, and what is done to the water and the bed."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pondsim.scenario.settings import Scenario


def cautions_of(scenario: Scenario) -> tuple[str, ...]:
    """Each a sentence or two; the last are for every design."""
    from pondsim.design.pond_work import pond_work  # noqa: PLC0415
    from pondsim.design.service import runs_in_winter, starts_by_itself  # noqa: PLC0415
    from pondsim.words import cautions_for  # noqa: PLC0415

    return cautions_for(
        pump=scenario.pump is not None,
        air=bool(scenario.aeration),
        well=scenario.wet_well is not None,
        pipes=scenario.gravity_line is not None or scenario.discharge is not None,
        winter=runs_in_winter(scenario),
        automatic=starts_by_itself(scenario),
        work={one.code for one in pond_work(scenario)},
    )


def start_up_cautions(scenario: Scenario) -> tuple[str, ...]:
    """Cautions for the day on which the equipment of a scenario is started, each a sentence or two."""
    from pondsim.design.service import starts_by_itself  # noqa: PLC0415

    return _chosen(
        {
            "electricity": True,
            "lockout": starts_by_itself(scenario),
            "first start": bool(scenario.aeration),
            "entry": scenario.wet_well is not None,
        }
    )


def service_cautions(scenario: Scenario) -> tuple[str, ...]:
    """Cautions for those who service the equipment of a scenario, each a sentence or two."""
    from pondsim.design.service import runs_in_winter, starts_by_itself  # noqa: PLC0415

    well = scenario.wet_well is not None
    return _chosen(
        {
            "thin ice": runs_in_winter(scenario),
            "electricity": True,
            "lockout": starts_by_itself(scenario),
            "first start": bool(scenario.aeration),
            "entry": well,
            "flotation": well,
            "divers": scenario.pump is not None,
        }
    )


def _chosen(wanted: dict[str, bool]) -> tuple[str, ...]:
    from pondsim.words import CAUTION  # noqa: PLC0415

    return tuple(CAUTION[key] for key, has in wanted.items() if has)
