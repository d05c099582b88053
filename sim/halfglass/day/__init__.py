"""The day afloat: SimPy moves people and happenings, and its clock moves the plant."""
