"""Codes of sites that contradict themselves, and of the shapes on their ground."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "site-weak-gust",
        "A gust weaker than the mean wind",
        "The gust is the strongest wind seen beside the mean, so it cannot be below it.",
        "The spread of the wind is reckoned from the difference.",
        "Correct one of the two, or leave gust out.",
        '[wind]\nspeed = "6 mph"\ngust = "10 mph"',
    ),
    Entry(
        "site-low-wind",
        "The wind was measured within the roughness",
        "The height of the measurement is not above the roughness length of the ground.",
        "The wind profile is a logarithm of the height over the roughness; it is zero there.",
        "Roughness is a length of centimetres for grass, up to a metre or two in a town.",
        '[wind]\nat_height = "2 m"\nroughness = "0.03 m"',
    ),
    Entry(
        "site-no-wind-height",
        "The height of the wind is assumed",
        "The wind has a speed, and at_height does not say how high above ground it was "
        "measured; 2 m is taken.",
        "A wind of 5 m/s at 10 m over grass is 3.6 m/s at 2 m. Taken the wrong way round, "
        "everything drifts 40 % too far.",
        "Say how high the reading was taken: about 2 m in the hand, 10 m for a weather station.",
        '[wind]\nspeed = "6 mph"\nat_height = "2 m"',
    ),
    Entry(
        "site-corner",
        "A corner that cannot be read",
        "A corner is one text with two numbers in it and one comma between them: east and "
        "north of the pad, or latitude and longitude.",
        "A corner that is guessed moves the edge of what is safe.",
        "Write both numbers with their units, decimals with a point, nothing else.",
        '[[shape]]\ncorners = ["40 m, -20 m", "40 m, 60 m", "-30.5 m, 60 m"]',
    ),
    Entry(
        "site-corner-mixed",
        "Metres beside degrees",
        "Within one shape some corners are given from the pad, others as latitude and longitude.",
        "One of the two is probably a slip; the shape would reach across the world.",
        "Write all corners of a shape one way.",
        'corners = ["40.00012 deg, -100.00045 deg", "40.00093 deg, -100.00046 deg", '
        '"40.00092 deg, -99.99931 deg"]',
    ),
    Entry(
        "site-few-corners",
        "Too few corners",
        "An area needs three corners at least, a line two.",
        "Nothing can be inside it.",
        "Add the corners that are missing. A road or a ditch may be a line along its "
        "middle: give its width.",
        '[[shape]] name = "Farm road" kind = "road" width = "5 m" corners = ["-80 m, 40 m", '
        '"90 m, 55 m"]',
    ),
    Entry(
        "site-corner-twice",
        "The same corner twice",
        "Two corners of a shape are the same place.",
        "One of them is probably meant to be elsewhere.",
        "Leave one out. A shape closes itself: its first corner is not written again at the end.",
        'corners = ["0 m, 0 m", "40 m, 0 m", "40 m, 30 m"]',
    ),
    Entry(
        "site-crossing",
        "A shape that crosses itself",
        "Two edges of the shape meet where no corner is shared.",
        "It has no clear inside: a landing may count for the wrong side.",
        "Give the corners in turn, as you would walk round it. A shape in two parts is two shapes.",
        'corners = ["0 m, 0 m", "40 m, 0 m", "40 m, 30 m", "0 m, 30 m"]',
    ),
    Entry(
        "site-no-area",
        "Corners that enclose nothing",
        "All corners lie on one line.",
        "Nothing can be inside it.",
        "Give corners that go round it, or, for a road or a ditch, a line along its middle "
        "and a width.",
        'width = "5 m"\ncorners = ["-80 m, 40 m", "90 m, 55 m"]',
    ),
    Entry(
        "site-far-corner",
        "A corner beyond reach",
        "A corner lies more than 20 km from the pad.",
        "Nothing that flies here lands there, so a unit, a sign or an order is wrong.",
        "Look at the unit. Latitude comes first, longitude second; south and west are "
        "negative. The pad itself stands under [place].",
        '[place]\nlatitude = "40.0 deg"\nlongitude = "-100.0 deg"',
    ),
    Entry(
        "site-no-height",
        "Trees without a height",
        "Trees and buildings need the height of their top above the pad.",
        "They catch what flies into them below it, not only what comes down on them.",
        "Estimate it, with its uncertainty; a stick held upright at arm's length measures "
        "it well enough.",
        '[[shape]]\nname = "North wood"\nkind = "trees"\nheight = "12 m ± 2 m"',
    ),
    Entry(
        "site-same-name",
        "Two shapes with one name",
        "Two shapes of the site have the same name.",
        "Chances are told by name: nobody could tell which is meant.",
        "Give each a name of its own.",
        'name = "North wood"',
    ),
    Entry(
        "site-pad-outside",
        "The pad outside the field",
        'No shape of kind "field edge" holds the pad.',
        "The chance to land inside the field would be that of another field.",
        "Correct the corners: they count east and north from the pad, west and south "
        "negative. A pad that does stand outside may stay so.",
        'corners = ["60 m, -40 m", "60 m, 80 m", "-50 m, 80 m", "-50 m, -40 m"]',
    ),
    Entry(
        "site-pad-caught",
        "The pad inside trees or a building",
        "A shape that catches what flies into it holds the pad.",
        "Nothing could leave the pad.",
        "Correct the corners, or cut the clearing out of the shape.",
        'corners = ["40 m, -20 m", "40 m, 60 m", "70 m, 60 m"]',
    ),
)
