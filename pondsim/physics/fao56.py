"""Daily radiation and evaporation of FAO Irrigation and Drainage Paper 56, in SI.

It is made for grass: water reflects 6 to 8 % of sunlight, grass 23 %. Daily totals are given as daily means.
"""

from __future__ import annotations
