"""What passed the outlet, the intake and the inlets: the concentration of the water drawn, step by step."""

from __future__ import annotations

from typing import Any

import numpy as np

from pondsim.processes import constituents as s
from pondsim.processes.levels import LEAST_FLOW
from pondsim.processes.living_rows import LivingRows, box_table
from pondsim.processes.state import State
from pondsim.site.pond import FloatArray

MG_PER_L = 1e3  # mg/L in kg/m3
UG_PER_L = 1e6  # ug/L in kg/m3


def sampled_over_time(
    states: State, stops: FloatArray, oxygen_per_chlorophyll: float, rows: LivingRows, worth: FloatArray
) -> dict[str, Any]:
    """Flow-weighted concentrations between output times, of every constituent that is an output.

    Parameters
    ----------
    states : State
        At the output times.
    stops : (times,) array
        Those times. [s]
    oxygen_per_chlorophyll : float
        Oxygen demand of given algae. [kg/kg]
    rows : LivingRows
        Where phosphorus and grown algae stand among the constituents.
    worth : (2, constituents) array
        Phosphorus and oxygen demand that each constituent holds. [kg/kg]

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
        for constituent, kept in enumerate(box_table(rows)):
            if kept.output and kept is not s.SOLIDS and kept is not s.ALGAE:
                values = found[:, constituent] * kept.factor + kept.offset
                data[f"{place}_{kept.output}"] = (("time",), values)
        algae = found[:, -1]
        living = algae * oxygen_per_chlorophyll
        if rows.grown:
            kinds = slice(rows.algae, rows.algae + rows.kinds)
            living = found[:, kinds] @ worth[1, kinds]
            data[f"{place}_total_phosphorus"] = (("time",), found[:, :-1] @ worth[0] * UG_PER_L)
        organic = (living + found[:, s.DETRITUS]) / s.OXYGEN_PER_DRY_MATTER
        data[f"{place}_chlorophyll"] = (("time",), algae * UG_PER_L)
        data[f"{place}_organic_solids"] = (("time",), organic * MG_PER_L)
        solids = found[:, s.FIRST_CLASS : rows.first] * MG_PER_L
        data[f"{place}_suspended_solids"] = (("time", "settling_class"), solids)
    return data
