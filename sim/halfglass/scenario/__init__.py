"""Scenario text to a checked, frozen scenario.

`toml_text` reads a TOML file and knows the line and column of every entry; `fields` holds the
dimensional field types and turns every refusal into a located, plainly worded fault.
"""
