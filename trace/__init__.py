"""Lotwake: landing lots to smoked packs and back."""
