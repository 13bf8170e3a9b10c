"""How sinking water is shared out in the second pond, and how the edge of its mixed layer advances."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.optimize import isotonic_regression

from tests.engine import independent_physics as nature
from tests.engine.independent_pond import SALT, T


def smooth(x):
    x = np.clip(x, 0, 1)
    return x * x * (3 - 2 * x)


def mixed_layer(m, water):
    """Sinking water and the edge of the mixed layer; `water` is the gain of each box [m3/s]."""
    gain = m.amount - m.c * water[:, None]
    for column in m.pond.columns:
        top_down = list(column[::-1])
        share, reach, step = shares(m, top_down)
        held = share * m.shape.volume[top_down]
        touched = int((held > 0).sum())
        boxes, held = top_down[:touched], held[:touched]
        slope = nature.density_slope(np.average(m.c[boxes, T], weights=held))
        growth = slope * gain[:, T] + 0.76 * gain[:, SALT]
        pools = isotonic_regression(growth[boxes] / m.shape.volume[boxes], weights=held).blocks
        for first, end in pairwise(pools):
            inside = range(first, end)
            volume = held[first:end].sum()
            warmer = (share[inside] * gain[boxes[first:end], T]).sum() / volume
            denser = (share[inside] * growth[boxes[first:end]]).sum() / volume
            carried = above = 0.0
            for i in inside:
                b = boxes[i]
                m.amount[b, T] += share[i] * (warmer * m.shape.volume[b] - gain[b, T])
                if i > first:
                    exchange_with(m, boxes[i - 1], b, carried, reach[i], step[i])
                    faster = denser - growth[b] / m.shape.volume[b]
                    deepest = i == len(top_down) - 1
                    if reach[i] < 1 and faster > 0 and step[i] > 0 and not deepest:
                        swallow(
                            m,
                            top_down[i - 1 : i + 2],
                            share[i] / reach[i - 1],
                            step[i],
                            above,
                            faster * reach[i - 1],
                        )
                carried += share[i] * (growth[b] - denser * m.shape.volume[b])
                above += held[i]


def shares(m, boxes):
    """Mixed share of each layer, how far the mixed layer reaches, and its step of density; top first."""
    share, reach, step = np.zeros((3, len(boxes)))
    share[0] = reach[0] = 1.0
    for i in range(1, len(boxes)):
        before = share[:i] * m.shape.volume[boxes[:i]]
        light = min(np.average(m.rho[boxes[:i]], weights=before), m.rho[boxes[i - 1]])
        step[i] = max(m.rho[boxes[i]] - light - 1e-5, 0)
        deepest = i == len(boxes) - 1
        graded = m.s.mixing.stopping_step if deepest else max(bottom_density(m, boxes[i:]) - light, 0.005)
        mixed = max(1 - 2 * step[i] / graded, 0)
        share[i], reach[i] = mixed * reach[i - 1], smooth((mixed - 0.8) / 0.2) * reach[i - 1]
        if reach[i] <= 0:
            break
    return share, reach, step


def bottom_density(m, boxes):
    """Density at the bottom of the first of some layers, from it and the next or from those under it."""
    j, k, *deeper = boxes
    edge, middle = m.shape.bottom[j], m.shape.middle
    found = np.interp(edge, [middle[k], middle[j]], [m.rho[k], m.rho[j]])
    if deeper:
        slope = (m.rho[k] - m.rho[deeper[0]]) / (middle[k] - middle[deeper[0]])
        found = max(found, m.rho[k] + slope * (edge - middle[k]))
    return found


def exchange_with(m, upper, lower, carried, reach, step):
    """What sinking water takes along between two layers; of heat not what makes the step of density."""
    area, far = next((area, far) for a, b, area, far, _ in m.shape.faces if (a, b) == (lower, upper))
    largest = m.s.mixing.convective_diffusivity
    square = (nature.G / nature.RHO * max(carried, 0) / area / (3e-5 * largest)) ** (2 / 3)
    apart = m.c[upper] - m.c[lower]
    if reach < 1:
        slope = max(abs(nature.density_slope(m.c[[upper, lower], T].mean())), 0.02)
        apart[T] -= np.sign(apart[T]) * min(step / slope, abs(apart[T]))
    moved = reach * largest * square / (1 + square) * area / far * apart
    m.amount[lower] += moved
    m.amount[upper] -= moved


def swallow(m, boxes, f, step, above, faster):
    """What the edge takes from a layer into the one above it."""
    i, j, k = boxes
    own = m.shape.volume[j]
    flow = faster * (1 - f) ** 2 * own / (2 * step) * smooth(f / 0.2) * smooth((1 - f) / 0.2)
    flow = min(flow, 0.1 / 300 * own)
    rest = (m.c[j] - f * m.c[i]) / max(1 - f, 0.1)
    rest = np.clip(rest, np.minimum(m.c[j], m.c[k]), np.maximum(m.c[j], m.c[k]))
    at_edge = 2 * rest - 0.5 * (m.c[j] + m.c[k])
    at_edge = np.clip(at_edge, np.minimum(m.c[i], rest), np.maximum(m.c[i], rest))
    moved = np.clip(at_edge - m.c[i], -np.maximum(m.c[i], 0), np.maximum(m.c[j], 0))
    moved *= flow * above / (above + f * own)
    moved[T] = 0
    m.amount[i] += moved
    m.amount[j] -= moved
