"""Settling of particles, and what share of them a pond keeps."""

from __future__ import annotations

QUARTZ_EXCESS = 1.65  # density of quartz over that of water, less 1
