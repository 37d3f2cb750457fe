"""Numerical tolerances, each with its reason: what counts as equal, as whole and as nothing.

Shares are relative to the thing compared, unless a unit stands beside them.
"""

from __future__ import annotations

LAST_DIGITS = 1e-12
"""What a few operations on floats lose: each at most 1.1e-16, and products of them some hundred."""

ROUNDING = 1e-9
"""What sums and formulas lose in their last digits, over a million rows too; also [m] and
[mL], of which no tool shows so little. What differs by less is the same figure."""

AS_WRITTEN = 1e-6
"""What a figure loses on its way through a text: answers and records tell six places."""

NINE_PLACES = 10**9
"""The largest denominator of a fraction that a float stands for: prices, packages and shares are
written with fewer digits."""

READ_DIGITS = 10**14
"""A float that was read from a text is off what was written by less than this part of it."""

SAME_SHARE = 1e-3
"""Shares of a mix that differ by less are one recipe: no scoop shows a tenth of a per cent."""

DUST_L = 1e-6
"""Less than this [L], a cubic millimetre, is what sums in another order leave of nothing."""

UNMEASURED = 1e-3
"""Less than this [L, kg or pieces], a millilitre or a gram, nobody measures or walks for."""

UNTOLD = 0.05
"""What is left over is told from this on [L, kg or pieces]; less is a handful at most."""

LEAST_AIR = 1e-6
"""The least share of air pores that a guess leaves, since no curve goes through none."""

SOLVER_WHOLE = 1e-6
"""What the solver takes for whole may be off by so much (its own usual tolerance), and an aim in
whole numbers is proved when its bound is as near."""

SOLVER_TIGHT = 1e-9
"""The same, and how far a row may be missed, where the usual tolerance gave an answer that does not
stand in exact numbers; the solver takes 1e-10 at least."""

SOLVER_BOUND = 1e-4
"""How far the bound of a relaxation may lie over a whole number that is possible: its rows are
summed over thousands of pairs, each kept to within the usual tolerance."""
