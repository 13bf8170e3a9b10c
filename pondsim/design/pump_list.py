"""Pumps of a list, each laid over one design and held against its line, with no run."""

from __future__ import annotations

from dataclasses import dataclass

from pondsim.design import circulation
from pondsim.design.given import pools_of
from pondsim.design.limits import Limit
from pondsim.design.line_sheet import line_sheet
from pondsim.design.line_values import AtPool
from pondsim.design.running import line_current, timer_cost
from pondsim.scenario.settings import Scenario

JUDGED = ("fail", "warn")


@dataclass(frozen=True)
class PumpAt:
    """A pump with the pond at one level.

    Attributes
    ----------
    pool : the line there
    current : in each line of one motor; None where its supply is not stated [A]
    npsh_margin : suction head available less what the pump needs; None where one is not known [m]
    """

    pool: AtPool
    current: float | None
    npsh_margin: float | None


@dataclass(frozen=True)
class PumpCheck:
    """A pump of the list on the line of the design.

    Attributes
    ----------
    name, price : as listed
    at : at low pool (where the file names one), normal pool and bank top
    full_load : current by the nameplate, in each line of one motor; None where not stated [A]
    solids : largest ball that passes, as stated [m]
    cost, currency : of all electricity over the period by the timers; None without a tariff
    broken : limits of the loop that fail or warn, failing ones first
    """

    name: str
    price: float | None
    at: tuple[PumpAt, ...]
    full_load: float | None
    solids: float | None
    cost: float | None
    currency: str
    broken: tuple[Limit, ...]

    @property
    def normal(self) -> PumpAt:
        """At normal pool."""
        return self.at[-2]

    @property
    def verdict(self) -> str:
        """ "fail", "warn" or "pass"."""
        return self.broken[0].verdict if self.broken else "pass"


def check_pump(name: str, price: float | None, scenario: Scenario) -> PumpCheck:
    """One pump, as it stands in a scenario that has a loop. SI. Raises: nothing."""
    sheet, pump = line_sheet(scenario), scenario.pump
    assert sheet is not None and pump is not None
    broken = [limit for limit in circulation.limits(scenario) if limit.verdict in JUDGED]
    cost = timer_cost(scenario)
    nameplate = pump.nameplate_power
    return PumpCheck(
        name=name,
        price=price,
        at=tuple(_at(pool, scenario) for pool in pools_of(sheet)),
        full_load=None if nameplate is None else _current(nameplate / pump.motor_efficiency, scenario),
        solids=pump.solids_passage,
        cost=None if cost is None else cost.all,
        currency="" if cost is None else cost.currency,
        broken=tuple(sorted(broken, key=lambda limit: JUDGED.index(limit.verdict))),
    )


def _at(pool: AtPool, scenario: Scenario) -> PumpAt:
    pump = scenario.pump
    assert pump is not None
    there, needed = pool.npsh_available, pump.npsh_required
    margin = None if there is None or needed is None else there - needed
    return PumpAt(pool, _current(pool.electric_power / pump.count, scenario), margin)


def _current(power: float, scenario: Scenario) -> float | None:
    """Current in each line of the pump's supply at a power of one motor [A]; None where it is not stated."""
    pump = scenario.pump
    assert pump is not None
    if pump.volts is None or pump.phases is None or pump.power_factor is None:
        return None
    return line_current(power, pump.volts, pump.phases, pump.power_factor)


def shared(checks: tuple[PumpCheck, ...]) -> tuple[Limit, ...]:
    """Limits that every pump breaks with one value: they belong to the line, not to a pump."""
    if len(checks) < 2:
        return ()
    return tuple(limit for limit in checks[0].broken if all(limit in check.broken for check in checks[1:]))
