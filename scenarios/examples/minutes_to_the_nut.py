"""How many minutes are there once the pump has stopped, for the level of water that was kept?

Nobody feeds after the stop: the minutes are those until the water is out of sight below the bottom nut.
Act on the boat, never wait for a program.  (Boat and waters are invented.)

Prints:
    glass kept %  minutes
              40     25.6
              50     30.7
              60     36.2
              70     40.9
"""

import tempfile
from pathlib import Path

import pandas as pd

import halfglass

text = next(iter(halfglass.load("02-engine-pump-stops").files.values())).decode()
text = text[: text.index("[[plan]]")]
for kept in (40, 50, 60, 70):  # a plan for each value: the scenario is the sweep
    text += f'[[plan]]\nname = "{kept}"\nchange = {{ orders.glass = "{kept} %", orders.low_glass = [] }}\n'

with tempfile.TemporaryDirectory() as folder:
    path = Path(folder) / "sweep.toml"
    path.write_text(text, encoding="utf-8")
    story = halfglass.load(path)

minutes = {}
for plan in story.plan_names:
    nothing = halfglass.run(story, plan).if_nothing_done
    minutes[plan] = nothing.bottom_nut_after / 60 if nothing and nothing.bottom_nut_after else float("nan")
table = pd.Series(minutes, name="minutes").rename_axis("glass kept %").reset_index()
print(table.round(1).to_string(index=False))
