"""The solver behind one door: a small integer problem in, a result with status and bound out."""
