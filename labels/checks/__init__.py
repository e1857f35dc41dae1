"""Is this label fit to print? What markets ask of it, as data, and the check against it. Pure."""
