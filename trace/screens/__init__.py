"""The terminal interface. How a page is made: see ``page.py``."""
