"""Values read off a table of an equipment, within the time loop."""

from __future__ import annotations

from pondsim.jit.compiled import compiled_for_loop
from pondsim.site.pond import FloatArray


@compiled_for_loop
def on_line(places: FloatArray, values: FloatArray, place: float) -> float:
    """Value at a place: straight lines between the rows, the first or last value beyond them.

    `places` rises; both have the same length, 1 at least.
    """
    last = places.size - 1
    if place <= places[0]:
        return values[0]
    if place >= places[last]:
        return values[last]
    low, high = 0, last
    while high - low > 1:
        middle = (low + high) // 2
        if places[middle] <= place:
            low = middle
        else:
            high = middle
    share = (place - places[low]) / (places[high] - places[low])
    return values[low] + share * (values[high] - values[low])
