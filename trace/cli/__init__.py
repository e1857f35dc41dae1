"""The same actions from a shell: one file per command."""
