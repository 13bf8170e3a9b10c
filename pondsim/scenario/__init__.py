"""Scenario files: what they may say, and how they become frozen dataclasses in SI."""
