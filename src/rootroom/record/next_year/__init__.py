"""The plan of the year after, made from this one and its record."""
