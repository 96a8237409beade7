"""Codes of vehicles that contradict themselves."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

_GEOMETRY = "Balance, stability and drag are reckoned from these places and sizes."

ENTRIES = (
    Entry(
        "vehicle-no-vessel",
        "No vessel",
        "The vehicle has no [[vessel]].",
        "Without a pressurised vessel there is no thrust.",
        "Add at least one, with double brackets.",
        '[[vessel]]\nvolume = "2.0 L"',
    ),
    Entry(
        "vehicle-too-much-water",
        "More water than the vessel holds",
        "The water volume is larger than the volume of all vessels together.",
        "It cannot be poured in.",
        "Correct the water or the vessel. About a third of the volume is a usual fill.",
        '[fill]\nwater_volume = "0.65 L"   # for a 2 L vessel',
    ),
    Entry(
        "vehicle-over-proof",
        "Filled beyond the proof pressure",
        "The fill pressure is higher than the pressure that the vessel held in its water proof "
        "test.",
        "Nobody knows whether the bottle holds. A bottle that bursts throws pieces hard enough to "
        "blind and maim.",
        "Fill to less, or proof-test to more: filled with water, from afar, with eye protection, "
        "nobody near. Follow the rules that apply where you are.",
        'proof_gauge_pressure = "100 psi"\ngauge_pressure = "60 psi"',
    ),
    Entry(
        "vehicle-throat-too-wide",
        "The throat is as wide as the vessel",
        "The throat diameter is not smaller than the inner diameter of the vessel.",
        "The jet's laws need a vessel that narrows to a throat.",
        "Measure the throat; an open bottle neck has about 21.5 mm.",
        'throat_diameter = "21.5 mm"',
    ),
    Entry(
        "vehicle-tube-too-thick",
        "The launch tube does not pass the throat",
        "The tube's outer diameter is larger than the throat.",
        "The vehicle could not slide along it.",
        "Measure both; the tube is a little thinner than the throat.",
        'throat_diameter = "21.5 mm"\nouter_diameter = "21.0 mm"',
    ),
    Entry(
        "vehicle-tube-too-long",
        "The launch tube is longer than the vessel",
        "The tube stands further into the vessel than the vessel is long.",
        "The stroke along the tube sets the first part of the boost.",
        "Give the length inside the vessel, not that of the whole tube.",
        '[launch_tube]\nlength = "250 mm"',
    ),
    Entry(
        "vehicle-nose-too-long",
        "The nose is longer than the body",
        "The overall length in [body] runs from the nose tip to the tail end, so it includes the "
        "nose.",
        _GEOMETRY,
        "Give the overall length in [body].",
        '[nose]\nlength = "160 mm"\n[body]\nlength = "0.85 m"',
    ),
    Entry(
        "vehicle-tail-too-long",
        "Nose and tail are longer than the body",
        "The lengths of nose and tail add up to more than the overall length.",
        _GEOMETRY,
        "Measure the three lengths again.",
        '[nose]\nlength = "160 mm"\n[tail]\nlength = "80 mm"\n[body]\nlength = "0.85 m"',
    ),
    Entry(
        "vehicle-vessel-outside",
        "A vessel that does not fit into the body",
        "The vessel ends behind the tail end, or is wider with its walls than the body.",
        _GEOMETRY,
        "from_nose is the front end of the vessel; [body] diameter is the largest outer one.",
        '[[vessel]]\nfrom_nose = "0.45 m"\nlength = "300 mm"\n[body]\nlength = "0.85 m"',
    ),
    Entry(
        "vehicle-part-outside",
        "A part that does not fit into the body",
        "The part ends behind the tail end of the body.",
        _GEOMETRY,
        "from_nose is the front end of the part, aft of the nose tip.",
        '[[part]]\nfrom_nose = "0 mm"\nlength = "180 mm"',
    ),
    Entry(
        "vehicle-vessel-too-small",
        "The vessel cannot hold its volume",
        "The volume is larger than that of a cylinder of the vessel's diameter and length.",
        "Volume sets the energy, diameter and length the stress in the wall and the water level.",
        "Measure again: fill the bottle with water and weigh it; 1 g is 1 mL.",
        'volume = "2.0 L"\ndiameter = "108 mm"\nlength = "300 mm"',
    ),
    Entry(
        "vehicle-vessel-too-large",
        "The vessel is far larger than its volume",
        "The volume is under a third of the cylinder of the vessel's diameter and length.",
        "It may be a slip of the unit.",
        "See whether volume, diameter and length are in the units you meant.",
        'volume = "2.0 mL"   # probably 2.0 L',
    ),
    Entry(
        "vehicle-wall-too-thick",
        "A very thick wall",
        "The wall is thicker than a tenth of the diameter.",
        "The hoop stress is reckoned for thin walls; with a wall given ten times too thick a "
        "bottle would look ten times as safe as it is.",
        "Measure a cut-off piece with callipers.",
        'wall = "0.30 mm"',
    ),
    Entry(
        "vehicle-fins-outside",
        "Fins behind the tail end",
        "The root of the fins ends behind the tail end of the body.",
        _GEOMETRY,
        "from_nose is the leading edge of the root, aft of the nose tip.",
        '[[fins]]\nfrom_nose = "0.72 m"\nroot_chord = "120 mm"\n[body]\nlength = "0.85 m"',
    ),
    Entry(
        "vehicle-fins-on-nose",
        "Fins on the nose",
        "The leading edge of the root lies on the nose.",
        "Fins that far forward turn the vehicle around, tail first.",
        "See whether from_nose was measured from the nose tip to the leading edge of the root.",
        '[[fins]]\nfrom_nose = "0.72 m"',
    ),
    Entry(
        "vehicle-fins-swapped",
        "The tip is longer than the root",
        "The tip chord is longer than the root chord.",
        "Often the two are swapped; their order moves the point where the air acts.",
        "The root is at the body. Leave it if your fins are so.",
        'root_chord = "120 mm"\ntip_chord = "60 mm"',
    ),
    Entry(
        "vehicle-fins-too-thick",
        "A very thick fin",
        "The fin is thicker than half its root chord.",
        "It may be a slip of the unit; the drag grows with thickness.",
        "Give the thickness of the sheet that it is cut from.",
        'thickness = "2 mm"',
    ),
    Entry(
        "vehicle-balance-outside",
        "The balance point lies outside the vehicle",
        "The measured balance point lies behind the tail end.",
        _GEOMETRY,
        "Balance the dry vehicle on an edge and measure from the nose tip.",
        'balance_from_nose = "0.38 m ± 5 mm"',
    ),
    Entry(
        "vehicle-no-mass",
        "The mass is not known",
        "Neither [mass] dry nor any [[part]] says what the vehicle weighs.",
        "Nothing flies without its mass.",
        "Weigh the vehicle without water and payload, or list its parts.",
        '[mass]\ndry = "186 g ± 1 g"',
    ),
    Entry(
        "vehicle-no-balance",
        "The balance point is not known",
        "Neither [mass] balance_from_nose nor any [[part]] says where the vehicle balances.",
        "Stability is the distance between the balance point and where the air acts.",
        "Balance the dry vehicle on an edge, or list its parts.",
        '[mass]\nbalance_from_nose = "0.38 m ± 5 mm"',
    ),
    Entry(
        "vehicle-mass-disagrees",
        "Measured mass and parts disagree",
        "[mass] dry and the sum of the parts differ: a warning above 2 %, an error above 20 %.",
        "The measured mass counts; the parts still set the moments of inertia.",
        "Weigh again, look for a part that is missing or stands twice.",
        '[mass]\ndry = "186 g"   # the parts should sum to about this',
    ),
    Entry(
        "vehicle-balance-disagrees",
        "Measured balance and parts disagree",
        "[mass] balance_from_nose and the balance of the parts lie apart by more than 2 % of the "
        "body length (a warning), or more than 20 % (an error).",
        "The measured balance counts; the parts still set the moments of inertia.",
        "Measure again, and see whether every part's from_nose is its front end.",
        '[mass]\nbalance_from_nose = "0.38 m"',
    ),
    Entry(
        "vehicle-no-exponent",
        "The exponent is missing",
        'gas = "polytropic" expands by an exponent that you give.',
        "There is no default for it.",
        'Add it, or take the default gas = "moist", which needs none.',
        'gas = "polytropic"\nexponent = "1.25 ± 0.05"',
    ),
    Entry(
        "vehicle-nozzle-ahead",
        "The nozzle lies ahead of the last vessel",
        "The nozzle's exit is given ahead of the front end of the last vessel.",
        "Water flows aft, out of the nozzle.",
        "Measure from the nose tip to the exit, or leave from_nose out.",
        '[nozzle]\nfrom_nose = "0.80 m"',
    ),
    Entry(
        "vehicle-same-name",
        "Two parts of one name",
        "Two parts have the same name.",
        "It may be one part written twice, and its mass counted twice.",
        "Take one out, or give each its own name.",
        'name = "fore bottle"\nname = "aft bottle"',
    ),
)
