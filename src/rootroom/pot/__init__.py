"""A mix in a container: water, air and weight; lifting; cautions."""
