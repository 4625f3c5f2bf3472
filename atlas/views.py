"""Every view and every picture, in the order of the sweep."""

from __future__ import annotations

from atlas import see_bearing, see_brake, see_disc, see_drum, see_hub, see_spindle, see_wheel

SEEN = (see_wheel, see_drum, see_hub, see_bearing, see_spindle, see_brake, see_disc)
VIEWS = {view.name: view for room in SEEN for view in room.VIEWS}
SHOWN = tuple(shown for room in SEEN for shown in room.SHOWN)
