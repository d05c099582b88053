"""How do I draw a picture of my own?  Pressure and glass of two plans, in one figure.

Give the file to write as an argument; without one nothing is kept.  (Boat and waters are invented.)

Prints:
    single-handed, hand pump: 6.89 bar, -5 %
    injector: 6.89 bar, 26 %
"""

import sys

import matplotlib

matplotlib.use("Agg")
from matplotlib import pyplot as plt

import halfglass

story = halfglass.load("02-engine-pump-stops")
figure, (pressure, glass) = plt.subplots(2, sharex=True, figsize=(9, 5))
for plan in story.plan_names[:2]:
    timeline = halfglass.run(story, plan).timeline
    hours = timeline.time / 3600
    pressure.plot(hours, timeline.boiler_pressure / 1e5, label=plan)
    glass.plot(hours, 100 * timeline.glass_fraction)
    print(
        f"{plan}: {timeline.boiler_pressure.max() / 1e5:.2f} bar, {100 * timeline.glass_fraction.min():.0f} %"
    )
pressure.set_ylabel("boiler pressure [bar gauge]")
pressure.legend()
glass.set_ylabel("glass [%]")
glass.set_xlabel("hours since lighting up")
if len(sys.argv) > 1:
    figure.savefig(sys.argv[1])
