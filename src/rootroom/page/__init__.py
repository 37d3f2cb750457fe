"""The page on one's own machine: write a plan, try a change, see what it comes to."""
