"""Draws the atlas: what good and bad parts look like, rendered from a model. Never part of the product's wheel.

Needs the dev extra (Mitsuba). The pictures it leaves in `wheeltapper/atlas_pictures/` are all the product has of it.
"""

MODEL = "2"  # goes up whenever a picture would come out otherwise
