"""The calculations of the bench: what each takes, and its answer with formula, source and caution."""
