"""What nature does: pure functions, SI in and out.

Functions marked compiled serve the time loop. They never check their input: the scenario does that before
the run. "Raises: nothing" in a docstring means that input outside the stated range gives a wrong number.
"""

from typing import Any, TypeAlias

Array: TypeAlias = Any  # a float or a numpy array; several inputs broadcast together
