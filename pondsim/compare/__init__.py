"""Results of several designs -> the difference each makes to the existing pond, measure by measure."""

from pondsim.compare.join import compare
from pondsim.compare.row import Comparison, Row

__all__ = ["Comparison", "Row", "compare"]
