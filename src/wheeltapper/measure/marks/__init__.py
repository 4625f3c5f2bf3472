"""Marks on a surface, measured in a photo of them beside a printed card.

    seen = place(grey, card, focal_px, radius_m, print_scale, bar_measured)  # radius_m None: a flat face
    seen.reasons            words of gate.REASONS, each with what to do in gate.REMEDIES; none: good enough
    seen.flat               Unrolled: the opening as if peeled off and laid flat
    seen.pose               Pose: to_picture, to_card, doubt_of two points, axis_angle_rad
    marked(seen, card, ends_m)  the same judged again where a person has named the ends of a mark

    measure_mark(flat, ends_m, scale_share, ...)   Mark: the line between two taps, with its doubt
    suggest(flat, axis_rad)  every dark line, to point at only
    same_place(before, after), growth(...)  the same place last year

A card comes from `card_of(wheeltapper.reference.cards.ours("wall"))`. All lengths are metres on the developed surface.
Nothing here says what a mark is.
"""
