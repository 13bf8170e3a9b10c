"""`pondsim quantities`: what a design is made of, and what it costs at the user's prices."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pondsim.cli._common import existing_file, new_file, units_option, write_text
from pondsim.errors import ScenarioError

if TYPE_CHECKING:
    from pondsim.design.costs import Run


@click.command("quantities")
@click.argument("design", type=existing_file)
@click.option("--prices", "price_file", type=existing_file, help="Your unit prices (.toml).")
@click.option("--write-prices", type=new_file, help="Write a file of blank prices for this design.")
@click.option(
    "--results", type=existing_file, metavar="FILE.nc", help="Run of it: electricity, oxygen, days."
)
@click.option("--existing", type=existing_file, metavar="FILE.nc", help="Run of the existing pond.")
@click.option("--csv", "csv_file", type=new_file, help="Write the rows for a spreadsheet.")
@units_option
def command(
    design: Path,
    price_file: Path | None,
    write_prices: Path | None,
    results: Path | None,
    existing: Path | None,
    csv_file: Path | None,
    system: str,
) -> None:
    """Count what DESIGN is made of, and multiply by your prices.

    No price comes with the program. --write-prices makes a file of blanks to fill in once.
    """
    from pondsim.cli._places import check_places  # noqa: PLC0415
    from pondsim.cli._quantities_text import cost_text, items_text, price_starter, rows_csv  # noqa: PLC0415
    from pondsim.design.costs import estimate  # noqa: PLC0415
    from pondsim.design.quantities import quantities  # noqa: PLC0415
    from pondsim.scenario.read import read_scenario, read_section  # noqa: PLC0415
    from pondsim.scenario.settings import Prices  # noqa: PLC0415

    if existing is not None and results is None:
        raise ScenarioError("--existing stands alone; give --results of the design too")
    check_places([write_prices, csv_file], [design])
    if csv_file and price_file and csv_file.resolve() == price_file.resolve():
        raise ScenarioError(f"{csv_file}: is an input of this command; choose another file to write")
    if write_prices is not None and write_prices.exists():
        raise ScenarioError(f"{write_prices}: is there already; prices are not written over")
    scenario = read_scenario(design)
    items = quantities(scenario)
    if not items:
        raise ScenarioError(f"{design}: has no equipment to count")
    currency = "$" if scenario.tariff is None else scenario.tariff.currency
    if write_prices is not None:
        write_text(write_prices, price_starter(scenario, items, currency, system))
    if price_file is None:
        click.echo(items_text(scenario.title, items, system))
        prices = Prices(currency=currency)
    else:
        prices = read_section(price_file, Prices)
    found = estimate(items, prices, None if results is None else _run(results, existing), system)
    if price_file is not None:
        click.echo(cost_text(scenario.title, found, prices, system))
    if csv_file is not None:
        write_text(csv_file, rows_csv(found, prices.currency))
    for path in (write_prices, csv_file):
        if path is not None:
            click.echo(f"Written to {path}.", err=True)


def _run(results: Path, existing: Path | None) -> Run:
    """What runs say of money, oxygen and days."""
    import numpy as np  # noqa: PLC0415

    from pondsim import measures  # noqa: PLC0415
    from pondsim.design.costs import Run  # noqa: PLC0415
    from pondsim.measures.books import run_days  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415

    dataset = load(results)
    money, budget = measures.money(dataset), measures.oxygen_budget(dataset)
    given = sum(budget.get(name, 0.0) for name in ("waterfall", "bubbles")) * run_days(dataset)
    saved = None
    if existing is not None:
        days = [float(np.max(measures.judge(one).failing)) for one in (load(existing), dataset)]
        saved = days[0] - days[1]
    return Run(
        money.get("energy"),
        money.get("demand"),
        run_days(dataset),
        given if given > 0.0 else None,
        saved,
        str(dataset.attrs.get("currency", "$")),
    )
