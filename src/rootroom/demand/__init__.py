"""How much of each mix the season takes."""
