"""Comparison and figures -> one page."""
