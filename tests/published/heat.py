"""Beside pondsim.physics.heat: published forms that serve tests alone."""

from __future__ import annotations

from pondsim.physics.heat import surface_heat_loss


def equilibrium_temperature(
    absorbed: float, air_temperature: float, air_vapour: float, wind2: float, pressure: float
) -> float:
    """Water temperature at which the surface loses as much heat as it absorbs.

    Parameters
    ----------
    absorbed : float
        Short-wave plus long-wave radiation absorbed. [W/m2]
    air_temperature : float
        At 2 m. [K]
    air_vapour : float
        Vapour pressure of the air. [Pa]
    wind2 : float
        Wind 2 m above the water. [m/s]
    pressure : float
        Air pressure. [Pa]

    Returns
    -------
    float
        Equilibrium temperature, found by bisection between -40 and 90 degC. [K]

    Notes
    -----
    Valid: open water. Raises: nothing; without a root, the nearer end comes back. Source: ryan1974.
    """
    low, high = 233.15, 363.15
    for _ in range(60):
        middle = 0.5 * (low + high)
        if surface_heat_loss(middle, air_temperature, air_vapour, wind2, pressure) < absorbed:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
