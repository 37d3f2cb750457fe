"""Charts as SVG, in one plain style that reads without colour."""
