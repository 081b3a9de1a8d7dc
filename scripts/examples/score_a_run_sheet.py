"""From readings to scores with their uncertainty."""

from pathlib import Path

import articulate

sheets = Path(__file__).resolve().parents[2] / "vehicle_specs_demo" / "run_sheets"
answer = articulate.score(sheets / "wagon_run_sheet.toml")
for case in answer.found.cases:
    print(f"{case.side:5s} {case.bars:9s} {case.score.value:6.1f} ± {case.score.u:.1f} (one standard uncertainty)")
