"""The smallest equipment that meets a target, by real runs."""
