"""How much steam does a mile cost at each throttle?  (Boat and waters are invented.)

Prints:
     throttle %  kg of steam a mile  knots
             20                7.16   5.22
             24                7.95   5.46
             28                8.68   5.64
             32                9.20   5.73
"""

import tempfile
from pathlib import Path

import pandas as pd

import halfglass

MILE = 1609.344  # m
KNOT = 1852 / 3600  # m/s
WRITTEN = 'throttle = "26 %"'


text = next(iter(halfglass.load("01-quiet-lake-day").files.values())).decode()
rows = []
with tempfile.TemporaryDirectory() as folder:
    for throttle in (20, 24, 28, 32):  # on the first leg; the rest of the day as written
        path = Path(folder) / f"{throttle}.toml"
        path.write_text(text.replace(WRITTEN, f'throttle = "{throttle} %"', 1), encoding="utf-8")
        outing = halfglass.run(halfglass.load(path))
        reached = outing.arrivals[0].at  # s since lighting up
        leg = outing.timeline[(outing.timeline.time < reached) & (outing.timeline.boat_speed > 1.0)]
        seconds = leg.time.diff().fillna(0.0)
        steam = (leg.steam_flow_boiler_engine * seconds).sum()
        way = leg.distance.iloc[-1] - leg.distance.iloc[0]
        rows.append((throttle, MILE * steam / way, way / seconds.sum() / KNOT))
table = pd.DataFrame(rows, columns=["throttle %", "kg of steam a mile", "knots"])
print(table.round(2).to_string(index=False))
