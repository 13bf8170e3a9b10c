"""Settling of particles, and what share of them a pond keeps."""

from __future__ import annotations
