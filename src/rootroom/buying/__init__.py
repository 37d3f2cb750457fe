"""Which packages from whom: the cheapest whole packages, proved, beside ready-made mix."""
