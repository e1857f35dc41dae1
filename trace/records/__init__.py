"""What was written down: models, database, migrations, entries (the only writers), queries."""
