"""An invented season of an invented smokehouse, built only through ``lotwake.trace.actions``."""
