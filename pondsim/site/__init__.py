"""What is given: the pond, its inflow, the weather, clock hours."""
