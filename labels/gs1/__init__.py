"""GS1 keys, element strings, dates and Digital Link. Pure."""
