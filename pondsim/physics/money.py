"""Interest: what later costs are worth today."""

from __future__ import annotations

Replacements = tuple[tuple[float, float], ...]


def present_worth_factor(rate: float, years: float) -> float:
    """Worth today of one unit of money paid after some years (P/F).

    Parameters
    ----------
    rate : float
        Interest of a year. [1]
    years : float
        [yr]

    Returns
    -------
    float
        [1]

    Notes
    -----
    Valid: rate above -1. Raises: nothing. Source: by definition.
    """
    return (1.0 + rate) ** -years


def series_worth_factor(rate: float, years: int, growth: float = 0.0) -> float:
    """Worth today of one unit paid at the end of each year, growing from year to year (P/A).

    Parameters
    ----------
    rate, growth : float
        Interest and growth of a year. [1]
    years : int
        [yr]

    Returns
    -------
    float
        [1]

    Notes
    -----
    Use a nominal rate with growing prices or a real rate with constant ones, never a mixture. Valid: rate
    above -1. Raises: nothing. Source: by derivation.
    """
    ratio = (1.0 + growth) / (1.0 + rate)
    return sum(ratio**year for year in range(1, years + 1)) / (1.0 + growth)


def capital_recovery_factor(rate: float, years: int) -> float:
    """Equal yearly cost of one unit paid today (A/P).

    Parameters
    ----------
    rate : float
        Interest of a year. [1]
    years : int
        1 or more. [yr]

    Returns
    -------
    float
        [1/yr]

    Notes
    -----
    Raises: nothing. Source: by definition.
    """
    return 1.0 / series_worth_factor(rate, years)


def plan_worth(
    first: float,
    yearly: float,
    rate: float,
    years: int,
    replacements: Replacements = (),
    left: float = 0.0,
    growth: float = 0.0,
) -> float:
    """Present worth of building and keeping something.

    Parameters
    ----------
    first : float
        Paid today. [money]
    yearly : float
        At the end of the first year. [money]
    rate, growth : float
        Interest, and growth of the yearly cost. [1]
    years : int
        [yr]
    replacements : pairs of (years from today, cost)
        [yr], [money]
    left : float
        Worth left at the end. [money]

    Returns
    -------
    float
        [money]

    Notes
    -----
    Raises: nothing. Source: by definition.
    """
    later = sum(cost * present_worth_factor(rate, year) for year, cost in replacements)
    running = yearly * series_worth_factor(rate, years, growth)
    return first + running + later - left * present_worth_factor(rate, years)
