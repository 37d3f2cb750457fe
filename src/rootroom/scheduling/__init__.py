"""Tasks onto days: the scheduling problem in whole numbers, its search, and its proof."""
