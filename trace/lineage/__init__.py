"""Who came from whom: backward, forward, shares."""
