"""The words everything else is written in: units, quantities, faults and sources.

`units` turns text such as ``"75 psi"`` into SI and back, `quantities` names every reading with
its unit, range and meaning, `errors` says where and why an entry was refused, and `sources` lists
the published works cited by key.  Nothing here imports more than the standard library.
"""
