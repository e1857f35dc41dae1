"""Example scheduled processes (common practice), as files a house reads, changes to its own and adopts."""
