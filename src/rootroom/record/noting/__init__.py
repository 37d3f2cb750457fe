"""Notes as they come: written on the command line, answered on a screen, handed back by a phone."""
