"""One file per thing a person does: load, decide, save."""
