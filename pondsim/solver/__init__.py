"""The time-stepping scheme, with its source."""
