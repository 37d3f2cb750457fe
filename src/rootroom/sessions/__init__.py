"""Which work on which day: the session problem, its answers, and their proof."""
