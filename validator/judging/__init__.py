"""A book loaded, an assembly checked, and one report of it: findings, open items, why, margins."""
