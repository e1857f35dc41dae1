"""Schema migrations, run in numeric order by playhouse.migrations."""
