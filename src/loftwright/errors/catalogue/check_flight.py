"""Warnings of `check` about stability, the payload, and what opens when."""

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        code="check-no-fins",
        title="The vehicle has no fins.",
        meaning="There is no [[fins]] table. The documents may describe a bottle for the test "
        "stand; stability is not given then.",
        why="A bottle without fins tumbles as soon as it leaves its guide.",
        mend="Nothing, if it stays on the stand. Else add fins.",
        example='[[fins]]\ncount = 4\nroot_chord = "150 mm"\ntip_chord = "90 mm"\n'
        'span = "120 mm"\nsweep = "70 mm"\nthickness = "3 mm"\nfrom_nose = "770 mm"',
    ),
    Entry(
        code="check-unstable",
        title="The air acts ahead of the balance.",
        meaning="Without water, the point where the air acts (after Barrowman) lies nearer to "
        "the nose than the balance point does.",
        why="Any small angle to the wind then grows: the vehicle tumbles, close to the ground "
        "and in any direction.",
        mend="Larger fins, fins further aft, or weight in the nose. Do not fly it like this.",
        example='# weight in the nose\n[[part]]\nname = "nose weight"\nmass = "40 g"\n'
        'from_nose = "20 mm"\nlength = "30 mm"',
    ),
    Entry(
        code="check-stability-low",
        title="The stability is below one calibre.",
        meaning="Without water, the air acts less than one body diameter behind the balance "
        "point. Where only the payload brings it below one, the payload is named.",
        why="One calibre is the custom of the trade. It covers the errors of the method (about "
        "a twentieth of the length) and of a measured balance.",
        mend="Larger fins, fins further aft, weight in the nose, or a payload further forward.",
        example='[carried]\nfrom_nose = "400 mm"   # ahead of the balance point',
    ),
    Entry(
        code="check-stability-full",
        title="The stability is lost, or low, while the water is in.",
        meaning="With water, the air acts less than one body diameter behind the balance point, "
        "or ahead of it; without water there is enough.",
        why="Water at the tail moves the balance aft. It leaves within a tenth of a second or "
        "two, partly on the guide, so many vehicles fly well like this; but a side wind, a bent "
        "guide or a payload on one side turns them a little in that time.",
        mend="A longer guide, less water, a longer body with weight in the nose, or fins "
        "further aft. See in forecast how far it leans.",
        example='[launch]\nguide_length = "1.2 m"',
    ),
    Entry(
        code="check-stability-high",
        title="The stability is above five calibres.",
        meaning="The air acts more than five body diameters behind the balance point.",
        why="Such a vehicle turns into every wind at once, flies upwind, and swings.",
        mend="Smaller fins, or launches in little wind.",
        example='[[fins]]\nspan = "90 mm"   # was 140 mm',
    ),
    Entry(
        code="check-hold-weak",
        title="The hold of the payload is weaker than the boost asks.",
        meaning="[hold] strength is less than the payload's mass times the acceleration that the "
        "static thrust 2 A p gives: at liftoff (a sure bound), or, roughly, as the last water "
        "leaves, when the vehicle is lightest.",
        why="The payload leaves early, at high speed, beside the fins.",
        mend="Carry the push in a shelf or a pocket under the payload so that the hold only "
        "keeps it there, or make the hold stronger, and pull on it to see. Less pressure or more "
        "mass also lowers the load.",
        example='# doubtful for a 28 g glider at 75 psi\n[hold]\nstrength = "11 N ± 1 N"\n\n'
        '# better\n[hold]\nstrength = "35 N ± 3 N"',
    ),
    Entry(
        code="check-hold-untested",
        title="Nobody has pulled a retainer in a direction that it bears.",
        meaning="The kind of the retainers says that they bear a load in this direction, and none "
        "of them has a strength for it. It is not judged then, or only by friction.",
        why="Holds fail in the direction that nobody tried.",
        mend="Pull with a luggage scale, several times, and write the mean and the spread.",
        example='[[retainer]]\nkind = "hook"\nalong = "18 N ± 2 N"\npeel = "9 N ± 1 N"',
    ),
    Entry(
        code="check-release-never",
        title="What lets the payload go cannot come.",
        meaning="The climb speed is higher than all the work of the air could give the empty "
        "vehicle, or the time lies after it is down for certain. Both are generous bounds.",
        why="The forecast flies it as it is written: the payload stays on, or is let go the moment "
        "that the push ends.",
        mend="Give a climb speed that it passes through while it slows down, or an earlier time.",
        example='[release]\nwhen = "climb"\nclimb = "50 ft/s"',
    ),
    Entry(
        code="check-payload-drag",
        title="Drag on one side makes the vehicle fly askew.",
        meaning="The payload's drag on its offset is held by the fins at an angle above three "
        "degrees.",
        why="The climb bends towards the payload, and the figures of the forecast grow less "
        "certain.",
        mend="Give the payload a fairing, carry it closer, or enlarge the fins.",
        example='[carried]\ndrag_coefficient = "0.4 ± 0.1"   # with a fairing',
    ),
    Entry(
        code="check-release-fast",
        title="The glider is let go so fast that its wings carry many times its weight.",
        meaning="Lift at the release speed, at the gliding lift coefficient, is more than "
        "fifteen times the weight. A hard throw by hand is about ten.",
        why="Folding wings break or flutter, or the glider loops into the vehicle.",
        mend="Let it go at a lower climb speed, or test the wings to that load.",
        example='[release]\nwhen = "climb"\nclimb = "50 ft/s"',
    ),
    Entry(
        code="check-release-late",
        title="The canopy opens before the payload is let go.",
        meaning="By their triggers and delays the payload is still on when the canopy opens. "
        "Triggers of different kinds are not compared.",
        why="Lines and cloth catch the payload.",
        mend="Let the payload go while climbing, or open the canopy at the top.",
        example='[release]\nwhen = "climb"\nclimb = "50 ft/s"\n\n[canopy]\nopens = "apogee"',
    ),
    Entry(
        code="check-no-canopy",
        title="Nothing brakes the fall.",
        meaning='There is no [canopy], or it opens "never".',
        why="Even a light vehicle falling freely hits harder than the thresholds that rules for "
        "small unmanned aircraft take as harmless (11 ft lbf, 14 CFR 107.120).",
        mend="Add a canopy. If the ballistic return is meant, clear the whole field; forecast "
        "gives speed and energy at the ground.",
        example='[canopy]\ndiameter = "30 in"\nopens = "apogee"',
    ),
)
