"""Questions asked on a terminal, each answer checked at once."""
