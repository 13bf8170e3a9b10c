"""Results -> the numbers people quote. Pure functions of a dataset; nothing is printed or drawn here."""

from pondsim.measures.books import (
    bed_growth,
    bed_settled,
    electricity,
    hours_run,
    money,
    money_by_system,
    outlet_totals,
    oxygen_budget,
    solids_captured,
    switchings,
)
from pondsim.measures.circulation import (
    age_by_zone,
    has_loop,
    mean_age,
    mean_volume,
    nominal_turnover_days,
    renewed_share,
    replaced_share,
    running_ages,
)
from pondsim.measures.criteria import Criterion, criteria, day_minimum, judge, judge_series
from pondsim.measures.declared import declarations
from pondsim.measures.event import event_measures, event_word
from pondsim.measures.fish import fit_for_fish, fit_share
from pondsim.measures.joined import joined, single
from pondsim.measures.living import Spell, smell_hours, smell_limit, smell_spells, year_numbers
from pondsim.measures.miss import Miss, Score, dawns_read, miss_of, misses_of
from pondsim.measures.places import STATIONS, at_depth, at_elevation, at_station, lowest_bed, water_depth
from pondsim.measures.readings import (
    ReadingFlag,
    ReadSeries,
    computed_at,
    computed_line,
    read_series,
)
from pondsim.measures.series import (
    FINE,
    daily,
    dawn_minimum,
    hours_below,
    longest_run_below,
    peak_words,
    rolling_mean,
    step_hours,
)
from pondsim.measures.sun import sunrise_hour
from pondsim.measures.table import COARSEST, dawn_oxygen, measures_of, minimum_limit, not_judged
from pondsim.measures.windows import hottest_week, largest_storm

__all__ = [
    "COARSEST",
    "FINE",
    "STATIONS",
    "Criterion",
    "Miss",
    "ReadSeries",
    "ReadingFlag",
    "Score",
    "Spell",
    "age_by_zone",
    "at_depth",
    "at_elevation",
    "at_station",
    "bed_growth",
    "bed_settled",
    "computed_at",
    "computed_line",
    "criteria",
    "daily",
    "dawn_minimum",
    "dawn_oxygen",
    "dawns_read",
    "day_minimum",
    "declarations",
    "electricity",
    "event_measures",
    "event_word",
    "fit_for_fish",
    "fit_share",
    "has_loop",
    "hottest_week",
    "hours_below",
    "hours_run",
    "joined",
    "judge",
    "judge_series",
    "largest_storm",
    "longest_run_below",
    "lowest_bed",
    "mean_age",
    "mean_volume",
    "measures_of",
    "minimum_limit",
    "miss_of",
    "misses_of",
    "money",
    "money_by_system",
    "nominal_turnover_days",
    "not_judged",
    "outlet_totals",
    "oxygen_budget",
    "peak_words",
    "read_series",
    "renewed_share",
    "replaced_share",
    "rolling_mean",
    "running_ages",
    "single",
    "smell_hours",
    "smell_limit",
    "smell_spells",
    "solids_captured",
    "step_hours",
    "sunrise_hour",
    "switchings",
    "water_depth",
    "year_numbers",
]
