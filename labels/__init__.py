"""Labels: GS1 data, bars, layout and print checks. Imports nothing of ``lotwake.trace``."""
