"""`pondsim quantities`: what a design is made of, and what it costs at the user's prices."""

from __future__ import annotations

from pathlib import Path

import click

from pondsim.cli._common import existing_file, json_text, new_file, of_file, units_option, write_text
from pondsim.errors import ScenarioError


@click.command("quantities")
@click.argument("design", type=existing_file)
@click.option("--prices", "price_file", type=existing_file, help="Your unit prices (.toml).")
@click.option("--write-prices", type=new_file, help="Write a file of blank prices for this design.")
@click.option(
    "--results", type=existing_file, metavar="FILE.nc", help="Run of it: electricity, oxygen, days."
)
@click.option("--existing", type=existing_file, metavar="FILE.nc", help="Run of the existing pond.")
@click.option("--csv", "csv_file", type=new_file, help="Write the rows for a spreadsheet.")
@click.option("--json", "json_file", type=new_file, help="Write the sums, for the page of `pondsim report`.")
@units_option
def command(
    design: Path,
    price_file: Path | None,
    write_prices: Path | None,
    results: Path | None,
    existing: Path | None,
    csv_file: Path | None,
    json_file: Path | None,
    system: str,
) -> None:
    """Count what DESIGN is made of, and multiply by your prices.

    No price comes with the program. --write-prices makes a file of blanks to fill in once.
    """
    from pondsim.cli._quantities_text import cost_text, items_text, price_starter, rows_csv  # noqa: PLC0415
    from pondsim.cli._run_costs import cost_data, run_of  # noqa: PLC0415
    from pondsim.design.costs import check_names, estimate  # noqa: PLC0415
    from pondsim.design.quantities import quantities  # noqa: PLC0415
    from pondsim.results import load  # noqa: PLC0415
    from pondsim.scenario.read import read_scenario, read_section  # noqa: PLC0415
    from pondsim.scenario.settings import Prices  # noqa: PLC0415

    if existing is not None and results is None:
        raise ScenarioError("--existing stands alone; give --results of the design too")
    _check_files(design, price_file, write_prices, csv_file, json_file)
    scenario = read_scenario(design)
    items = quantities(scenario)
    if not items:
        raise ScenarioError(f"{design}: has nothing to count: no equipment, dredging or treatment")
    currency = "$" if scenario.tariff is None else scenario.tariff.currency
    prices = Prices(currency=currency) if price_file is None else read_section(price_file, Prices)
    with of_file(price_file):
        check_names([items], prices)
    if scenario.tariff is not None and prices.currency != currency:
        raise ScenarioError(
            f'{price_file}: currency = "{prices.currency}", that of the tariff is "{currency}"; write one'
        )
    run = None if results is None else run_of(load(results), None if existing is None else load(existing))
    with of_file(price_file):
        found = estimate(items, prices, run, system)
    texts = {
        write_prices: price_starter(scenario, items, currency, system),
        csv_file: rows_csv(found, prices.currency),
        json_file: json_text(cost_data(scenario.title, found, prices.currency)),
    }
    words = items_text(scenario.title, items, system)
    click.echo(words if price_file is None else cost_text(scenario.title, found, prices, system))
    for path, text in texts.items():
        if path is not None:
            write_text(path, text)
            click.echo(f"Written to {path}.", err=True)


def _check_files(
    design: Path, price_file: Path | None, starter: Path | None, csv_file: Path | None, json_file: Path | None
) -> None:
    """Refuse what cannot be written, or would write over an input or a file of prices."""
    from pondsim.cli._places import check_places  # noqa: PLC0415

    check_places([starter, csv_file, json_file], [design])
    for path in (csv_file, json_file):
        if path and price_file and path.resolve() == price_file.resolve():
            raise ScenarioError(f"{path}: is an input of this command; choose another file to write")
    if json_file is not None and price_file is None:
        raise ScenarioError("--json holds sums of money; give --prices")
    if starter is not None and starter.exists():
        raise ScenarioError(f"{starter}: is there already; prices are not written over")
