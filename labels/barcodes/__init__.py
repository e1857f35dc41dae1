"""Bars and 2D symbols as vectors on the printer dot grid."""
