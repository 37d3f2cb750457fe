"""Reading a plan file into frozen records, and checking it."""
