"""TOML text as tables: slips found and named, and the place of every value."""
