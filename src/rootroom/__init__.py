"""Plan a season of up-potting."""
