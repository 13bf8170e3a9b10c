"""Where and when the report says that bottom water reached the surface."""

import numpy as np

from pondsim.reporting.smell import smell_rows, smell_sentence
from tests.results.ponds import small_pond


def smelling(**hours):
    """A pond with 0.3 mg/L of debt at the surface in some hours of the run by zone, 0.1 else; 0.2 smells."""
    pond = small_pond(smell_debt_mg_per_L=0.2)
    debt = np.full(pond["dissolved_oxygen"].shape, 0.1)
    for zone, when in hours.items():
        place = list(pond["zone"].values).index(zone)
        for hour in when:
            debt[hour, place] = 0.3
    debt[np.isnan(pond["dissolved_oxygen"].values)] = np.nan
    return pond.assign(reduced_substances=(pond["dissolved_oxygen"].dims, debt))


def moment(pond, hour):
    """An hour of the run as the page writes it."""
    found = pond["time"].values[hour].astype("datetime64[m]").item()
    return f"{found:%B} {found.day}, {found:%H:%M}"


def test_every_zone_has_its_hours_its_first_and_its_longest():
    """Four hours and then seven in the pool, three in the arm: by hand."""
    pond = smelling(pool=[*range(28, 33), *range(100, 108)], arm=range(31, 35))
    rows = {row.cells[0].text.us: [cell.text.us for cell in row.cells[1:]] for row in smell_rows("now", pond)}
    assert set(rows) == {"pool", "arm"}
    hours, times, first, longest = rows["pool"]
    # straight lines between results cross 0.2 half an hour before and after
    assert (hours, times) == ("13", "2")
    assert first.startswith(moment(pond, 28)) and longest.startswith(moment(pond, 100))
    assert longest.endswith(f"to {pond['time'].values[107].astype('datetime64[m]').item():%H:%M}")
    assert rows["arm"][1] == "1"
    assert smell_sentence(pond).startswith(f"bottom water reached the surface of pool on {moment(pond, 100)}")
    assert smell_sentence(pond).endswith("2 more times there or elsewhere")


def test_where_it_never_smells_nothing_is_said():
    assert smell_sentence(smelling()) == ""
    assert smell_rows("now", smelling()) == []
