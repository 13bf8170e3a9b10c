"""Water in full round pipes, through grates and into openings."""

from __future__ import annotations

import math

import numpy as np

from pondsim.constants import GRAVITY
from pondsim.jit.compiled import compiled
from pondsim.physics import Array

LAMINAR, TURBULENT = 2000.0, 4000.0  # Reynolds numbers between which the friction factor is blended
NEWTON_STEPS = 4  # from Haaland's start the second is exact to twelve digits


@compiled
def pipe_velocity(flow: Array, diameter: Array) -> Array:
    """Mean velocity in a full round pipe.

    Parameters
    ----------
    flow : float or (n,) array
        Through the pipe. [m3/s]
    diameter : float or (n,) array
        Inside. [m]

    Returns
    -------
    float or (n,) array
        Velocity. [m/s]

    Notes
    -----
    Valid: any. Raises: nothing. Source: by definition.
    """
    return flow / (0.25 * math.pi * diameter * diameter)


def colebrook(reynolds: Array, relative_roughness: Array) -> Array:
    """Friction factor (Darcy) of turbulent flow in a pipe, smooth to rough.

    Parameters
    ----------
    reynolds : float or (n,) array
        Velocity times diameter over kinematic viscosity. [1]
    relative_roughness : float or (n,) array
        Roughness over diameter. [1]

    Returns
    -------
    float or (n,) array
        f in f L/D V^2/2g. [1]

    Notes
    -----
    Solved to rounding. Valid: reynolds above 4000, roughness below 0.05 diameters; error a few per cent of
    what new pipe shows. Raises: nothing. Source: colebrook1939.
    """
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds
    x = -1.8 * np.log10(rough**1.11 + 6.9 / reynolds)  # 1/sqrt(f), Haaland
    for _ in range(NEWTON_STEPS):
        inside = rough + smooth * x
        slope = 1.0 + 2.0 / math.log(10.0) * smooth / inside
        x = x - (x + 2.0 * np.log10(inside)) / slope
    return x**-2.0


def friction_factor(reynolds: Array, relative_roughness: Array) -> Array:
    """Friction factor (Darcy) at any flow.

    Parameters
    ----------
    reynolds : float or (n,) array
        Velocity times diameter over kinematic viscosity, above 0. [1]
    relative_roughness : float or (n,) array
        Roughness over diameter. [1]

    Returns
    -------
    float or (n,) array
        f in f L/D V^2/2g. [1]

    Notes
    -----
    64/Re below 2000, Colebrook above 4000, between them a smooth blend that no measurement stands behind
    (judgement): losses there are slight. Raises: nothing. Source: colebrook1939.
    """
    laminar = 64.0 / reynolds
    turbulent = colebrook(np.maximum(reynolds, LAMINAR), relative_roughness)
    u = np.minimum(np.maximum((reynolds - LAMINAR) / (TURBULENT - LAMINAR), 0.0), 1.0)
    share = u * u * (3.0 - 2.0 * u)
    return laminar + share * (turbulent - laminar)


def friction_loss(flow: Array, diameter: Array, length: Array, roughness: Array, viscosity: Array) -> Array:
    """Head lost to friction in a full round pipe.

    Parameters
    ----------
    flow : float or (n,) array
        0 or more. [m3/s]
    diameter, length, roughness : float or (n,) array
        Inside; along the pipe; of the wall. [m]
    viscosity : float or (n,) array
        Kinematic, of the water. [m2/s]

    Returns
    -------
    float or (n,) array
        Head. [m]

    Notes
    -----
    Darcy and Weisbach with `friction_factor`. Valid: as that. Raises: nothing. Source: colebrook1939.
    """
    velocity = pipe_velocity(flow, diameter)
    reynolds = np.maximum(velocity * diameter / viscosity, 1e-9)
    factor = friction_factor(reynolds, roughness / diameter)
    return factor * length / diameter * velocity**2 / (2.0 * GRAVITY)


def roughness_from_manning(diameter: float, manning: float) -> float:
    """Roughness of the wall that loses as much head in a full pipe as Manning's n.

    Parameters
    ----------
    diameter : float
        Inside. [m]
    manning : float
        Manning's n. [s/m^(1/3)]

    Returns
    -------
    float
        Roughness at which the fully rough friction factor is 8 g n^2 / (D/4)^(1/3). [m]

    Notes
    -----
    Valid: n from 0.009 to 0.02. Below fully rough flow `friction_loss` adds what the smooth wall loses, some
    5 % at 1 ft/s in a 12 in pipe. Raises: nothing. Source: by derivation, from colebrook1939.
    """
    factor = 8.0 * GRAVITY * manning**2 / np.cbrt(0.25 * diameter)
    return float(3.7 * diameter * 10.0 ** (-0.5 / math.sqrt(factor)))


def velocity_head_loss(velocity: Array, coefficient: Array) -> Array:
    """Head lost in fittings, entrances and exits.

    Parameters
    ----------
    velocity : float or (n,) array
        In the pipe. [m/s]
    coefficient : float or (n,) array
        K, all together. [1]

    Returns
    -------
    float or (n,) array
        K V^2/2g. [m]

    Notes
    -----
    Valid: turbulent flow, fittings some diameters apart. Raises: nothing. Source: by definition.
    """
    return coefficient * velocity**2 / (2.0 * GRAVITY)


def size_change_coefficient(diameter_from: float, diameter_to: float) -> float:
    """Loss coefficient of a sudden change of bore, over the velocity head in the narrower pipe.

    Parameters
    ----------
    diameter_from, diameter_to : float
        Inside, up and downstream. [m]

    Returns
    -------
    float
        (1 - a)^2 where the pipe widens, 0.5 (1 - a) where it narrows, a the lesser area over the greater. [1]

    Notes
    -----
    A taper loses less. Raises: nothing. Source: crane2009.
    """
    narrow, wide = sorted((diameter_from, diameter_to))
    lesser = 1.0 - (narrow / wide) ** 2
    return lesser**2 if diameter_to > diameter_from else 0.5 * lesser


def grate_loss(velocity: Array, open_share: Array) -> Array:
    """Head lost in a grate or trash rack.

    Parameters
    ----------
    velocity : float or (n,) array
        Through the gaps left open. [m/s]
    open_share : float or (n,) array
        Gaps left open over the whole area. [1]

    Returns
    -------
    float or (n,) array
        (1.45 - 0.45 R - R^2) V^2/2g, R the open share. [m]

    Notes
    -----
    Valid: upright bars, water straight on. Raises: nothing. Source: usbr1987; from memory, not verified.
    """
    coefficient = 1.45 - 0.45 * open_share - open_share**2
    return coefficient * velocity**2 / (2.0 * GRAVITY)


@compiled
def minimum_submergence(diameter: Array, velocity: Array) -> Array:
    """Water needed over an intake so that it draws no air through a vortex.

    Parameters
    ----------
    diameter : float or (n,) array
        Of the bell or pipe inlet. [m]
    velocity : float or (n,) array
        Through it. [m/s]

    Returns
    -------
    float or (n,) array
        D (1 + 2.3 V/sqrt(g D)). [m]

    Notes
    -----
    Measured to the rim of a bell facing down. For a pipe facing sideways the reference is not verified: to
    the top of the pipe is safe, to its centre line is the milder reading. Raises: nothing. Source: hi98.
    """
    return diameter * (1.0 + 2.3 * velocity / (GRAVITY * diameter) ** 0.5)
