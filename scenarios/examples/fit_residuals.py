"""What is left unexplained once a boat is fitted to a log?  (Boat, waters and log are invented.)

Prints:
    boat.fire.ash_pit_opening: 0.0300 m2 -> 0.0241 m2
    boat.fire.over_fire_opening: 1.74 % -> 1.89 %
    boat.engine.throttle: 60.0 mm2 -> 52.5 mm2
    boat.engine.missing_quantity: 6 -> 8.06
    boat.hull.residuary_factor: 1 -> 0.965
    boat.feed.engine_pump.delivery: 80.0 % -> 75.0 %
      held back, SI  as written   fitted    noise
    boiler_pressure    2.31e+04 7.45e+03 4.89e+03
     glass_fraction      0.0917   0.0183    0.017
        shaft_speed       0.324   0.0291   0.0406
         boat_speed       0.143   0.0367   0.0282
"""

import pandas as pd

import halfglass

story = halfglass.load("01-quiet-lake-day")
result = halfglass.fit(story, "sedge-quiet-lake-day.csv")
for number in result.numbers:
    if number.is_told:
        print(f"{number.key}: {number.texts['written']} -> {number.texts['value']}")

rows = [
    (series.quantity, series.miss("before", held=True), series.miss("after", held=True), series.noise)
    for series in result.series
]
table = pd.DataFrame(rows, columns=["held back, SI", "as written", "fitted", "noise"])
print(table.to_string(index=False, float_format="{:.3g}".format))
