"""Design storms on the small pond: its land, two storms, and its own inflow taken out."""

NO_INFLOW = (
    '[[inflow]]\nzone = "deep pool"\nstart = "2025-07-04 15:00"\nduration = "6 h"\nvolume = "0.5 acre-ft"\n',
    "",
)
LOT = """
[[drainage]]
name = "lot"
zone = "deep pool"
area = "3 acre"
impervious_share = "40 %"
curve_number = 80
time_of_concentration = "15 min"
"""
TWO_STORMS = """
[rain.synthetic]
total = ["3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in", "3 in"]
storms = ["6", "6", "6", "6", "6", "6", "6", "6", "6", "6", "6", "6"]

[[storm]]
name = "2yr"
start = "2025-07-03 06:00"
depth = "2 in"

[[storm]]
name = "10yr"
start = "2025-07-03 06:00"
depth = "4 in"
"""
