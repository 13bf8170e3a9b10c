"""What a design file describes, computed without a run: the design sheet and remarks on it."""
