"""Facts of the trade as data files with sources, and typed access to them."""
