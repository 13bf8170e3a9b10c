"""Three of the pictures of `pondsim plot`, for docs/figures.md."""

from __future__ import annotations

from common import DESIGNS, computed, demo, save

from pondsim.figures.dawn import dawn_by_zone
from pondsim.figures.plan import plan_map
from pondsim.figures.time_depth import time_depth


def main() -> None:
    ponds = {design: computed(demo(design)) for design in DESIGNS}
    save(plan_map(ponds["waterfall_night_air"]), "plan")
    save(dawn_by_zone([ponds["existing"], ponds["waterfall"], ponds["air_all_day"]]), "dawn")
    save(time_depth([ponds["existing"], ponds["waterfall_night_air"]], "deep_pool"), "depth")


if __name__ == "__main__":
    main()
