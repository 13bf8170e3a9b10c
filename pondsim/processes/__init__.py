"""What happens in the pond: one file per process, each adding its share to the rates of change."""
