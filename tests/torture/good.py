"""Good files of every kind, from which hostile ones are made."""

AMENDMENT = """\
format = 1
id = "third"
title = "An amendment to practise on"
extends = "practice"
section_forms = ["#.#", "Ordinance #"]
drop = ["box.full"]
notices = ["Invented for tests."]
in_force_from = 2024-01-01

[term]
wet_place = "'kitchen' in place or 'bathroom' in place"
wet_receptacle = "point == 'receptacle' and wet_place"

[gather.any_gfci]
of = "circuit"
over = "outlet"
any = "device == 'gfci'"

[rule."gfci.anywhere"]
topic = "gfci"
of = "outlet"
cite = ["Ordinance 7", "1.3"]
when = "wet_receptacle and feet_to_sink < 20"
exceptions = [{ cite = "1.4", when = "box_opened", confidence = "memory" }]
needs = "gfci_protected"
disputed = [{ when = "breaker_amps > 20", readings = ["counts", "does not count"] }]
deadlines = [{ programme = "Town", days = 30, confidence = "memory" }]
grade = { word = "severe", confidence = "memory" }
kind = "gap"
defect_when = "year_built >= 1990"
severity = "serious"
says = "No ground-fault protection at {place}."
why = "Water and current."
cure = ["gfci"]
done_by = "qualified person"
confidence = "memory"
source = "invented for tests"
"""

RECORD = """\
format = 1
title = "Practice"

[judged_by]
ruleset = "practice"

[[visit]]
date = 2026-11-10
by = "An inspector"

[dwelling.answers]
year_built = 1974

[[panel]]
id = "A"
note = "In the hall."

[panel.answers]
panel_kind = "breakers"

[[circuit]]
id = "1"
panel = "A"
serves = "kitchen"

[circuit.answers]
breaker = "standard"
breaker_amps = 20
shares_neutral = false

[[circuit]]
id = "2"
panel = "A"
shares_neutral_with = "1"

[[room]]
id = "kitchen"
name = "Kitchen"

[room.answers]
place = ["kitchen"]

[[room]]
id = "hall"
name = "Hall"
photos = ["IMG_1.jpg"]

[[outlet]]
id = "K-1"
room = "kitchen"
circuit = "1"
at = "left of the sink"
fed_from = "panel"
order_known_by = "opened"

[outlet.answers]
point = "receptacle"
device = "gfci"
feet_to_sink = 1.5

[outlet.readings]
test_result = "trips"
tester = "correct"

[[outlet]]
id = "K-2"
room = "kitchen"
circuit = "1"
fed_from = "K-1"
side = "load"
order_known_by = "observed"
cannot_tell = ["tr_mark"]
carried = ["point"]

[outlet.answers]
point = "receptacle"

[[outlet.limit]]
what = "seen only"
reason = "behind the range"

[[outlet]]
id = "H-1"
room = "hall"
circuit = "2"

[[trip]]
at = "K-1"
action = "test button"
went_dead = ["K-1", "K-2"]
stayed_live = ["H-1"]

[[limit]]
subject = "smoke alarms"
reason = "not operated"

[[recheck]]
on = 2026-11-12
of = "outlet"
subject = "K-2"
rule = "tr.everywhere"
severity = "upgrade"
says = "Receptacle without a tamper-resistant mark."
cite = ["2.1"]
outcome = "not checked"
reason = "furniture"

[[finding]]
subject = "K-2"
of = "outlet"
rule = "tr.everywhere"
topic = "tr"
kind = "gap"
severity = "upgrade"
cite = ["2.1"]
says = "Receptacle without a tamper-resistant mark."
confidence = "confirmed"
state = "open"
"""

UNITS = """\
format = 1
title = "Two units"

[judged_by]
ruleset = "third"

[[judged_also]]
ruleset = "practice"

[[unit]]
id = "1"
name = "Ground floor"

[[unit]]
id = "2"

[[panel]]
id = "A"
unit = "1"

[[panel]]
id = "A"
unit = "2"
fed_from = "1/A/9"

[[circuit]]
id = "9"
panel = "1/A"

[[circuit]]
id = "9"
panel = "2/A"

[[room]]
id = "bath"
unit = "1"
name = "Bath"

[[room]]
id = "bath"
unit = "2"
name = "Bath"

[room.answers]
place = ["bathroom"]

[[outlet]]
id = "B-1"
room = "1/bath"
circuit = "1/A/9"

[outlet.answers]
point = "receptacle"

[[outlet]]
id = "B-1"
room = "2/bath"
circuit = "2/A/9"
fed_from = "panel"
"""

CASES = """\
format = 1
ruleset = "third"

[[case]]
about = "kitchen, plain receptacle near the sink"
given = { point = "receptacle", place = ["kitchen"], feet_to_sink = 3, gfci_protected = false }
expect = { "gfci.sink" = "deficient" }
expect_cites = ["1.2", "Ordinance 7", "1.3"]
source = "invented for tests"

[[case]]
about = "a GFCI upstream"
given = { point = "receptacle", room = { place = ["bathroom"] } }
wiring = [
    { id = "G", device = "gfci", test_result = "trips" },
    { id = "here", fed_from = "G", side = "load" },
]
expect = { "gfci.bathroom" = "met" }
expect_topics = { gfci = "met" }
source = "invented for tests"

[[case]]
about = "waits for the mark"
given = { point = "receptacle", place = ["hallway"], feet_to_sink = inf }
expect = { "tr.everywhere" = "undecided" }
waits_for = ["tr_mark"]
trips = [{ at = "here", action = "plug-in tester", went_dead = ["here"] }]
source = "invented for tests"
"""

FIRM = """\
format = 1
name = "Example Inspections"
licence = "HI-0000"
contact = ["Example Street 1, Exampleville"]
sentences = ["We look at what can be reached without moving furniture."]
"""

PLACES = """\
[[place]]
name = "living room"
wall = "12ft, door 3ft, 8ft 6in"
receptacle = ["4ft", "17ft, 18in from wall"]
around = true

[[place]]
counter = "30in, sink 33in behind 4in, 4ft"
receptacle = "6in; 87in"

[[place]]
island = "5ft x 9ft"
outlets = 1

[[place]]
basin = ["24in to 44in", "70in to 90in"]
receptacle = "57in"

[[place]]
garage = 2
outlet = ["bay 1, 48in high", "bay 2, 7ft high"]

[[place]]
outdoors = true
front = "18in"
back = "none"

[[place]]
deck = true
area = "30ft2"
attached = "yes"
outlet = "4ft high"
"""
