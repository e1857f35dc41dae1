"""Bring in the old log book of a house from CSV files: described in ``sheets``, done by ``load``."""
