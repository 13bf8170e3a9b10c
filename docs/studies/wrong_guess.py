"""What a wrong guess costs: the site file of the demo pond wrong in one thing at a time; some three minutes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from common import HOT_WEEK, M_IN_FT, bottom, computed, dawns, demo, fill, table

from pondsim.scenario.settings import Scenario
from pondsim.site.runoff_quality import concentrations_of

DESIGNS = ("existing", "waterfall")
LAYERS = 8  # differences are asked for here, over forty seasons
Change = Callable[[Scenario], Scenario]


def bed(factor: float) -> Change:
    """What the bed takes, in every zone."""
    return lambda pond: _zones(pond, lambda z: {"bed_oxygen_demand": factor * (z.bed_oxygen_demand or 0.0)})


def areas(factor: float) -> Change:
    """All areas of all zones, depths kept."""
    return lambda pond: _zones(pond, lambda z: {"area": tuple(factor * area for area in z.area)})


def depths(factor: float) -> Change:
    """All depths under normal pool, sills with them; areas, banks and equipment kept."""

    def moved(pond: Scenario) -> Scenario:
        pool = pond.pond.normal_pool

        def at(elevation: float) -> float:
            return pool - factor * (pool - elevation) if elevation < pool else elevation

        deeper = _zones(pond, lambda z: {"stage": tuple(at(stage) for stage in z.stage)})
        necks = tuple(replace(neck, sill=at(neck.sill)) for neck in pond.connection)
        return replace(deeper, connection=necks)

    return moved


def neck(width: float = 1.0, higher: float = 0.0) -> Change:
    """The passage into the blind arm: its width times a factor, its sill higher."""

    def moved(pond: Scenario) -> Scenario:
        found = tuple(
            replace(c, width=width * c.width, sill=c.sill + higher) if "far_arm" in c.between else c
            for c in pond.connection
        )
        return replace(pond, connection=found)

    return moved


def phosphorus(factor: float) -> Change:
    """The phosphorus of the runoff, which feeds the algae."""

    def moved(pond: Scenario) -> Scenario:
        given = (area.phosphorus or concentrations_of(area).phosphorus for area in pond.drainage)
        areas = (replace(a, phosphorus=factor * own) for a, own in zip(pond.drainage, given, strict=True))
        return replace(pond, drainage=tuple(areas))

    return moved


def bed_phosphorus(factor: float) -> Change:
    """The phosphorus that the bed lets go without oxygen."""
    return lambda pond: replace(
        pond, phosphorus=replace(pond.phosphorus, bound_start=factor * pond.phosphorus.bound_start)
    )


def mixing(**keys: float) -> Change:
    """Keys of [mixing]."""
    return lambda pond: replace(pond, mixing=replace(pond.mixing, **keys))


def load(factor: float) -> Change:
    """Solids, demand and ammonium of the runoff."""

    def moved(pond: Scenario) -> Scenario:
        names = ("suspended_solids", "bod5", "ammonium")
        found = []
        for area in pond.drainage:
            given = concentrations_of(area)
            own = {name: factor * (getattr(given, name, None) or getattr(area, name)) for name in names}
            found.append(replace(area, **own))
        return replace(pond, drainage=tuple(found))

    return moved


def summer(seed: int) -> Change:
    """Another invented summer with the same normals."""

    def moved(pond: Scenario) -> Scenario:
        assert pond.weather.synthetic is not None
        return replace(
            pond, weather=replace(pond.weather, synthetic=replace(pond.weather.synthetic, seed=seed))
        )

    return moved


def no_profile(pond: Scenario) -> Scenario:
    """No profile measured on the first day."""
    return replace(pond, start=replace(pond.start, profile=()))


def _zones(pond: Scenario, keys: Callable) -> Scenario:
    return replace(pond, zone=tuple(replace(z, **keys(z)) for z in pond.zone))


CASES: dict[str, Change] = {
    "bed demand, half": bed(0.5),
    "bed demand, double": bed(2.0),
    "all depths 10 % less": depths(0.9),
    "all depths 10 % more": depths(1.1),
    "all areas 10 % less": areas(0.9),
    "all areas 10 % more": areas(1.1),
    "neck of the arm a third narrower": neck(width=2.0 / 3.0),
    "sill of the arm 1 ft higher": neck(higher=M_IN_FT),
    "phosphorus of the runoff, half": phosphorus(0.5),
    "phosphorus of the runoff, double": phosphorus(2.0),
    "phosphorus of the bed, a third": bed_phosphorus(1.0 / 3.0),
    "wind reduction 0.3 for 0.4": mixing(wind_reduction=0.3),
    "wind reduction 0.6 for 0.4": mixing(wind_reduction=0.6),
    "diffusivity floor 1.4e-7 m2/s": mixing(diffusivity_floor=1.4e-7),
    "diffusivity floor 1e-6 m2/s": mixing(diffusivity_floor=1e-6),
    "load of the runoff, half": load(0.5),
    "load of the runoff, double": load(2.0),
    "no profile at the start": no_profile,
    "another summer (seed 41)": summer(41),
    "another summer (seed 42)": summer(42),
}
HEAD = [
    "site file",
    "deep pool, dawn [mg/L]",
    "far arm, dawn [mg/L]",
    "far arm, lowest dawn [mg/L]",
    "deep pool near the bed [degF]",
    "gain of the waterfall, deep pool [mg/L]",
    "gain, far arm [mg/L]",
]


def answers(pond: Scenario) -> np.ndarray:
    """Dawns of the top in the hot week (two zones), lowest of the season, and the deep water's warmth."""
    run = computed(pond)
    means = [float(dawns(run, zone).mean()) for zone in ("deep_pool", "far_arm")]
    lowest = float(dawns(run, "far_arm", slice(None, None)).min())
    celsius = float(bottom(run, "deep_pool", "water_temperature").sel(time=HOT_WEEK).mean())
    return np.array([*means, lowest, 32.0 + 1.8 * celsius])


def row(name: str, change: Change) -> list[str]:
    """One line of the table: the pond as it is, and what the waterfall adds."""
    few = {"pond": {"layers": LAYERS}, "bed": {"passes": 1}}
    before, after = (answers(change(demo(design, **few))) for design in DESIGNS)
    gain = (after - before)[:2]
    cells = [*(f"{value:.2f}" for value in before[:3]), f"{before[3]:.1f}", *(f"{g:+.2f}" for g in gain)]
    print(name, *cells, flush=True)
    return [name, *cells]


def main() -> None:
    """Run all and put the table into the page."""
    rows = [row("as it is", lambda pond: pond), *(row(name, change) for name, change in CASES.items())]
    fill("your_pond.md", "wrong guess", table(HEAD, rows))


if __name__ == "__main__":
    main()
