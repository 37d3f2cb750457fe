"""Each table of a plan file, read into records of the model."""
