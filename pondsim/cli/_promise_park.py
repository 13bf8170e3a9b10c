"""Many ponds in one call: a study of each folder, ranked by what is gained for the money."""

from __future__ import annotations

import io
import math
import shutil
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click
import numpy as np

from pondsim.cli._common import of_file, wrapped, write_text
from pondsim.cli._promise_run import read_designs, studied
from pondsim.design.costs import Run, check_names, estimate
from pondsim.design.quantities import Item, quantities
from pondsim.ensemble.answer import answer_of
from pondsim.ensemble.paired import measures_in, weights_in, whole_members
from pondsim.ensemble.statistics import effective_number, quantile, wilson_interval
from pondsim.errors import ScenarioError
from pondsim.measures.declared import declarations
from pondsim.scenario.read import read_scenario, read_section
from pondsim.scenario.settings import Prices
from pondsim.spreadsheet import SheetWriter

if TYPE_CHECKING:
    import xarray as xr

EXISTING, PRICES = "existing.toml", "prices.toml"
BESIDE = "finished_runs"  # folder beside them, so that a call that was broken off goes on
WIDTH, NAME = 80, 30
LEGEND = (
    "Days avoided: days below the 1-day minimum in the worst zone (an own limit of the pond that holds all "
    "season near every surface, else that of its criteria, else the federal one), existing pond less design, "
    "median and 5 to 95 % of the members. Better: percent of members that avoid more days than a "
    "tie, with its 95 % interval. A year: equal yearly cost at your prices. Per 1000: median days avoided "
    "for each 1000 of that cost; designs without prices come last."
)


@dataclass(frozen=True)
class Ranked:
    """One design of one pond.

    Attributes
    ----------
    pond, title : folder and design
    avoided : days of failure avoided in the worst zone, 5 %, median and 95 %
    better : share of members beyond a tie, with its interval
    yearly : equal yearly cost; None without prices
    currency : of it
    promise : amount that may be promised and its measure, or ""
    """

    pond: str
    title: str
    avoided: tuple[float, float, float]
    better: tuple[float, float, float]
    yearly: float | None
    currency: str
    promise: str

    @property
    def per_thousand(self) -> float | None:
        """Median days avoided for each 1000 a year."""
        return None if not self.yearly else 1000.0 * self.avoided[1] / self.yearly


def rank_ponds(
    folders: list[Path],
    members: int,
    seed: int,
    how: str,
    keep: Path | None,
    prices: Path | None,
    csv_file: Path | None,
    confidence: float,
) -> None:
    """Study each pond and print the designs of all, the most days avoided for the money first.

    Raises
    ------
    ScenarioError
        A folder that holds no pond, found before anything is run.
    """
    ponds = [(folder, designs_in(folder)) for folder in folders]
    for folder, files in ponds:
        read_designs(files)
        _prices(prices or folder / PRICES)
    found: list[Ranked] = []
    for number, (folder, files) in enumerate(ponds, 1):
        click.echo(f"{folder.name} ({number} of {len(ponds)})", err=True)
        study = studied(files, members, seed, how, keep / folder.name if keep else folder / BESIDE, None)
        found += ranked_in(study, folder, files, prices, confidence)
    found.sort(key=lambda one: (one.per_thousand is None, -(one.per_thousand or one.avoided[1])))
    click.echo(ranked_text(found, confidence))
    if csv_file:
        write_text(csv_file, ranked_csv(found))
        click.echo(f"Written to {csv_file}.", err=True)
    if keep is None:
        for folder, _ in ponds:
            shutil.rmtree(folder / BESIDE, ignore_errors=True)


def designs_in(folder: Path) -> list[Path]:
    """The existing pond of a folder and its designs: the files that name a site."""
    if not folder.is_dir():
        raise ScenarioError(f"{folder}: is not a folder; give folders of ponds only, or files only")
    existing = folder / EXISTING
    designs = [path for path in sorted(folder.glob("*.toml")) if path != existing and _is_design(path)]
    if not existing.is_file() or not designs:
        raise ScenarioError(
            f"{folder}: needs {EXISTING} and at least one design, a .toml file that names a site"
        )
    return [existing, *designs]


def _is_design(path: Path) -> bool:
    try:
        return "site" in tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return True  # its fault is told when it is read


def ranked_in(
    study: xr.Dataset, folder: Path, files: list[Path], prices: Path | None, confidence: float
) -> list[Ranked]:
    """The designs of one pond."""
    members = whole_members(study)
    weights = weights_in(study, members)
    answer = answer_of(study, confidence)
    band = declarations()["days_failing_top"].template.tie
    failing = [_worst(study, design, members) for design in range(len(files))]
    items = [quantities(read_scenario(path)) for path in files[1:]]
    own = _prices(prices or folder / PRICES)
    if own is not None and prices is None:
        with of_file(folder / PRICES):
            check_names(items, own)
    found = []
    for one, counted in zip(answer.designs, items, strict=True):
        avoided = failing[0] - failing[one.design]
        share = float(weights @ (avoided > band))
        low, middle, high = (float(v) for v in quantile(avoided, [0.05, 0.5, 0.95]))
        yearly = None if own is None else _cost(study, one.design, members, counted, own)
        currency = "" if own is None else own.currency
        said = f"{one.promise.measure.key} {one.promise.amount:g}" if one.promise else ""
        chance = (share, *wilson_interval(share, effective_number(weights)))
        found.append(Ranked(folder.name, one.title, (low, middle, high), chance, yearly, currency, said))
    return found


def _worst(study: xr.Dataset, design: int, members: np.ndarray) -> np.ndarray:
    keys = [key for key in study["key"].values.tolist() if key.startswith("days_failing_top.")]
    if not keys:
        raise ScenarioError(
            "days failing cannot be judged: the runs are too short, or their results too coarse"
        )
    numbers = study["measure"].sel(key=keys).values[design][members]
    return np.asarray(np.nanmax(numbers, axis=1), dtype=float)


def _prices(path: Path) -> Prices | None:
    if not path.is_file():
        return None
    found: Prices = read_section(path, Prices)
    if found.worth is None:
        message = '[worth] is missing; write [worth] with rate = "5 %", to spread first cost over the years'
        raise ScenarioError(f"{path}: {message}")
    return found


def _cost(
    study: xr.Dataset, design: int, members: np.ndarray, items: tuple[Item, ...], prices: Prices
) -> float | None:
    """Equal yearly cost of a design, its electricity that of the median member."""

    def median(key: str) -> float | None:
        if key not in study["key"].values:
            return None
        return float(np.nanmedian(study["measure"].sel(key=key).values[design][members]))

    bill = measures_in(study).get("cost")
    currency = prices.currency if bill is None else bill.currency
    run = Run(median("cost.energy"), median("cost.demand"), float(study.sizes["day"]), None, None, currency)
    return estimate(items, prices, run).equal_yearly


def ranked_text(found: list[Ranked], confidence: float) -> str:
    """The table, at most 80 columns."""
    head = f"{'pond, design':<{NAME}}{'days avoided':>18}{'better %':>12}{'a year':>10}{'per 1000':>10}"
    lines = [head]
    for one in found:
        low, middle, high = (f"{value:.0f}" for value in one.avoided)
        share, least, most = (round(100.0 * part) for part in one.better)
        cost = "-" if one.yearly is None else f"{one.yearly:,.0f}"
        per = "-" if one.per_thousand is None else f"{one.per_thousand:.1f}"
        name = f"{one.pond}: {one.title}"
        cells = f"{f'{middle} ({low} to {high})':>18}{f'{share} {least}-{most}':>12}{cost:>10}{per:>10}"
        lines.append(f"{name:<{NAME}}{cells}" if len(name) < NAME else f"{name[:WIDTH]}\n{' ' * NAME}{cells}")
    kept = sum(1 for one in found if one.promise)
    said = (
        f"At {confidence:.0%} confidence a promise can be made for {kept} of {len(found)} designs; "
        "pondsim promise on that pond alone prints the sentence and its conditions."
    )
    return "\n\n".join(["\n".join(lines), wrapped(said, WIDTH), wrapped(LEGEND, WIDTH)])


def ranked_csv(found: list[Ranked]) -> str:
    """A row for each design."""
    out = io.StringIO()
    writer = SheetWriter(out)
    chances = ("better", "better low", "better high")
    writer.writerow(
        ["pond", "design", "days avoided", "5 %", "95 %", *chances, "yearly cost", "currency",
         "days per 1000", "promise"]
    )  # fmt: skip
    for one in found:
        low, middle, high = one.avoided
        numbers = [middle, low, high, *one.better]
        texts = ["" if math.isnan(n) else f"{n:.6g}" for n in numbers]
        cost = "" if one.yearly is None else f"{one.yearly:.2f}"
        per = "" if one.per_thousand is None else f"{one.per_thousand:.6g}"
        writer.writerow([one.pond, one.title, *texts, cost, one.currency, per, one.promise])
    return out.getvalue()
