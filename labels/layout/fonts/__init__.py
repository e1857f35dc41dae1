"""Embedded font files and their licence."""
