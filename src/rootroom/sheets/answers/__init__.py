"""What each command prints: plain text within 80 columns, and JSON."""
