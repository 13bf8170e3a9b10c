"""Results of several designs -> the difference each makes to the existing pond, measure by measure."""

from pondsim.comparison.join import compare
from pondsim.comparison.row import Comparison, Row

__all__ = ["Comparison", "Row", "compare"]
