"""How are the tables that `halfglass run` writes read into pandas?  (Boat and waters are invented.)

Prints:
    2696 rows from 08:15 to 12:57
    highest boiler_pressure: 6.89 bar gauge
    lowest glass under way: 56 %
    steering    196.4
    firing       44.1
    looking      10.0
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import pandas as pd

with tempfile.TemporaryDirectory() as folder:
    command = [sys.executable, "-m", "halfglass", "run", "01-quiet-lake-day", "--out", folder]
    subprocess.run(command, check=True, capture_output=True)
    timeline = pd.read_csv(Path(folder) / "as-written-timeline.csv", parse_dates=["clock"])
    hands = pd.read_csv(Path(folder) / "as-written-hands.csv")
first, last = timeline.clock.iloc[0], timeline.clock.iloc[-1]
print(f"{len(timeline)} rows from {first:%H:%M} to {last:%H:%M}")
print(f"highest boiler_pressure: {timeline['boiler_pressure [bar gauge]'].max():.2f} bar gauge")
moving = timeline[timeline["boat_speed [kn]"] > 1.0]
print(f"lowest glass under way: {moving['glass_fraction [%]'].min():.0f} %")
minutes = (hands["end [s]"] - hands["start [s]"]).groupby(hands.task).sum() / 60
print(minutes.sort_values(ascending=False).head(3).round(1).to_string(header=False))
