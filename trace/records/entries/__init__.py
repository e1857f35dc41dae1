"""The only writers of the record, one file per kind of thing. Each checks the rules of the record before it writes."""
