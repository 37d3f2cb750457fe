"""Numerical tolerances: what is rounding, and what is too little to count."""

from __future__ import annotations

DUST_L = 1e-6
"""Less than this [L], a cubic millimetre, is what sums in another order leave of nothing."""
