"""What some tests need of the machine; where it is not there they are left out, and named with what they need."""

import os
from importlib.util import find_spec

import pytest

needs_witness = pytest.mark.skipif(find_spec("durable") is None, reason="needs durable-rules, which a C compiler builds for Python before 3.13")
needs_second_core = pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="needs a second core")
