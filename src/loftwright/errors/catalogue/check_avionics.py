"""Warnings of `check` about what senses, decides and acts on board."""

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        code="check-bay-vents",
        title="A bay breathes slowly through its vents.",
        meaning="The bay's volume over the area of its vents is above 50.8 m (2000 inches, the "
        "rule of thumb for compartments of launch vehicles), and in a steady climb its pressure "
        "trails by more than the noise of its barometer. The climb is 50 m/s, or the most that "
        "the air in the vessel has work for if that is less.",
        why="A barometer in such a bay reads heights that are too low while it climbs, and the "
        "top of the flight late. How far it trails grows with the square of volume, of climb and "
        "of one over the area. The noise is asked as well as the rule, because the rule alone is "
        "strict: a bay at its limit trails by 0.15 Pa, about a centimetre.",
        mend="Drill more vents or larger ones, evenly around the body so that wind from one side "
        "evens out, with clean edges.",
        example='# doubtful\n[[bay]]\nvolume = "200 mL"\nvent_count = 1\nvent_diameter = "1 mm"\n\n'
        '# better\n[[bay]]\nvolume = "200 mL"\nvent_count = 4\nvent_diameter = "2 mm"',
    ),
    Entry(
        code="check-port-error",
        title="The air at a bay's vents has not the pressure of the air around.",
        meaning="port_coefficient times the height that the speed is worth, v^2 / (2 g), is above "
        "5 m. The speed is 50 m/s, or the most that the air in the vessel has work for if that is "
        "less. The limit is this tool's judgement: programs sense a liftoff by about twice that.",
        why="Heights are wrong by that at top speed and right again at the top, so the climb that "
        "a program reckons is wrong in between: with a positive coefficient the vehicle seems to "
        "climb on when it slows down.",
        mend="Put the vents where the pressure is that of the air around: on a smooth stretch of "
        "tube, some body widths behind the nose, and not beside fins, steps or a payload.",
        example='# doubtful: at a nose tip\nport_coefficient = "0.9 ± 0.1"\n\n'
        '# better: a smooth tube\nport_coefficient = "0 ± 0.03"',
    ),
    Entry(
        code="check-barometer-range",
        title="A barometer cannot read the air that it flies in.",
        meaning="The pressure at the pad, or that at 300 m above it, lies outside least to most of "
        "the barometer.",
        why="Outside its range a sensor shows its limit or an error, whatever the height: the "
        "program is blind there and only its times are left.",
        mend="Correct least and most from the data sheet; if they are right, take another sensor. "
        "See also whether [air] pressure in site.toml is that at the pad and not that at sea "
        "level.",
        example='[[barometer]]\nname = "baro"\nbay = "nose bay"\nleast = "30 kPa"\n'
        'most = "110 kPa"',
    ),
    Entry(
        code="check-readings-refused",
        title="A program refuses pressures that its barometer will read.",
        meaning="The pressure at the pad, or that at 300 m above it, lies outside least to most of "
        "the program.",
        why="A reading that is refused counts for nothing: the height is carried on from the last "
        "good ones, or never begins.",
        mend="Limits are there against readings that no air can have. 30 to 110 kPa holds every "
        "pad up to a few thousand metres, and every weather.",
        example='# doubtful at a pad at 900 m\nleast = "95 kPa"\nmost = "105 kPa"\n\n'
        '# better\nleast = "30 kPa"\nmost = "110 kPa"',
    ),
    Entry(
        code="check-supply-sags",
        title="A battery may sag too far when actuators move.",
        meaning="Its voltage less resistance times the current of all its controllers and of what "
        "moves, less twice the spread of that, is below the brownout of a controller or the "
        "least_voltage of an actuator. One actuator alone is tried first, then all of them "
        "together: a backup may come at the same moment as what it backs up.",
        why="A controller that browns out starts anew in the air, knows nothing of the flight and "
        "takes the sky for its pad. An actuator below its least voltage stands still.",
        mend="Take a battery of less inner resistance or one of more volts, thicker and shorter "
        "wires, or a second battery for what moves. Measure the resistance from the sag while you "
        "hold the actuators.",
        example='# doubtful: 0.8 A make it sag by 1.2 V\n[[battery]]\nname = "cell"\n'
        'voltage = "3.9 V ± 0.1 V"\nresistance = "1.5 ohm"\n\n'
        '# better\n[[battery]]\nname = "cell"\nvoltage = "3.9 V ± 0.1 V"\n'
        'resistance = "0.25 ohm ± 0.05 ohm"',
    ),
    Entry(
        code="check-accelerometer-range",
        title="An accelerometer cannot read the push of liftoff.",
        meaning="Its range is below the static thrust over the mass at liftoff, which is what a "
        "sensor along the axis feels then.",
        why="It shows its limit through the boost. That is enough to sense a liftoff, if the "
        "program asks for clearly less than the limit; a condition that asks for more never holds.",
        mend="Ask for a push well within the range, or take a sensor of a wider one. Once the "
        "water is nearly out the push is larger still.",
        example='[[accelerometer]]\nname = "accel"\nrange = "32 g"\n\n'
        '# in the program\nwhen = "push > 4 g"',
    ),
    Entry(
        code="check-sampling",
        title="A program samples much more often, or much less often, than its barometer measures.",
        meaning="sample_every of the program and every of the barometer differ by more than a "
        "factor of three. A program that samples less often is left in peace if the sensor's own "
        "filter averages over the values in between.",
        why="When the same value is read many times over, the climb seems to stop and then to "
        "jump, and the gains of a filter that expects fresh values are wrong. When values are "
        "lost, so is the noise that their mean would have taken away.",
        mend="Bring the two together, or let the sensor's own filter do the averaging.",
        example='# doubtful\nsample_every = "10 ms"     # program\nevery = "100 ms"           # '
        'barometer\n\n# better\nsample_every = "20 ms"\nevery = "20 ms"',
    ),
)
