"""Compile the kernels into the cache, so that the first plan does not wait for it; says so when there is work to do."""

from __future__ import annotations

import importlib
import importlib.util

from volplane.compiled import cache_is_warm

if importlib.util.find_spec("volplane.bootstrap") is not None and not cache_is_warm():
    print("Compiling the flight mechanics (once, about a minute)...", flush=True)
    importlib.import_module("volplane.bootstrap").warm_kernels()
