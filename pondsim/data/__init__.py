"""Tables that the package reads: parameters, variables, criteria, fittings, sources."""
