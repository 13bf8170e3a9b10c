"""From the loop's arrays to a described dataset: provenance, mass balance, meters, bill, warnings."""
