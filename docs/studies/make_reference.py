"""The reference pages, written from what the program itself declares: `python docs/studies/make_reference.py`.

docs/scenario.md from the settings and defaults.toml, docs/results.md from variables.toml, docs/measures.md from
measures.toml, docs/constants.md from the constants in the code. And what the report says of limits, pondsim/data/limits.toml, from docs/limits.md; and what pint reads of common units. A test holds
the committed pages against this.
"""

from __future__ import annotations

import ast
import json
import math
import re
import tokenize
import tomllib
from contextlib import suppress
from io import StringIO
from pathlib import Path
from typing import Any

from pondsim.measures.declared import declarations, place_words
from pondsim.processes.state import OXYGEN_PATHWAYS
from pondsim.results import RESULTS_FORMAT, variables
from pondsim.scenario.convert import si_unit
from pondsim.scenario.defaults import default_parameters, default_texts
from pondsim.scenario.fittings_table import entrance_table, fitting_table
from pondsim.scenario.keys import Key, keys_of
from pondsim.scenario.pipe_tables import KINDS, inside_diameters
from pondsim.scenario.settings import Scenario
from pondsim.unit_words import WORDS
from pondsim.units import UnitError, read_by_pint, split
from pondsim.words import MARKS

DOCS = Path(__file__).parents[1]
PACKAGE = DOCS.parent / "pondsim"
BY_HAND = "<!-- written by docs/studies/make_reference.py; change that or the program, not this page -->\n"

SCENARIO_HEAD = """# All keys of a scenario

{mark}
A **site file** says what is given; a **design file** begins with `site = "site.toml"` and says only what differs.
Sections of the design are laid over those of the site key by key; lists with a `name` (`[[zone]]`, `[[aeration]]`)
entry by entry; other lists (`[[inflow]]`) are replaced whole. Leave a section out and what it stands for is off, or
at its defaults.

- Every quantity is a text with its unit: `drop = "4.5 ft"`, `flow = "520 gpm"`. US and SI units alike; a difference
  of temperatures is `"6 delta_degF"`, and `"6 degF"` says the same where a key is a difference: 6 degF more, never 6 degF on the
  scale. Shares are `0.3` or `"30 %"`. Air is standard air: `"1.5 scfm"`.
- Moments are local standard time without summer time: `"2025-06-03 14:00"`.
- An event (storm, design storm, hot spell, bloom crash, outage, treatment, dye, cover, load, dredging) that overlaps the
  period takes effect, cut to the period. One that lies wholly outside is left out, and a remark says so; but dredging
  before the period is done when it begins.
- `hours = ["21:00-08:00"]` may run past midnight; `season = ["05-15 to 09-30"]` includes both days.
- Elevations are above any fixed mark, the same for all.
- A depth is counted from the water surface down, in `[[start.profile]]` only; diffusers and intake have elevations.

`pondsim check DESIGN` reads a file and names every fault by its line. `pondsim schema -o schema.json` lets an editor
complete keys.

A key with no default must be given. *Parameters* (bed, mixing, algae and so on) have their own table at the
end, with the range in which the truth may lie.
"""

SOURCES = """## `[sources]`

Where values come from, by their key. What stands in the files is *stated by the user* in the results and in the report's
appendix, whatever the default's source; with an entry here it carries that text:

```toml
[sources]
bed.oxygen_demand = "three cores, county lab, June 2024"
zone."deep pool".area = "soundings of May 2024"
aeration."pool air" = "the maker's sheet"       # all keys of that unit
```

A source in the site file holds for values of the site file: a design that changes a value drops it, and may give its
own. A source of a key that no file gives is a fault.
"""

OLD_NAMES_HEAD = """## Old names

Read in this version, with a remark; not in the next.

| old | now |
|---|---|
"""

PARAMETERS_HEAD = """## Parameters

Rates and coefficients that nobody measures on an ordinary pond. *Low* and *high* span what is plausible; *allowed* is
what a file may say. Mark: P published and read in text or in a text that quotes it; M published, quoted from memory,
not verified in text; J judgement. Sources are keys of `pondsim/data/references.bib`. What each does to the answer:
[behaviour.md](behaviour.md#what-is-not-known-moves-the-answer).

A zone may have its own `bed_oxygen_demand`, which overrides `bed.oxygen_demand`. `[stormwater]` is not a section: its
rows are the defaults of each `[[inflow]]`. `aeration.transfer_efficiency_fine` and its like are what
`transfer_efficiency` is for each `kind` of diffuser; `aeration.open_flow_blower` and its like make the curve of each
kind of air `source` round its rated point.

"""

FITTINGS_HEAD = """## Fittings

In a list, each with how many: `["2 long radius elbow", "gate valve"]`. fT is Crane's friction factor of fully turbulent
flow in clean steel of that bore: 0.015 at 6 in, 0.013 at 12 in. Marks: L read in the tables of the library fluids,
which quotes the source; M from memory, not verified. The exit of a pipe (K = 1) is added by itself.

"""

PIPES_HEAD = """## Pipes

Inside diameters are those of the standards, outside diameter less two least walls: as tabulated by the library fluids, and for
gravity sewer pipe and corrugated polyethylene in `pondsim/data/pipes.toml`, with source and mark. Corrugated pipe has its own
roughness (Manning's n 0.012) where the file leaves `roughness` at its default. Where the pipe on the yard is none of them write `inside_diameter`.

"""

RESULTS_HEAD = """# The results file

{mark}
`pondsim run DESIGN -o FILE.nc` writes netCDF (results format {format}); `pondsim.load(FILE)` gives the same as an
xarray Dataset, `pondsim export` series for a spreadsheet, and with `--table bill`, `switching` or `events` money and
switching. A file that is damaged, of another program or of another results format is refused in words. A file is written
whole or not at all.

A results file holds all it was made from: design, site, weather, rain and every other table (`input_files`).
`pondsim export FILE.nc --scenario FOLDER` writes them out, with the names in them turned to where they now lie; running the
design from there gives the same numbers.

Dimensions: `time` (local standard time), `zone`, `layer` (0 is the deepest), `settling_class` (slowest first),
`oxygen_pathway`, `unit` (aeration units), `system` (things with an electric meter).

- Layers have the same numbers in all zones. Where a zone has no such layer the value is missing (NaN).
- *mean*: the mean over the output step that ends at the time given, the first value repeats the second; all others
  are values at that moment.
- `time_bounds` in the file says over which span each mean was taken (CF bounds of `time`); `pondsim.load` leaves it out.
- The attribute `units` of a variable is spelled as UDUNITS knows it: standard air as `m3 s-1` (68 degF, 14.696 psi; said in
  `comment`), `kWh` as `kW h`, money as `1` and `h-1` in the currency of the attribute `currency`.
- Box by box values are kept in single precision, the rest in double.
- The file keeps the CF conventions 1.11; the general-purpose checker finds no error (in the slow tests). The `standard_name` of the CF conventions stands only where one truly fits.
- `oxygen_rate` and `oxygen_total` are positive into the water. Their lines: {lines}. Summed over lines they are the
  change of the oxygen in the water.
- `bed_oxygen_demand` is the sediment oxygen demand, met or not; the part that is met is the line `bed_demand`.
- `steady_age_since_waterfall` and `steady_age_since_inflow` are those of the run's mean flows, see
  [method.md](method.md#ages) and their limit in [behaviour.md](behaviour.md#the-far-arm-and-the-deep-water).

## Variables
"""

ATTRIBUTES = {
    "title": "of the design",
    "source, pondsim_version, results_format": "what wrote the file",
    "scenario_text": "the text of the site file and the design file; the files themselves are in `input_files`",
    "history": "when the results were first written",
    "remarks": "what the run says of itself: a JSON list of code, severity, where, numbers ([value, unit]), times and names; pondsim makes the words",
    "start_dependence_days": "days on which a start 2 degC warmer and half as rich in oxygen would still show (0.25 degC"
    " or 0.25 mg/L) somewhere; looked for over 45 days",
    "tolerance, hydraulic_step_s": "numerics of the run",
    "normal_pool_m, latitude_deg, longitude_deg, utc_offset_h": "of the pond",
    "outlet_zone": "zone whose water leaves, empty without an outlet",
    "pump_flow_m3_per_s": "of the loop with the water at normal pool, 0 without one",
    "instruments": "JSON: of each `[[readings]]` name, zone, depth_m or elevation_m, step_s, quantities, services, gap_codes"
    " (how many), outside_period (readings not kept), from_saturation. `reading_instrument` counts them from 0",
    "reading_flags": "JSON: stretches of readings that look wrong: kind, instrument, variable, first, last, count, size (of a"
    " step or drift in the unit of the readings, of a gap or clock in s), error and suggested (of a clock, s). Readings of the kinds"
    " impossible, out_of_water, spike and flat are not scored",
    "events": "moments at which control switched something, a pump tripped or an outage began or ended: a JSON list of time,"
    " system and what",
    "currency, demand_interval_min": "of the tariff, where there is one",
    "criterion, fish_oxygen_mg_per_L, fish_temperature_degC, renewed_within_d, smell_debt_mg_per_L": "what the run is"
    " judged by",
    "own_limits": "JSON: limits of `[[judging.limit]]`, a list: name, quantity, value in mg/L, degC or a share, statistic,"
    " days, place, season, what may exceed",
    "layout": "JSON: connections ([zone, zone, width in m, sill in m]), zones of intake, waterfall, outlet and inflow,"
    " aeration units with their zone and number of diffusers",
    "parameters": "JSON: every parameter as used (key, value, default, low, high, unit, source, mark); what the user stated"
    " has the mark S and his source",
    "sources": "JSON: the source the user gives for values, by key",
    "givens": "JSON: every value of the scenario by kind (equipment, events, tariff, pond) and key, each with its unit: SI, of"
    " a parameter that of its table, empty for words",
    "design_sheet": "JSON: part, what, kind, value [SI] and bounds of every limit of the design sheet that fails or warns,"
    " how many pass, all limits with verdict and source, the circulation line by level of the pond, names of its pipes,"
    " whether a timer lets equipment run in winter",
    "balance_water, balance_heat, balance_oxygen, balance_salt, balance_solids, balance_redox, balance_organic_matter,"
    " balance_phosphorus": "error of each balance over all that came, went or was there at the start",
}

JSON_KEYS = """
## What `pondsim compare ... --json FILE` writes

One object. A number that does not exist is `null`; units are those of `--units`.

| key | what |
|---|---|
| `start`, `end` | first and last moment, `YYYY-MM-DD HH:MM`, local standard time |
| `days` | length of the run in days |
| `units` | `us` or `si` |
| `designs` | title of each design, the existing pond first; all lists by design below have this order |
| `differs_beside_equipment` | by design: `pond`, `events`, `tariff`, each in words what differs from the existing pond beside equipment, or empty |
| `limits` | every limit in force by design and place: `design`, `limit`, `judged`, `place`, `meets`, `windows`, `failing`, `not_judged`, `worst`, `first`, `last`, `effective_number`, `chance` |
| `design_sheets` | by design: `fail`, `warn` (limits in words) and `pass` (their number) of the design sheet, or `null` where there is none |
| `judged` | by design: whether a verdict is given |
| `verdict` | the sentence that opens the comparison |
| `findings` | a paragraph for each design |
| `measures` | a list of rows, see below |
| `notes` | sentences a reader must know |
| `cautions` | of the equipment, one text |

A row of `measures`:

| key | what |
|---|---|
| `key` | name for machines, such as `hours_below_3_top.far_arm` |
| `measure` | what it is, in words |
| `place` | the zone, or what else tells the rows of a measure apart |
| `unit` | unit of `values` and `differences` |
| `values` | by design |
| `differences` | by design: its value less that of the existing pond |
| `ties` | by design: whether the difference is smaller than the computation can tell |
| `falls_short` | by design: whether the value fails the criterion |
| `best` | by design: whether it is the best of the row |
| `better` | `more`, `less`, or `null` where neither is |
"""

AUDIT = """
## Mass balance

For water, heat, oxygen, salt and each settling class, the change of what is in the pond is compared with everything
counted in and out by the same time loop. `balance_redox` is stricter: oxygen less everything that will take oxygen
(carbonaceous demand, bottom oxygen debt, dead algae, organic matter settled since the start) may change only by what
crosses the boundary or by a named loss. A run with any gap above one part in a million is an error (exit code 1), and
no file is written.
"""

MEASURES_HEAD = """# Measures

{mark}
Every number that `pondsim compare`, `pondsim report`, targets of `pondsim size` and their files quote, as declared in
`pondsim/data/measures.toml`. A key with a place is written with a dot: `dawn_lowest_top.far_arm`. *Better*: more or less; where
neither is, no value is marked as best. *Tie*: two values at most this far apart are a tie; where no band is given, two
values that print alike are. *Falls short*: a value beyond this limit is marked `!`; a name is a line of the criteria.

The bands are assumed: the target for what may move, over a season of 138 days, when layers are doubled, steps and tolerance divided by ten,
or a zone cut in two; days and hours in proportion in another run, but not under 1. `pondsim gridcheck` measures those of your pond
([compare.md](compare.md#the-grid-check)). They say nothing of what the inputs leave open.

| key | what it is | unit, shown us / si | better | tie | fails |
|---|---|---|---|---|---|
"""

CONSTANTS_HEAD = """# Constants that are no keys

{mark}
Values that stand in the code because nobody would give them in a file, and that are not read from a published source
word by word. *judgement*: chosen here. *from memory*: published, not verified in text. *common practice*: used in the
trade, no source. *numerics*: keeps the computation sound, moves no answer that counts. Values a user may change are in
[scenario.md](scenario.md#parameters); constants printed with their equation are beside it in the code.

| constant | value | what it is | mark |
|---|---|---|---|
"""
LIMITS_HEAD = """# What the model does not know, for the report.
# Written from docs/limits.md by docs/studies/make_reference.py; change that page.
"""
# Constants whose comment does not say what they are: file, marks by name.
MARKED = {
    "processes/circulation.py": {"TRIP_DEPTH": "judgement"},
    "processes/flows.py": {"N2_SCALE": "judgement"},
    "processes/geometry.py": {"OPENS": "numerics", "CLOSES": "numerics", "THINNEST": "numerics"},
    "processes/levels.py": {"LEAST_N2": "numerics"},
    "processes/settling.py": {"LEAST_FETCH": "judgement"},
    "processes/surface.py": {"UPPER_BED, LOWER_BED": "judgement"},
    "processes/temperature.py": {"OXIDATION_THETA": "from memory; for the debt judgement", "HOTTEST_ALGAE": "judgement"},
    "physics/heat.py": {
        "FREE_CONVECTION": "from memory", "FORCED_CONVECTION": "from memory", "WATER_EMISSIVITY": "from memory",
        "SMOOTHING_K": "numerics",
    },
    "physics/mixing.py": {
        "FRICTION_PER_WIND": "from memory", "CONVECTION_SCALE": "judgement", "EXCHANGE_SMOOTHING": "judgement",
    },
    "physics/plume.py": {
        "ENTRAINMENT": "judgement", "BUBBLE_SLIP": "judgement", "START_RADIUS": "judgement", "START_FROUDE": "judgement",
        "LONGEST_STEP": "numerics",
    },
    "site/pond.py": {"QUICKEST": "numerics", "FILM": "numerics", "LEAST_LAYER": "judgement", "FILM_AREA": "numerics"},
    "site/synthetic.py": dict.fromkeys(
        ("DAY_TO_DAY", "HOUR_TO_HOUR", "TEMPERATURE_SPREAD", "DEW_POINT_SPREAD", "CLOUD_ON_TEMPERATURE",
         "TEMPERATURE_ON_DEW_POINT", "HOURLY_CLOUD", "WIND_BY_DAY", "WIND_BY_HOUR", "STRONGEST_WIND", "WIND_COURSE",
         "WIND_PEAK_HOUR", "COLDEST_HOUR", "WARMEST_HOUR", "CALM_UNDER_CLEAR_SKY", "RANGE_UNDER_CLOUD"), "judgement"),
    "design/waterfall.py": {"WARM": "judgement"},
    "site/air_line.py": dict.fromkeys(("ABOVE_BANK", "FINEST", "STEPS", "BEND", "NARROWEST"), "numerics"),
    "design/sheet.py": {"DEFICIT": "judgement"},
    "design/remarks.py": {
        "LEAST_LAYERS": "judgement", "SHALLOW_DIFFUSER": "judgement",
    },
    "sizing/size_air.py": {"DIFFUSER_PRACTICE": "common practice", "DIFFUSER_MOST": "common practice"},
    "sizing/search.py": {"PRECISION": "judgement"},
    "engine/forcing.py": {"STORM_STEP": "numerics"},
    "measures/places.py": {"TOP_METRE": "judgement", "ABOVE_BED": "judgement"},
    "measures/series.py": {"BEFORE_SUNRISE": "judgement", "AFTER_SUNRISE": "judgement"},
    "comparison/findings.py": {"OLDER": "judgement"},
    "simulate.py": {"START_WARMER": "judgement", "START_POORER": "judgement", "STARTS_AGREE": "judgement",
               "LOOKED_AT": "judgement"},
    "engine/loop.py": {"RENEWED_AT, LEAST_LEFT": "numerics"},
    "engine/scheme.py": {"SAFETY": "numerics"},
    "engine/initial.py": {"FIRST_DAYS": "judgement", "DEFAULT_OXYGEN": "judgement"},
}  # fmt: skip


def scenario_page() -> str:
    """docs/scenario.md."""
    parts = [SCENARIO_HEAD.format(mark=BY_HAND)]
    top = keys_of(Scenario)
    plain = {name: key for name, key in top.items() if key.section is None and key.kind != "sources"}
    parts.append("## At the top of the file\n\n" + _keys_table(plain))
    for name, key in top.items():
        if key.section is not None:
            parts += _section(name, key)
    parts.append(SOURCES)
    parts.append(OLD_NAMES_HEAD + "\n".join(_old_names("", Scenario)) + "\n")
    parts += [PARAMETERS_HEAD + _parameters() + "\n", FITTINGS_HEAD + _fittings(), PIPES_HEAD + _pipes()]
    return "\n".join(parts) + "\n"


def _section(name: str, key: Key) -> list[str]:
    """A section with its keys and the sections within it; nothing for one that holds parameters only."""
    assert key.section is not None
    keys = keys_of(key.section)
    own = {k: one for k, one in keys.items() if not one.parameter and one.section is None}
    given = [f"`{k}`" for k, one in keys.items() if one.parameter]
    inner = {k: one for k, one in keys.items() if one.section is not None}
    title = f"## `[[{name}]]`" if key.kind == "sections" else f"## `[{name}]`"
    words = key.section.__doc__ or ""
    needed = "" if not key.required else " Must be there."
    if not own and not inner:
        return [f"{title}\n\n{words.strip()} Parameters: {', '.join(given)}.\n"]
    text = f"{title}\n\n{words.strip()}{needed}\n"
    if own:
        text += "\n" + _keys_table(own)
    if given:
        text += f"\nParameters: {', '.join(given)}.\n"
    parts = [text]
    for k, one in inner.items():
        parts += _section(f"{name}.{k}", one)
    return parts


def _old_names(before: str, section: type) -> list[str]:
    """A row for each key with an old name, at any depth."""
    rows: list[str] = []
    for name, key in keys_of(section).items():
        if key.was and key.was_shown:
            rows.append(f"| `{before}{key.was}` | `{before}{name}` |")
        if key.section is not None:
            rows += _old_names(f"{before}{name}.", key.section)
    return rows


def _keys_table(keys: dict[str, Key]) -> str:
    rows = ["| key | write | default | range | meaning |", "|---|---|---|---|---|"]
    for name, key in keys.items():
        span = "" if key.least is None or key.most is None else f"{key.least} to {key.most}"
        rows.append(f"| `{name}` | {_write(key)} | {_default(key)} | {span} | {key.doc} |")
    return "\n".join(rows) + "\n"


def _write(key: Key) -> str:
    kinds = {
        "text": "a line of text", "flag": "true or false", "integer": "a whole number", "instant": '`"2025-06-03 14:00"`',
        "hours": '`["21:00-08:00"]`', "season": '`["05-15 to 09-30"]`', "file": "a file name",
        "fittings": "a list of [fittings](#fittings)",
        "texts": 'a list, as `["-9999"]`', "instants": '`["2025-06-03 14:00"]`',
    }  # fmt: skip
    if key.kind in kinds:
        return kinds[key.kind]
    if key.choices == tuple(KINDS):
        return "a [kind of pipe](#pipes)"
    if key.kind == "choice":
        return " or ".join(f'`"{word}"`' for word in key.choices)
    if key.kind == "name":
        return (
            "a name" if key.count == 1 else "a list of names" if key.count is None else f"{key.count} names"
        )
    kind, first, _ = WORDS[si_unit(key)]
    many = {"numbers": "a list, each ", "months": "twelve, each ", "point": "two, each "}
    before = "one or twelve, each " if key.kind == "months" and key.single else many.get(key.kind, "")
    example = f', as `"{first}"`' if key.required and si_unit(key) != "1" else ""
    return before + kind + example


def _default(key: Key) -> str:
    if key.required:
        return "**must be given**"
    if key.default is None:
        return "none"
    if key.kind == "hours":
        return "all day"
    if key.kind == "season":
        return "all year"
    if isinstance(key.default, tuple):
        return ", ".join(str(item) for item in key.default) or "none"
    return str(key.default).lower() if isinstance(key.default, bool) else str(key.default)


def _parameters() -> str:
    rows = [
        "| parameter | default | low | high | allowed | meaning | source | mark |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name, row in default_parameters().items():
        value, low, high = row.texts
        least, most = default_texts(name)["allowed"]
        cells = [f"`{name}`", value, low, high, f"{least} to {most}", row.about, row.source, row.mark]
        rows.append("| " + " | ".join(cells) + " |")
    assert set(MARKS) == {"P", "J", "M", "S"}
    return "\n".join(rows)


def _fittings() -> str:
    rows = ["| name | loss | what | source | mark |", "|---|---|---|---|---|"]
    for table, of in ((fitting_table(), ""), (entrance_table(), "`entrance` ")):
        for one in table.values():
            loss = f"{one.friction_lengths:g} fT" if one.friction_lengths else f"K = {one.loss:g}"
            rows.append(f"| {of}`{one.name}` | {loss} | {one.about} | {one.source} | {one.mark} |")
    return "\n".join(rows) + "\n"


def _pipes() -> str:
    rows = ["| `pipe` | standard | nominal sizes [in] |", "|---|---|---|"]
    for kind, (_, words) in KINDS.items():
        sizes = ", ".join(f"{size:g}" for size in inside_diameters(kind))
        rows.append(f"| `{kind}` | {words} | {sizes} |")
    return "\n".join(rows)


def results_page() -> str:
    """docs/results.md."""
    lines = ", ".join(f"`{line}`" for line in OXYGEN_PATHWAYS)
    text = RESULTS_HEAD.format(mark=BY_HAND, format=RESULTS_FORMAT, lines=lines)
    groups: dict[tuple[str, ...], list[Any]] = {}
    for one in variables().values():
        groups.setdefault(one.dims, []).append(one)
    for dims, members in groups.items():
        text += f"\n### by {', '.join(dims)}\n\n| variable | unit | shown us / si | meaning |\n|---|---|---|---|\n"
        for one in members:
            words = one.long_name + (" (*mean*)" if one.mean else "")
            text += f"| `{one.name}` | {one.units} | {one.us} / {one.si} | {words} |\n"
    text += "\n## Attributes\n\n| attribute | meaning |\n|---|---|\n"
    for names, words in ATTRIBUTES.items():
        text += f"| {', '.join(f'`{name}`' for name in names.split(', '))} | {words} |\n"
    return text + JSON_KEYS + AUDIT


def measures_page() -> str:
    """docs/measures.md."""
    rows = []
    for declared in declarations().values():
        one = declared.template
        place = f".{declared.by.upper()}" if declared.by else ""
        words = re.sub(r" \([^)]*\)", "", one.section + (f": {one.label}" if one.label else ""))
        words = re.sub(r"\{\w+\}", "N", words.replace("{peak}", "highest hourly mean"))
        season = "" if math.isnan(declared.tie_over) else f" in {declared.tie_over:g} d"
        bands = [f"{one.tie:g} {one.unit}".removesuffix(" 1") + season] if one.tie else []
        bands += [f"{100.0 * one.tie_share:g} %"] if one.tie_share else []
        limit = "" if declared.limit is None else str(declared.limit)
        better = {1: "more", -1: "less"}.get(one.good, "")
        units = one.unit if one.unit == one.us == one.si else f"{one.unit}, {one.us} / {one.si}"
        rows.append(f"| `{one.key}{place}` | {words} | {units} | {better} | {' or '.join(bands)} | {limit} |")
    lines = ", ".join(f"`{line}` {place_words('oxygen_pathway', line)}" for line in OXYGEN_PATHWAYS)
    return (
        MEASURES_HEAD.format(mark=BY_HAND) + "\n".join(rows) + f"\n\nLines of the oxygen budget: {lines}.\n"
    )


def constants_page() -> str:
    """docs/constants.md."""
    rows = []
    for path in _used():
        rel = path.relative_to(PACKAGE).as_posix()
        for name, value, words in _constants(path):
            mark = MARKED.get(rel, {}).get(name) or _mark(words)
            if mark:
                rows.append(f"| `{rel}` {name} | {_value(value)} | {_plain(words)} | {mark} |")
    return CONSTANTS_HEAD.format(mark=BY_HAND) + "\n".join(rows) + "\n"


def _used() -> list[Path]:
    """Modules that a run, a design sheet, a comparison or a question of size imports, and nothing that waits for its use."""
    todo = ["simulate", "design.whole", "design.remarks", "comparison", "sizing.by_word", "sizing.search"]
    found: set[Path] = set()
    while todo:
        module = todo.pop()
        path = PACKAGE / f"{module.replace('.', '/')}.py"
        path = path if path.is_file() else PACKAGE / module.replace(".", "/") / "__init__.py"
        if path in found or not path.is_file():
            continue
        found.add(path)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pondsim"):
                inner = str(node.module).removeprefix("pondsim").removeprefix(".")
                names = [f"{inner}.{alias.name}".strip(".") for alias in node.names]
                todo += [inner, *names] if inner else names
    return sorted(found)


def _constants(path: Path) -> list[tuple[str, str, str]]:
    """Name, value as written and comment of every constant at the top of a module."""
    source = path.read_text(encoding="utf-8")
    lines = source.splitlines()
    comments = {
        token.start[0]: token.string.lstrip("# ")
        for token in tokenize.generate_tokens(StringIO(source).readline)
        if token.type == tokenize.COMMENT
    }
    found = []
    for node in ast.parse(source).body:
        if not isinstance(node, ast.Assign):
            continue
        name = ast.unparse(node.targets[0]).strip("()")
        if not re.fullmatch(r"[A-Z0-9_, ]+", name):
            continue
        words = [
            comments[n] for n in range(node.lineno, (node.end_lineno or node.lineno) + 1) if n in comments
        ]
        above = node.lineno - 1
        while above in comments and lines[above - 1].startswith("#"):
            above -= 1
        if not words:
            words = [comments[n] for n in range(above + 1, node.lineno) if n in comments]
        found.append((name, ast.unparse(node.value), " ".join(words)))
    return found


def _mark(words: str) -> str:
    for mark in ("judgement", "from memory", "common practice"):
        if mark in words:
            return mark
    return ""


def _value(text: str) -> str:
    """A value as it is read: no exponent where it can be read without one, no long list."""
    try:
        return f"{float(text):g}"
    except ValueError:
        return text if len(text) < 50 else "a table"


def _plain(words: str) -> str:
    """A comment without its mark."""
    for mark in ("from memory, not verified", "common practice, no source", "judgement"):
        words = re.sub(rf"\s*\({mark}[^)]*\)|[;,:]?\s*{mark}", "", words)
    return words.strip(" ;.").replace("|", "/")


def limits_data() -> str:
    """pondsim/data/limits.toml, which the report shows: two parts of docs/limits.md as data."""
    text = (DOCS / "limits.md").read_text(encoding="utf-8")
    left_out, rest = text.partition("## Left out")[2].split("## Weakly founded")
    rows = [LIMITS_HEAD]
    for item in re.split(r"^- ", left_out, flags=re.MULTILINE)[1:]:
        what, words = re.fullmatch(r"(?:\*\*(.+?)\*\*)?(.*)", " ".join(item.split())).groups()  # type: ignore[union-attr]
        rows.append(f"[[left_out]]\nwhat = {_quoted(what or '')}\nwords = {_quoted(words)}\n")
    for line in re.findall(r"^\|(.+)\|$", rest, re.MULTILINE)[2:]:
        what, why, moves = (_quoted(cell.strip()) for cell in line.split("|"))
        rows.append(f"[[weak]]\nwhat = {what}\nwhy = {why}\nmoves = {moves}\n")
    return "\n".join(rows)


def _quoted(text: str) -> str:
    """A TOML string of a piece of a page, without its marks."""
    plain = re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", text)
    plain = re.sub(r"[*`]", "", plain)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def units_data() -> str:
    """pondsim/data/units_read.json: units that the program and its scenarios write, as pint reads them."""
    written = [text for file in PACKAGE.rglob("*.py") for text in _texts_of_code(file)]
    for file in [*PACKAGE.rglob("*.toml"), *(DOCS.parent / "scenarios").rglob("*.toml")]:
        written += _texts_of(tomllib.loads(file.read_text(encoding="utf-8")))
    texts = set(written)
    for text in written:
        with suppress(UnitError):
            texts.add(split(text)[1])
    rows = {}
    for text in sorted(text for text in texts if text == text.strip()):
        with suppress(UnitError):
            unit = read_by_pint(text)
            rows[text] = [unit.scale, unit.offset, dict(sorted(unit.dimension)), unit.difference]
    return (
        "{\n" + ",\n".join(f"  {json.dumps(text)}: {json.dumps(row)}" for text, row in rows.items()) + "\n}\n"
    )


def _texts_of_code(file: Path) -> list[str]:
    """Every text in a file of code."""
    nodes = ast.walk(ast.parse(file.read_text(encoding="utf-8")))
    return [node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)]


def _texts_of(value: Any) -> list[str]:
    """Every text in a TOML document."""
    if isinstance(value, dict | list):
        values = value.values() if isinstance(value, dict) else value
        return [text for one in values for text in _texts_of(one)]
    return [value] if isinstance(value, str) else []


PAGES = {
    "scenario.md": scenario_page,
    "results.md": results_page,
    "measures.md": measures_page,
    "constants.md": constants_page,
    "../pondsim/data/limits.toml": limits_data,
    "../pondsim/data/units_read.json": units_data,
}


def main() -> None:
    """Write all of them."""
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
