"""Warnings of `check` about vessels, fill, fins and the pad."""

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        code="check-no-proof",
        title="A vessel was never proof-tested.",
        meaning="The vessel has no proof_gauge_pressure, so nobody knows that it holds.",
        why="Bottles differ, and glue, scratches, heat and sunlight weaken them. A test with "
        "water stores little energy, so a vessel that fails it does so with a splash; the same "
        "vessel full of air throws pieces. Plain bottles have burst from 8.6 bar (125 psi) on.",
        mend="Fill the vessel with water to the brim, pump it from afar to 1.3 times the pressure "
        "that you will fly at, hold it a minute, look for creep and leaks, and write down what it "
        "held. Test again after every hard landing.",
        example='[[vessel]]\nproof_gauge_pressure = "100 psi"   # for flights at 75 psi',
    ),
    Entry(
        code="check-untested-pressure",
        title="A vessel that was never proof-tested is filled beyond 6 bar.",
        meaning="The fill pressure is above 6 bar gauge (87 psi) and the vessel has no "
        "proof_gauge_pressure.",
        why="Recorded bursts of plain bottles begin at 8.6 bar. Six bar leaves a little room for "
        "a weak one; it is this tool's judgement, not a standard.",
        mend="Proof-test with water first, from afar, or fill less.",
        example='# doubtful, without proof_gauge_pressure\n[fill]\ngauge_pressure = "100 psi"\n\n'
        '# better\n[fill]\ngauge_pressure = "60 psi"',
    ),
    Entry(
        code="check-proof-close",
        title="The proof test was less than 1.3 times the fill pressure.",
        meaning="proof_gauge_pressure divided by [fill] gauge_pressure is below 1.3.",
        why="ASME Boiler and Pressure Vessel Code VIII-1, UG-99(b), tests with water at 1.3 "
        "times the working pressure, so that gauge errors, warming and wear do not eat the "
        "margin. Bottles are no code vessels; the factor is a custom borrowed from there.",
        mend="Test to more, with water and from afar, or fill to at most 0.77 of what was held.",
        example='# doubtful: 90 / 75 = 1.2\nproof_gauge_pressure = "90 psi"\n'
        'gauge_pressure = "75 psi"\n\n# better: 100 / 75 = 1.33\nproof_gauge_pressure = "100 psi"',
    ),
    Entry(
        code="check-high-pressure",
        title="A plain bottle is filled beyond 90 psi.",
        meaning="A vessel of PET is filled above 90 psi (6.2 bar) gauge, though it was tested.",
        why="NASA Glenn Research Center's safety page on water rockets says never to pass 90 psi "
        "with plain bottles. The energy of a burst grows faster than the pressure.",
        mend="Fill less. Flights above it are for wrapped or sleeved vessels, with everybody far "
        "away and behind cover.",
        example='[fill]\ngauge_pressure = "75 psi"',
    ),
    Entry(
        code="check-wall-stress",
        title="The wall of a bottle carries more than stretched PET bears for certain.",
        meaning="The hoop stress, pressure times inner radius over wall thickness, is above "
        "150 MPa.",
        why="Biaxially stretched PET tears at about 150 to 220 MPa (from memory of handbooks). "
        "The wall formula is an upper bound: real bottles often fail at base or neck first.",
        mend="Fill less. If the wall was guessed, measure it: cut an equal bottle open, or weigh "
        "a piece of known area (PET has 1.38 g/cm^3).",
        example='[[vessel]]\nwall = "0.30 mm ± 0.03 mm"   # measured at mid-height',
    ),
    Entry(
        code="check-fill-share",
        title="The water takes an unusual share of the vessel.",
        meaning="Less than a fifth or more than half of the vessel's volume is water.",
        why="Water is what is thrown, air is what throws it. For plain bottles the best share "
        "lies near two fifths and is flat around it. A share outside may be meant, so this is "
        "for information.",
        mend="Try a few shares with forecast and keep the one you like.",
        example='[[vessel]]\nvolume = "2.0 L"\n\n[fill]\nwater_volume = "0.7 L"   # 35 %',
    ),
    Entry(
        code="check-throat-wide",
        title="The throat is too wide for the way the boost is worked out.",
        meaning="The throat is wider than half of the narrowest vessel.",
        why="The water above the throat is taken to sink slowly and its motion to follow the "
        "pressure of the moment. In a wide throat the whole column rushes out at once; the "
        "figures then come out too strong, and far beyond half they mean nothing.",
        mend="Use a reducer, or take speeds and heights of such a vehicle for what they are: "
        "not a forecast.",
        example='# doubtful in a bottle of 108 mm\nthroat_diameter = "60 mm"\n\n# better\n'
        'throat_diameter = "21.5 mm"',
    ),
    Entry(
        code="check-thin-fins",
        title="Fins may be too thin to stay still.",
        meaning="A fin is thinner than one hundredth of its mean chord.",
        why="Thin fins of soft sheet flutter in fast air and can leave. Flutter is not modelled: "
        "neither check nor forecast would show it.",
        mend="Use thicker or stiffer sheet, shorter spans, or a rib, and film the boost.",
        example='# doubtful on a chord of 120 mm\nthickness = "0.8 mm"\n\n# better\n'
        'thickness = "3 mm"',
    ),
    Entry(
        code="check-rough",
        title="The surface is as rough as cast concrete.",
        meaning="[body] roughness is above 0.5 mm.",
        why="Sand roughness raises skin friction. A bottle has about 0.01 mm, painted card "
        "0.03 mm, overlapping tape 0.1 mm; more is usually a slip of the unit.",
        mend="Correct the unit, or leave the field out to take 0.02 mm.",
        example='# doubtful\nroughness = "2 mm"\n\n# better\nroughness = "0.02 mm"',
    ),
    Entry(
        code="check-launch-low",
        title="The guide leans far from the vertical.",
        meaning="[launch] elevation is below 60 degrees.",
        why="A low launch flies far, leaves little height for the canopy, and comes down fast "
        "and flat.",
        mend="Stand the guide at 80 degrees or more, leaning away from people.",
        example='[launch]\nelevation = "86 deg ± 1 deg"',
    ),
    Entry(
        code="check-guide-short",
        title="The vehicle is slow against the wind when the guide lets it go.",
        meaning="At the guide's end the air would meet the vehicle more than 15 degrees from the "
        "side. The speed there is estimated from the static thrust; the wind is the gust, or the "
        "mean where no gust is given.",
        why="Fins then turn it into the wind at once, and it flies off slanted.",
        mend="Use a longer guide or launch tube, less water, more pressure (within the proof "
        "test), or wait for less wind.",
        example='[launch]\nguide_length = "1.2 m"',
    ),
)
