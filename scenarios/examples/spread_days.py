"""What does each drawn day of a spread say, and what goes with the lowest glass?

The run folder keeps the days in files of eight, a row a day, all in SI.  (Boat and waters are invented.)

Prints:
    16 days, 16 arrived
          lowest_glass  lowest_pressure  fuel_left    arrival
    0.05         0.184       261535.924       31.0   8222.152
    0.50         0.251       396430.151       37.6   9045.226
    0.95         0.296       465783.642       42.4  10266.966
    goes most with the lowest glass: crew.skill (+0.53)
"""

import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

import halfglass

ROWS = ["lowest_glass", "lowest_pressure", "fuel_left", "arrival"]

story = halfglass.load("02-engine-pump-stops")
with tempfile.TemporaryDirectory() as folder:
    result = halfglass.spread(story, members=16, plans=["injector"], folder=folder)
    parts = []
    for path in sorted(Path(folder, "parts").glob("plan-00-*.npz")):
        with np.load(path) as part:
            parts.append(pd.DataFrame({name: part[name] for name in [*ROWS, "outcome"]}))
days = pd.concat(parts, ignore_index=True)

print(f"{len(days)} days, {(days.outcome == 'arrived').sum()} arrived")
print(days[ROWS].quantile([0.05, 0.5, 0.95]).round(3).to_string())
drivers = [one for one in result.plans[0].drivers if one.answer == "lowest_glass" and one.rank_correlation]
strongest = max(drivers, key=lambda driver: abs(driver.rank_correlation))
print(f"goes most with the lowest glass: {strongest.key} ({strongest.rank_correlation:+.2f})")
