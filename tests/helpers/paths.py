"""Where the tests find what they read."""

from pathlib import Path

ROOT = Path(__file__).parents[2]
RULEBOOKS = ROOT / "rulebooks"
SAMPLES = ROOT / "samples"
