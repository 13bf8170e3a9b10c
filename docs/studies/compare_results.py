"""Differences between two results files: `python docs/studies/compare_results.py OLD.nc NEW.nc`.

For every variable of numbers that both hold: the largest difference, that which 99.9 % of values stay below,
and the largest value of the first file. For changes that should move nothing, or little.
"""

from __future__ import annotations

import sys

import numpy as np

from pondsim.results import load

HEAD = f"{'':34}{'largest value':>16}{'largest diff':>16}{'99.9 % below':>16}"


def main(old_file: str, new_file: str) -> None:
    """Print the table, largest relative difference first."""
    old, new = load(old_file), load(new_file)
    rows = []
    for name in old.variables:
        if name not in new.variables:
            continue
        if not all(np.issubdtype(one[name].dtype, np.floating) for one in (old, new)):
            continue
        a, b = old[name].values, new[name].values
        if a.shape != b.shape:
            rows.append((np.inf, f"{name:34} has another shape: {a.shape} and {b.shape}"))
            continue
        both = np.isfinite(a) & np.isfinite(b)
        apart = "" if np.array_equal(np.isnan(a), np.isnan(b)) else "  NaN elsewhere"
        if not both.any():
            continue
        off, size = np.abs(a - b)[both], float(np.abs(a[both]).max())
        printed = f"{name:34}{size:16.6g}{off.max():16.3g}{np.quantile(off, 0.999):16.3g}{apart}"
        rows.append((float(off.max()) / max(size, 1e-300), printed))
    print(HEAD)
    for _, printed in sorted(rows, reverse=True):
        print(printed)
    for name in sorted(set(map(str, old.variables)) ^ set(map(str, new.variables))):
        print(f"{name:34} is in one file only")


if __name__ == "__main__":
    main(*sys.argv[1:3])
