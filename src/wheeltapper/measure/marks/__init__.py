"""Marks on a surface, measured in a photo of them beside a printed card.

    tags = find_tags(grey, card)                          # corners of the card's tags
    pose = fit_pose(tags, card, size_px, focal_px, radius_m)  # where the camera stood; radius_m None: a flat face
    seen = quality_of(...); reasons_of(seen)              # why the photo should be taken again; none: good enough
    flat = unroll(grey, pose, card)                       # the opening as if peeled off and laid flat

All lengths are metres on the developed surface. Nothing here says what a mark is.
"""
