"""What every room may use: errors, clock, units, codes, places, settings."""
