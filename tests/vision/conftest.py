"""The trainer's test is collected only where the `train` extra, and so torch, is installed."""

from importlib.util import find_spec

collect_ignore = [] if find_spec("torch") else ["test_glancer.py"]
