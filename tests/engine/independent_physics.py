"""Equations of a pond written a second time, in plain Python and SI, with nothing taken from pondsim.

Constants are those of the sources named; where a source leaves a choice open the number is marked "chosen"
and is the one pondsim states.
"""

from __future__ import annotations

import math

import numpy as np

G = 9.80665
RHO = 998.2  # kg/m3, water where a fixed value serves
CP = 4182.0  # J/kg/K
SIGMA = 5.670374e-8
ATM = 101325.0


def density(temperature, salt, solids):
    """Kell 1975 for fresh water; salt 0.76 kg/m3 per g/kg and solids of 2650 kg/m3 (chosen)."""
    t = temperature - 273.15
    top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3
    top = top + 105.56302e-9 * t**4 - 280.54253e-12 * t**5
    fresh = top / (1 + 16.879850e-3 * t)
    return fresh + 0.76 * salt + solids * (1 - fresh / 2650)


def density_slope(temperature):
    """Of fresh water, by differences [kg/m3/K]."""
    return (density(temperature + 0.01, 0, 0) - density(temperature - 0.01, 0, 0)) / 0.02


def vapour_pressure(temperature):
    """Wagner and Pruss 2002 [Pa]."""
    x = 1 - temperature / 647.096
    total = -7.85951783 * x + 1.84408259 * x**1.5 - 11.7866497 * x**3
    total = total + 22.6807411 * x**3.5 - 15.9618719 * x**4 + 1.80122502 * x**7.5
    return 22.064e6 * np.exp(647.096 / temperature * total)


def saturation(temperature, salinity, pressure):
    """Benson and Krause in the form of Standard Methods [kg/m3]."""
    k, t, p = temperature, temperature - 273.15, pressure / ATM
    log = -139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4
    log = log - salinity * (1.7674e-2 - 10.754 / k + 2140.7 / k**2)
    u = np.exp(11.8571 - 3840.70 / k - 216961 / k**2)
    theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t**2
    return 1e-3 * np.exp(log) * p * (1 - u / p) * (1 - theta * p) / ((1 - u) * (1 - theta))


def wind_function(water, water_vapour, air, air_vapour, wind2, pressure):
    """Ryan, Harleman and Stolzenbach 1974 [W/m2/Pa]; cube root rounded off below 0.05 K (chosen)."""
    lift = water / (1 - 0.378 * water_vapour / pressure) - air / (1 - 0.378 * air_vapour / pressure)
    lift = max(lift, 0.0)
    return 0.027 * lift / (lift**2 + 0.05**2) ** (1 / 3) + 0.031 * wind2


def sky(air, air_vapour, cloud):
    """Brutsaert 1975 with cloud, 3 % reflected [W/m2]."""
    emissivity = 1.24 * (air_vapour / 100 / air) ** (1 / 7) * (1 + 0.17 * cloud**2)
    return 0.97 * min(emissivity, 1.0) * SIGMA * air**4


def gas_velocity(temperature, wind10, floor):
    """Cole and Caraco 1998, Schmidt number of Wanninkhof 2014 up to 40 degC, exponent 1/2 [m/s]."""
    t = min(temperature - 273.15, 40.0)
    schmidt = 1745.1 - 124.34 * t + 4.8055 * t**2 - 0.10115 * t**3 + 0.00086842 * t**4
    return (floor + 0.215 * wind10**1.7 / 360000) * math.sqrt(600 / schmidt)


def wind_mixing(depth, wind2, latitude, n2):
    """Henderson-Sellers 1985 [m2/s]."""
    if wind2 <= 0:
        return 0.0
    star = 1.2e-3 * wind2
    decay = 6.6 * math.sqrt(abs(math.sin(latitude))) * wind2**-1.84
    if decay * depth > 300:
        return 0.0
    fade = math.exp(-decay * depth)
    richardson = (-1 + math.sqrt(1 + 40 * max(n2, 0) * 0.16 * depth**2 / (star * fade) ** 2)) / 20
    return 0.4 * star * depth * fade / (1 + 37 * richardson**2)


def background_mixing(area, n2):
    """Hondzo and Stefan 1993 [m2/s]."""
    return 8.17e-4 * 1e-4 * (area / 1e6) ** 0.56 * max(n2, 7.5e-5) ** -0.43


def convection(n2, largest):
    """Half of the largest at N2 = -3e-5 1/s2 (chosen) [m2/s]."""
    x = max(-n2 / 3e-5, 0.0)
    return largest * x**2 / (1 + x**2)


def gravity_exchange(coefficient, width, height, opening, difference):
    """c W h sqrt(g H |d|/rho), H from sill to surface, rounded off at 0.001 kg/m3 (chosen) [m3/s]."""
    root = difference**2 / (difference**2 + 1e-6) ** 0.75
    return coefficient * width * height * math.sqrt(G * opening / RHO) * root


def extinction(background, chlorophyll, mineral, detritus):
    """Riley 1956, Di Toro 1978 [1/m]; kg/m3 in."""
    c = 1e6 * chlorophyll
    return background + 0.0088 * c + 0.054 * c ** (2 / 3) + 52 * mineral + 174 * detritus


def deficit_ratio(waterfall, flow, temperature):
    """Avery and Novak 1978 at 15 degC, Gulliver 1990 for the warmth; deficits of the steps multiply.

    a of the Gameson form, 1.8 in clean water, scales the gain (chosen); the pool is as deep as bubbles go.
    """
    h = waterfall.drop / waterfall.steps
    q = flow / waterfall.width
    assert waterfall.plunge_pool_depth > 0.00433 * (q / 1.139e-6) ** 0.39 * (G * h**3 / (2 * q * q)) ** 0.06
    gain = 0.627e-4 * (G * h**3 / (2 * q * q)) ** 0.445 * (q / 1.139e-6) ** 0.53
    warm, cool = temperature - 293.15, -5.0
    exponent = (1 + 0.02103 * warm + 8.261e-5 * warm**2) / (1 + 0.02103 * cool + 8.261e-5 * cool**2)
    return (1 + gain * waterfall.water_quality / 1.8) ** (exponent * waterfall.steps)


def plane_jet(distance, sheet):
    """Mean dilution of a plane jet, Fischer et al. 1979."""
    return max(0.5 * math.sqrt(distance / sheet), 1.0)


def wave_stress(wind10, fetch, depth, grain):
    """Stress of waves on the bed: Shore Protection Manual 1984, linear waves, Soulsby 1997 [Pa]."""
    ua = 0.71 * wind10**1.23
    d, f = G * depth / ua**2, G * fetch / ua**2
    inner = math.tanh(0.530 * d**0.75)
    height = 0.283 * inner * math.tanh(0.00565 * f**0.5 / inner) * ua**2 / G
    inner = math.tanh(0.833 * d**0.375)
    period = 7.54 * inner * math.tanh(0.0379 * f ** (1 / 3) / inner) * ua / G
    wanted = (2 * math.pi / period) ** 2 * depth / G
    low, high = 0.0, wanted + math.sqrt(wanted) + 1
    for _ in range(80):  # k d by bisection
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle * math.tanh(middle) < wanted else (low, middle)
    if low > 300:
        return 0.0
    velocity = math.pi * height / (period * math.sinh(low))
    if velocity < 1e-9:
        return 0.0
    excursion = velocity * period / (2 * math.pi)
    friction = max(1.39 * (12 * excursion / grain) ** -0.52, 2 * (velocity * excursion / 1e-6) ** -0.5)
    return 0.5 * RHO * friction * velocity**2


def plume(air, tops, bottoms, rho, start, pressure, step=0.1):
    """Integral bubble plume after Wuest et al. 1992, simplified, by the classical Runge-Kutta scheme.

    Returns the water taken from each layer [m3/s], the height it reaches [m] and its density there.
    Entrainment 0.11, slip 0.3 m/s, starting radius 0.1 m and Froude number 1.6 (chosen).
    """
    alpha, slip, radius = 0.11, 0.3, 0.1
    surface = tops[-1]
    z = max(start, bottoms[0])
    k = next(i for i in range(len(tops)) if tops[i] > z)

    def gas(height):
        return air * ATM / (pressure + RHO * G * (surface - height))

    wanted = 2 * 1.6**2 * G * gas(z) / (math.pi * radius)
    roots = np.roots([1, slip, 0, -wanted])
    w = float(roots[np.abs(roots.imag) < 1e-9].real.max())
    v, m, excess = radius**2 * w, (radius * w) ** 2, 0.0  # excess: V (rho_plume - rho of the layer)
    taken = np.zeros(len(tops))
    taken[k] = math.pi * v

    def slopes(height, v, m, excess):
        lift = G * gas(height) / (math.pi * (m / v + slip))
        return 2 * alpha * math.sqrt(m), lift - G * v * excess / (m * RHO)

    while k < len(tops):
        count = max(math.ceil((tops[k] - z) / step), 1)
        h = (tops[k] - z) / count
        for _ in range(count):
            v1, m1 = slopes(z, v, m, excess)
            try:
                v2, m2 = slopes(z + h / 2, v + h / 2 * v1, m + h / 2 * m1, excess)
                v3, m3 = slopes(z + h / 2, v + h / 2 * v2, m + h / 2 * m2, excess)
                v4, m4 = slopes(z + h, v + h * v3, m + h * m3, excess)
                change = h * (m1 + 2 * m2 + 2 * m3 + m4) / 6
                if m + change <= 0:
                    raise ValueError
            except (ValueError, ZeroDivisionError):  # it stops within this step: down to nothing by its slope
                part = min(-0.5 * m / m1, h) if m1 < 0 else h
                v_stop = v + part * v1
                taken[k] += math.pi * (v_stop - v)
                return taken, z + part, rho[k] + excess / v_stop
            dv = h * (v1 + 2 * v2 + 2 * v3 + v4) / 6
            taken[k] += math.pi * dv
            v, m, z = v + dv, m + change, z + h
        z = tops[k]
        if k + 1 < len(tops):
            excess += v * (rho[k] - rho[k + 1])
        k += 1
    return taken, surface, rho[-1] + excess / v
