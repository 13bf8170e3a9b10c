"""Constants of nature, SI. Values of one equation stand above their function, the user's in defaults.toml."""

GRAVITY = 9.80665  # m/s2, standard gravity (CGPM 1901)
ZERO_CELSIUS = 273.15  # K
ATMOSPHERE = 101325.0  # Pa
STEFAN_BOLTZMANN = 5.670374e-8  # W/m2/K4 (CODATA 2018)
WATER_HEAT_CAPACITY = 4182.0  # J/kg/K at 20 degC; 4178-4205 between 0 and 40 degC
WATER_DENSITY = 998.2  # kg/m3 at 20 degC, where a fixed value is good enough
ICE_DENSITY = 917.0  # kg/m3 at 0 degC, free of air
FUSION_HEAT = 333550.0  # J/kg, of ice at 0 degC
KARMAN = 0.4
SALINITY_PER_CHLORINITY = 1.80655  # by definition of chlorinity, sea salt
DAY = 86400.0  # s
HOUR = 3600.0  # s
