"""Write the table of docs/measuring.md: what a thousand test mornings with known airplanes give.

python tools/measure_recovery.py [MORNINGS]
"""

from __future__ import annotations

import pathlib
import re
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))

from tests.mornings import Recovery, recovery
from volplane.units import KNOT_MPS

PAGE = pathlib.Path(__file__).resolve().parents[1] / "docs" / "measuring.md"
_BLOCK = re.compile(r"<!-- recovery -->\n.*?<!-- end of recovery -->", re.DOTALL)


def table(found: Recovery) -> str:
    """The counts as a table."""
    rows = [
        ("mornings (seeds 0 on)", f"{found.mornings:,}", ""),
        ("95 % interval of the ratio holds the truth", f"{100.0 * found.ratio_covered_fraction:.1f} %", "92 to 98 %"),
        ("95 % interval of the sink at best speed does", f"{100.0 * found.sink_covered_fraction:.1f} %", "92 to 98 %"),
        ("95 % interval of the best speed does", f"{100.0 * found.speed_covered_fraction:.1f} %", ""),
        (
            "real ratio at the reported speed within 1 % of the best",
            f"{100.0 * found.within_one_percent_fraction:.1f} %",
            "95 % or more",
        ),
        ("typical error (rms) of the ratio", f"{100.0 * found.ratio_error_fraction:.1f} %", ""),
        ("typical error (rms) of the best speed", f"{found.speed_error_mps / KNOT_MPS:.1f} kt", ""),
        ("mornings on which a curve was taken", f"{100.0 * found.curve_fraction:.1f} %", ""),
    ]
    return "\n".join(["| | found | wanted |", "|---|---|---|", *(f"| {' | '.join(row)} |" for row in rows)])


def main() -> int:
    """Count and write."""
    mornings = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    text = PAGE.read_text(encoding="utf-8")
    written = _BLOCK.sub(
        lambda _: f"<!-- recovery -->\n{table(recovery(range(mornings)))}\n<!-- end of recovery -->", text
    )
    PAGE.write_text(written, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
