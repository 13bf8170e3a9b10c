"""What passed the outlet, the intake and the inlets: the concentration of the water drawn, step by step."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.processes import constituents as s
from pondsim.processes.levels import LEAST_FLOW
from pondsim.processes.state import State
from pondsim.site.pond import FloatArray

MG_PER_L = 1e3  # mg/L in kg/m3
UG_PER_L = 1e6  # ug/L in kg/m3


def sampled_over_time(states: State, stops: FloatArray, oxygen_per_chlorophyll: float) -> dict[str, Any]:
    """Flow-weighted concentrations between output times, of every constituent that is an output.

    Parameters
    ----------
    states : State
        At the output times.
    stops : (times,) array
        Those times. [s]
    oxygen_per_chlorophyll : float
        Oxygen demand of algae. [kg/kg]

    Returns
    -------
    dict
        Variables ``outlet_...``, ``intake_...`` and ``inflow_...`` of the places that any water passed, in
        the units of variables.toml. A value is that of all water that passed since the output time before,
        so that times the flow it adds up to what the budgets say; NaN where nothing flowed. The first
        repeats the second.
    """
    data: dict[str, Any] = {}
    for number, place in enumerate(s.SAMPLED_AT):
        passed = np.diff(states.sampled[:, number], axis=0)
        flowed = passed[:, s.WATER] > LEAST_FLOW * np.diff(stops)
        if not flowed.any():
            continue
        water = np.where(flowed, passed[:, s.WATER], np.nan)
        found = passed / water[:, None]
        found = np.concatenate([found[:1], found])
        for constituent, kept in enumerate(s.BOXES):
            if kept.output:
                values = found[:, constituent] * kept.factor + kept.offset
                data[f"{place}_{kept.output}"] = (("time",), values)
        algae = found[:, -1]
        organic = (algae * oxygen_per_chlorophyll + found[:, s.DETRITUS]) / s.OXYGEN_PER_DRY_MATTER
        data[f"{place}_chlorophyll"] = (("time",), algae * UG_PER_L)
        data[f"{place}_organic_solids"] = (("time",), organic * MG_PER_L)
        solids = found[:, s.FIRST_CLASS : -1] * MG_PER_L
        data[f"{place}_suspended_solids"] = (("time", "settling_class"), solids)
    return data
