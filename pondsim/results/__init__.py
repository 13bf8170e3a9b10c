"""Results as a described dataset, and that dataset as a file on disk and back."""

from pondsim.results.declared import RESULTS_FORMAT, Variable, describe, variables
from pondsim.results.read import load
from pondsim.results.write import check_writable, save, written_beside

__all__ = [
    "RESULTS_FORMAT",
    "Variable",
    "check_writable",
    "describe",
    "load",
    "save",
    "variables",
    "written_beside",
]
