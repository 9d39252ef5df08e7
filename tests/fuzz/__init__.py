"""Inputs spoilt at random, from seeds: nothing but a plain refusal may come of one that cannot be read."""
