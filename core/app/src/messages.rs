//! The one catalogue of messages: code → what is wrong and what to do, in English. `{name}` is a parameter.
//!
//! Every code that any part of the program can give stands here exactly once; tests hold the list against the
//! sources. A second language is a second table of the same codes.

use crate::language::Language;
use std::collections::BTreeMap;

/// A message: its code, its text, its hint.
pub type Entry = (&'static str, &'static str, &'static str);

/// The catalogue in English, sorted by code.
pub const ENGLISH: &[Entry] = &[
    (
        "area.incomplete",
        "The area cannot be planned yet: its product has no size, or a room of it is not on this device.",
        "Complete the product's face, or bring the rooms together.",
    ),
    ("form.choose", "A field that needs an answer has none.", "Choose one of its answers."),
    (
        "form.no_product",
        "Nothing is laid in this room yet, so nothing asks.",
        "Make an area with a product first.",
    ),
    ("form.ratio", "In a limit of L/n, n must be more than 0.", "Write the n of L/n, such as 360."),
    ("form.name", "What is put in has no name.", "Type its name: lists and papers go by it."),
    ("form.unknown", "There is no form {name}.", "Open the room again."),
    ("form.unknown_choice", "{name} cannot be chosen.", "Choose one of the list."),
    (
        "form.unknown_name",
        "There is nothing named {name} here.",
        "Write names as they stand, with commas between them: {known}.",
    ),
    ("form.unknown_field", "The form has no field {name}.", "Open the room again."),
    (
        "base.nothing_lies",
        "It is not said what lies there.",
        "Look under what can be lifted, and say each layer.",
    ),
    (
        "bring.foreign",
        "This is neither a job sheet nor a hand-over file.",
        "Look whether it is the file that was meant, or have it sent once more.",
    ),
    (
        "bring.too_large",
        "A job sheet of more than {most} bytes is not read.",
        "Look whether it is the file that was meant.",
    ),
    ("device.language", "There is no language {name} here.", "Choose one of the list."),
    (
        "arrived.too_many",
        "More came at once than can wait here: {most} things are kept, the others are not.",
        "Take these in, then have the others sent again.",
    ),
    (
        "phone.no_app",
        "This phone has no app for such a file.",
        "Install one, or open the file on another device.",
    ),
    (
        "phone.no_camera",
        "This phone has no app for the camera.",
        "Install one, or choose a picture that is there.",
    ),
    (
        "phone.no_room",
        "The phone has no room left for the file.",
        "Free some of its storage, then try again.",
    ),
    ("phone.not_lent", "This file may not be handed out.", "Make it anew, and share it then."),
    (
        "phone.not_offered",
        "This is no file that another app offers.",
        "Save it on the phone first, and choose it there.",
    ),
    (
        "phone.nothing",
        "The other app gave nothing to read.",
        "Save the file on the phone first, and choose it there.",
    ),
    ("phone.refused", "The phone did not do it: {why}.", "Try again."),
    ("phone.too_large", "The file is larger than what is taken in.", "Choose a smaller one."),
    ("area.unknown", "The job has no area {name}.", "Open the job again: it may have changed."),
    ("base.asked_carry", "Carries through as a movement joint: {what}.", ""),
    ("base.asked_days", "A moisture test may be {days} days old when laying begins.", ""),
    ("base.asked_deflection", "Joists give at most L/{ratio} under {under}.", ""),
    ("base.asked_difference", "Subfloor and flooring differ by at most {limit}% in moisture.", ""),
    ("base.asked_fixing", "Sheathing fixed: {fixing}.", ""),
    ("base.asked_moisture", "At most {limit}.", ""),
    ("base.asked_not_over", "Not over: {what}.", ""),
    ("base.asked_over", "May go over: {what}.", ""),
    ("base.asked_sheathing", "Sheathing at least {least} thick.", ""),
    ("base.asked_underlay_allowed", "May lie on an underlayment.", ""),
    ("base.asked_underlay_forbidden", "Must not lie on an underlayment.", ""),
    ("base.asked_underlay_required", "Must lie on an underlayment.", ""),
    ("base.bending_held", "Bending under everything: {stress} psi of {allowed} psi.", ""),
    (
        "base.bending_over",
        "Bending under everything would be {stress} psi; {allowed} psi are allowed.",
        "Do not load it: ask an engineer.",
    ),
    (
        "base.difference_held",
        "Subfloor and flooring differ by {found}% in moisture; {limit}% is allowed.",
        "",
    ),
    (
        "base.difference_over",
        "Subfloor and flooring differ by {found}% in moisture; {limit}% is allowed.",
        "Let the flooring lie in the room, or the subfloor dry, and read both again.",
    ),
    (
        "base.fixing_seen",
        "Sheathing fixed: {seen}; required: {asked}.",
        "Whether that is the same is for you to say.",
    ),
    (
        "base.fixing_unsaid",
        "How the sheathing is fixed is not said; required: {asked}.",
        "Look, and fix what is loose.",
    ),
    (
        "base.hazard_asbestos",
        "Asbestos is presumed present: {why}. Do not start: {work}.",
        "Have it tested by a licensed laboratory before anything is taken up, sanded or cut. Licensed people decide.",
    ),
    ("base.hazard_clear", "{what}: not there, by the test or record that is named. Planned: {work}.", ""),
    (
        "base.hazard_heating",
        "Tubing, cables and pipes may lie in the floor: {why}. Do not start: {work}.",
        "Find them by plan and locator, or by whoever laid them, before drilling or fastening.",
    ),
    (
        "base.hazard_lead",
        "Lead paint is presumed present: {why}. Do not start: {work}.",
        "Have it tested; otherwise only certified renovators may do that work, by lead-safe practice.",
    ),
    (
        "base.hazard_post_tension",
        "The slab may be post-tensioned: {why}. Do not start: {work}.",
        "Look for a stamp at the slab's edge and ask whoever built it; have it scanned. A cut tendon can kill.",
    ),
    (
        "base.hazard_present",
        "{what} is present. Do not start: {work}.",
        "Licensed people do that work, or it is left alone.",
    ),
    (
        "base.hazard_silica",
        "Dust of concrete, mortar and tile contains silica: {work}.",
        "Work wet or with a shroud and a filtering collector; follow the table of the rule for the tool.",
    ),
    ("base.heavy_free", "{name} does not pin the floor.", ""),
    (
        "base.heavy_load",
        "{name} weighs {psf} pounds to the square foot of its footprint.",
        "That is not counted here: ask an engineer whether the joists bear it.",
    ),
    (
        "base.heavy_not_drawn",
        "The floor goes round {name}, but the plan does not show where.",
        "Draw it as an obstacle, or give its place within one.",
    ),
    (
        "base.heavy_pins",
        "{name} would stand on the floating floor and pin it.",
        "Put it on the base first and lay the floor round it with its gap, or choose a floor that is fixed.",
    ),
    (
        "base.heavy_say",
        "It is not said whether {name} stands on the base or on the floor.",
        "Say where it stands.",
    ),
    (
        "base.holes",
        "Drill {n} holes, each {depth} deep.",
        "Before drilling, know where tubing, cables and tendons lie.",
    ),
    ("base.joists_aid", "An aid and no certificate.", "An engineer or the local code decides."),
    (
        "base.joists_held",
        "Under {under} the joists give {gives}: L/{n}. L/{ratio} is required ({allowed}).",
        "",
    ),
    (
        "base.joists_over",
        "Under {under} the joists give {gives}: L/{n}. L/{ratio} is required ({allowed}).",
        "Stiffen them, or choose a floor that bears it. An engineer decides.",
    ),
    (
        "base.joists_unasked",
        "The product does not say how far joists may give.",
        "Give the limit of its data sheet.",
    ),
    (
        "base.joists_unsaid",
        "The joists cannot be judged; missing: {what}.",
        "Measure from below, or ask for the plans.",
    ),
    (
        "base.layer_ask",
        "{what}: neither the product nor common practice says whether it may stay.",
        "Ask the product's maker.",
    ),
    ("base.layer_comes_up", "{what}: comes up first.", "Settle the hazards before it is taken up."),
    (
        "base.layer_look",
        "{what}: not said whether it is sound, clean and dry.",
        "Look, knock on it, and say.",
    ),
    (
        "base.layer_mend_first",
        "{what}: not sound, clean and dry.",
        "Mend it before anything is laid over it.",
    ),
    ("base.layer_stays", "{what}: the floor may go over it.", ""),
    ("base.longest_span", "Joists like these keep all that with a clear span of up to {longest}.", ""),
    (
        "base.moisture_fail",
        "Too moist by {method}: {highest}; at most {limit}.",
        "Let it dry and test again, or ask the product's maker what may be done.",
    ),
    (
        "base.moisture_pass",
        "Dry enough by {method}: at most {highest}, allowed {limit}; {valid} tests count.",
        "",
    ),
    (
        "base.moisture_unasked",
        "The product sets no limit by {method}.",
        "Give the limit of its data sheet, or of what is glued or rolled on.",
    ),
    (
        "base.moisture_unread",
        "Not tested by {method} yet; at most {limit} is allowed.",
        "{asked} tests are required for a floor of this size.",
    ),
    (
        "base.moisture_unsure",
        "Not known whether it is dry enough by {method}: {valid} of {asked} tests count; at most {limit} is allowed.",
        "Test until enough count.",
    ),
    (
        "base.scan",
        "A surface scan compares places; it judges nothing.",
        "Test in the slab where it reads highest.",
    ),
    (
        "base.seam_carry",
        "{what} {id}: the floor must carry it through as a movement joint.",
        "The plan says whether one of its joints lies there.",
    ),
    ("base.seam_over", "{what} {id}: the floor may run over it.", ""),
    (
        "base.seam_step",
        "{what} {id} has a step of {step}: its sides move against each other.",
        "Ask an engineer why before anything is laid over it.",
    ),
    (
        "base.seam_unasked",
        "{what} {id}: the product does not say which joints it carries through.",
        "Ask its maker.",
    ),
    (
        "base.seam_uncovered",
        "{what} {id} in {room}: a movement joint of the floor must lie over it, and none does.",
        "The plan shows the line; move the rows so that a joint falls there, or part the floor.",
    ),
    ("base.sheathing_held", "{what}: {found}; required: {asked}.", ""),
    (
        "base.sheathing_step",
        "{what}: {found}; at most {asked} is allowed.",
        "Plane or fill it, and fasten both sheets.",
    ),
    (
        "base.sheathing_thin",
        "{what}: {found}; at least {asked} is required.",
        "Add a layer, fixed as the product's data sheet says.",
    ),
    (
        "base.sheathing_unsaid",
        "{what} is not said; required: {asked}.",
        "Measure it at a register or a hole.",
    ),
    (
        "base.short_line",
        "A joint or crack needs at least two places; it has {found}.",
        "Give where it begins and where it ends.",
    ),
    ("base.test_empty", "Test {n} has no figure yet.", "Write down what was read."),
    (
        "base.test_flaw",
        "Test {n} does not count: {what} {found}, required {asked}.",
        "Test again within these.",
    ),
    (
        "base.test_unsaid",
        "Test {n} does not count yet: not said: {what}.",
        "Write down what the method asks.",
    ),
    ("base.underlay_doubled", "An underlayment would lie on another.", "Never double it: leave one out."),
    (
        "base.underlay_forbidden",
        "{name} is chosen; the product must not lie on an underlayment.",
        "Leave it out.",
    ),
    ("base.underlay_held", "{name} is what the product requires.", ""),
    (
        "base.underlay_missing",
        "The product must lie on an underlayment and none is chosen.",
        "Choose one for the area.",
    ),
    ("base.underlay_none", "No underlayment, as the product allows.", ""),
    (
        "base.underlay_not_for_this",
        "{name} is made for other products.",
        "Choose one that names this product.",
    ),
    (
        "base.underlay_too_soft",
        "{name} gives {found} under load; at most {most} is allowed.",
        "Choose a harder one: joints break on what is too soft.",
    ),
    (
        "base.underlay_too_thick",
        "{name} is {found} thick; at most {most} is allowed.",
        "Choose a thinner one.",
    ),
    ("base.underlay_unsaid", "Thickness or give of {name} is not said.", "Give them from its data sheet."),
    (
        "base.unknown_way",
        "{name} is not a way of testing that is known here.",
        "Name one of the list, or none for the newest.",
    ),
    (
        "heights.butt_carpet",
        "{id}: butt against the carpet with an edge profile and a tack strip, {long}.",
        "",
    ),
    ("heights.door_clears", "{id}: the door clears; up to {clears} it is not cut.", ""),
    (
        "heights.door_cut",
        "{id}: cut {cut} off the door.",
        "Mark it from the finished floor, and take it off to cut.",
    ),
    (
        "heights.door_gap",
        "{id}: not said how much must remain under the door.",
        "Say the gap; zero was taken.",
    ),
    (
        "heights.door_rated",
        "{id}: {cut} would have to come off a fire-rated door.",
        "Never cut it without checking: its maker and the local authority decide.",
    ),
    (
        "heights.door_stays",
        "{id}: the door must not be cut, and {cut} would have to come off.",
        "Choose a thinner stack, or another door.",
    ),
    (
        "heights.door_too_open",
        "{id}: more would remain under the rated door than it may have.",
        "Ask its maker; a threshold or door bottom may close it.",
    ),
    ("heights.end_strip", "{id}: end cap, {long}.", ""),
    ("heights.fixture_after", "{name}: {after} above the finished floor.", ""),
    ("heights.fixture_after_below", "{name}: {after} below the finished floor.", ""),
    ("heights.fixture_fits", "{name}: {after} above the finished floor, as it must be.", ""),
    ("heights.fixture_fits_below", "{name}: {after} below the finished floor, as it must be.", ""),
    (
        "heights.fixture_over",
        "{name}: {after} above the finished floor, {by} more than it may be.",
        "Change its height, or the stack; whoever is licensed for it decides.",
    ),
    (
        "heights.fixture_over_below",
        "{name}: {after} below the finished floor, {by} higher than it may be.",
        "Change its height, or the stack; whoever is licensed for it decides.",
    ),
    (
        "heights.fixture_short",
        "{name}: {after} above the finished floor, {by} less than it must be.",
        "Change its height, or choose a thinner stack; whoever is licensed for it decides.",
    ),
    (
        "heights.fixture_short_below",
        "{name}: {after} below the finished floor, {by} lower than it must be.",
        "Change its height, or choose a thinner stack; whoever is licensed for it decides.",
    ),
    (
        "heights.fixture_uneven",
        "{name}: {after}, and {by} more than allowed from the other steps.",
        "A stair must stay even: the local code decides.",
    ),
    (
        "heights.fixture_unsaid",
        "{name}: its height above the base is not said.",
        "Measure it from the base the floor lies on.",
    ),
    ("heights.jamb", "{id}: undercut jambs and casing {stack} above the base, and keep the gap there.", ""),
    (
        "heights.jamb_higher",
        "{id}: the jambs are undercut {cut} high; the floor needs {stack}.",
        "Cut them higher.",
    ),
    ("heights.limit", "{name} limits the stack to {most}: {spare} to spare.", ""),
    (
        "heights.limit_over",
        "{name} limits the stack to {most}: it is {spare} too high.",
        "Say so before a price is promised.",
    ),
    (
        "heights.no_stack",
        "The stack's height is not known: no thickness of {parts}.",
        "Give it from the data sheet.",
    ),
    (
        "heights.over_bevel",
        "{id}: {which} {rise} higher: bevel it over at least {run} where everybody must get over it.",
        "",
    ),
    (
        "heights.over_old_threshold",
        "{id}: {which} {rise} higher. An old threshold: bevel it over {run} on both sides. A new one: ramp it over at least {ramp} ({tight} in a tight site).",
        "",
    ),
    (
        "heights.over_ramp",
        "{id}: {which} {rise} higher: ramp it over at least {run} where everybody must get over it ({tight} in a tight site).",
        "",
    ),
    ("heights.over_upright", "{id}: {which} {rise} higher: that may stand upright.", ""),
    ("heights.ramp_or_end", "{id}: reducer or end cap, {long}.", ""),
    ("heights.runs_through", "{id}: the floor runs through.", ""),
    (
        "heights.say_height",
        "{id}: the height of the floor next door is not known.",
        "Measure it from this room's base.",
    ),
    ("heights.say_next", "{id}: not said what lies next door.", "Say what it is and how high it lies."),
    ("heights.stack", "The finished floor lies {stack} above the base: {parts}.", ""),
    (
        "heights.steps",
        "{id}: the floor would have to step by {rise} within one field.",
        "Level the bases, or plan two areas with a transition.",
    ),
    ("heights.t_strip", "{id}: T-molding, {long}; {gap} from each floor to its stem.", ""),
    ("sheet.day", "“{found}” is not a day.", "Write year, month and day, such as 2026-03-14."),
    (
        "sheet.unknown_underlay",
        "There is no underlayment {name}.",
        "Choose one of the job's underlayments (\"underlays\").",
    ),
    (
        "located.how",
        "It is not clear where {id} is.",
        "Give its distances from two corners (\"distances\"), or a wall with how far along it and how far away from it (\"wall\", \"along\", \"away\").",
    ),
    (
        "located.two_sizes",
        "{id} has a diameter and a size.",
        "Give the diameter of what is round, the size of what is square.",
    ),
    ("plan.unknown_choice", "This is not a choice of a plan.", "Open the plan again and choose anew."),
    ("note.empty", "The note has no words.", "Write something, or leave it."),
    ("note.unknown", "The job has no note {name}.", "Look again: somebody may have taken it out."),
    ("papers.gone", "{name} is not there any more, or somebody changed it.", "Make it again."),
    (
        "papers.grinding",
        "Grinding concrete, mortar and compound releases silica dust.",
        "Shroud and filtering collector, or wet, with breathing protection as the rule's table asks for the tool (29 CFR 1926.1153).",
    ),
    (
        "papers.lacks",
        "{paper} cannot be made yet.",
        "{what} The list of papers leads to where it is corrected.",
    ),
    (
        "papers.no_press",
        "No papers can be made here.",
        "Make them on another device, or on a computer with `drylay papers`.",
    ),
    (
        "papers.not_set",
        "The paper could not be set: {why}.",
        "Make it again; if it fails again, leave out its photos.",
    ),
    ("papers.not_shown", "The paper cannot be shown: {why}.", "Open it from the folder that it lies in."),
    (
        "papers.nothing",
        "There is nothing for {paper} yet.",
        "Say first what is laid, read a floor, or take a photo.",
    ),
    (
        "papers.old_floor",
        "In houses up to 1980, and where the year is not known, old coverings and glues are presumed to contain asbestos until shown otherwise.",
        "Have them tested before they are taken up, sanded, ground or broken; removal is for licensed people, as local law has it.",
    ),
    (
        "papers.saw",
        "Wet saw: water and electricity, a turning blade.",
        "Plug it into a ground-fault outlet with a drip loop; eyes and ears protected, no gloves or loose sleeves near the blade.",
    ),
    (
        "papers.silica",
        "Cutting tile and masonry dry releases silica dust, which harms the lungs.",
        "Cut wet or with a shroud and filtering collector, outdoors where it can be (29 CFR 1926.1153, table 1).",
    ),
    (
        "papers.snap",
        "Snapped edges are sharp and splinters fly.",
        "Eye protection and gloves; ease the edges with a stone.",
    ),
    ("papers.unknown", "There is no paper {name}.", "Choose one of the list."),
    ("papers.unknown_size", "There is no paper size {name}.", "Choose letter or a4."),
    (
        "papers.unpriced",
        "Some lines have no price yet and are not in the total.",
        "Price them before the quote is signed.",
    ),
    (
        "papers.unwritable",
        "It cannot be written: {why}.",
        "Make room on the disk, or choose another folder. No file is half written.",
    ),
    (
        "photo.damaged",
        "{file} is damaged: it cannot be shown. {why}.",
        "Copy it from the camera again, or save it anew with another program.",
    ),
    (
        "photo.mark_points",
        "The mark does not fit on the photo.",
        "Draw it again within the photo: {least} to {most} points, each from 0 to 10000 of its width and height.",
    ),
    ("photo.too_large", "{file} is larger than {most} MB.", "Save it smaller, or as JPEG."),
    ("photo.unknown", "The job has no photo {name}.", "Look again: somebody may have taken it out."),
    (
        "photo.unknown_kind",
        "{file} is not a picture that can be shown here.",
        "JPEG, PNG and WebP can. Set the camera to JPEG, or save the picture as that.",
    ),
    (
        "photo.unknown_mark",
        "{name} is not a mark on a photo.",
        "Marks are arrow, figure, words and line; look at the photo again.",
    ),
    (
        "photo.unknown_pin",
        "Nothing can be pinned to {name}.",
        "Pin it to job, room, wall, reading, opening or piece.",
    ),
    (
        "photo.unknown_reading",
        "Nothing was read along {name}.",
        "Pin it to the wall, or type the reading first.",
    ),
    ("plan.unknown_order", "{name} is not an order of rows.", "Give stepped or alternating."),
    ("plan.unknown_piece", "The plan has no piece {name}.", "Open the plan again: it may have changed."),
    ("task.cancelled", "The search was canceled.", "What was known before still stands."),
    ("area.no_product_size", "The tile's face is not known.", "Give the product's face."),
    ("area.no_rooms", "The area has no rooms.", "Name at least one room to lay."),
    (
        "field.empty",
        "Nothing is left of the floor once the gap along the walls is kept.",
        "Check the gap, and whether obstacles cover the whole room.",
    ),
    (
        "field.keepout_outside",
        "The obstacle {id} lies outside the floor.",
        "Check its place: it is measured from the first corner, along the first wall (x) and from it into the room (y).",
    ),
    (
        "field.opening_outside",
        "The opening {id} does not fit its wall of {wall} mm: it would reach from {from} to {to} mm.",
        "Check its distance from the wall's left corner, seen from inside, and its width.",
    ),
    (
        "field.overlap",
        "The rooms {a} and {b} overlap once the passage has placed them.",
        "Check which wall each opening is in and how far from the corner.",
    ),
    (
        "field.passage_loop",
        "The passages do not close: around the loop the openings miss each other by {off} mm.",
        "Check the rooms' readings and the openings' places. The miss is spread over the loop's passages.",
    ),
    (
        "field.passage_outside",
        "The opening {id} of a passage could not be placed.",
        "Mend the opening first.",
    ),
    (
        "field.passage_width",
        "The two sides of the passage differ in width by {off} mm.",
        "Measure the opening again from both rooms.",
    ),
    (
        "field.unjoined",
        "The room {room} is joined to the area's other rooms by no passage.",
        "Add a passage, or plan it as an area of its own.",
    ),
    (
        "length.broken_feet",
        "Inches follow a broken number of feet in “{found}”.",
        "Write whole feet and inches, such as 12' 6\", or feet alone, such as 12.5'.",
    ),
    (
        "length.comma_ambiguous",
        "The comma in “{found}” may mark decimals or thousands.",
        "Write a point for decimals, and no mark for thousands.",
    ),
    (
        "length.empty",
        "No length is written.",
        "Write a length with its unit, such as 12' 3 1/2\" or 3745 mm.",
    ),
    (
        "length.fraction",
        "“{found}” has a fraction that no tape shows.",
        "Write halves to sixty-fourths of an inch, such as 3 5/8\"; decimals for metric.",
    ),
    (
        "length.inches_over_twelve",
        "“{found}” has twelve inches or more after the feet.",
        "Write inches from 0 to 11 15/16 after feet, or inches alone.",
    ),
    ("length.negative", "{found} is less than 0.", "Write 0 or more."),
    ("length.not_positive", "{found} is not a length to work with.", "Write more than 0."),
    (
        "length.number_expected",
        "“{found}” breaks off or has something else where a number should be (character {at}).",
        "Write a length with its unit, such as 12' 3 1/2\" or 3745 mm.",
    ),
    (
        "length.several_marks",
        "“{found}” has more than one decimal mark.",
        "Write a point for decimals, and no mark for thousands.",
    ),
    ("length.too_long", "{found} is longer than 10 km.", "Check the figure and its unit."),
    (
        "length.trailing",
        "Something follows the length in “{found}” (character {at}).",
        "Write one length with its unit, such as 12' 3 1/2\".",
    ),
    (
        "length.unit_missing",
        "“{found}” has no unit.",
        "Add ', \", mm, cm or m; in a job sheet a number without quotes is millimeters.",
    ),
    (
        "length.unit_unknown",
        "The unit in “{found}” is not known (character {at}).",
        "Units are ' or ft, \" or in, mm, cm and m.",
    ),
    (
        "limit.corners",
        "There are {found} corners; the most is {most}.",
        "Leave out corners that do not change the shape.",
    ),
    (
        "limit.readings",
        "There are {found} readings; the most is {most}.",
        "Split the job into several sheets.",
    ),
    ("limit.rooms", "There are {found} rooms; the most is {most}.", "Split the job into several sheets."),
    (
        "floor.bags",
        "{name}: {litres} liters, {bags} {bags:bag|bags}, what lies along the walls among it.",
        "",
    ),
    ("floor.dip", "Deepest dip: {deviation} at {at}, under a straightedge from {from} to {to}.", ""),
    (
        "floor.f_numbers",
        "The F-numbers are this program's own calculation after ASTM E1155.",
        "Where a contract asks for them, have them measured as the standard says.",
    ),
    ("floor.fail", "Not flat enough: more than {gap} in {span}.", ""),
    (
        "floor.fill",
        "Fill about {litres} l.",
        "Prime and pour as the compound's data sheet says, then read the floor again.",
    ),
    (
        "floor.grind",
        "Grind off about {litres} l.",
        "Concrete dust contains silica: grind only with a shroud and a filtering extractor, or wet (29 CFR 1926.1153). Never sand or grind a floor that may contain asbestos or lead paint before a test; look for heating pipes, cables and tendons.",
    ),
    ("floor.hump", "Highest hump: {deviation} at {at}, over a line from {from} to {to}.", ""),
    (
        "floor.long_rod",
        "The rod cannot have read {found}: no leveling rod is longer than {most}.",
        "Check the figure and its unit.",
    ),
    ("floor.mixers", "{found} is not a number of people who mix.", "Give a whole number from 1 to 20."),
    ("floor.no_place", "{name} is not a place on the floor.", "Point at the floor again."),
    ("floor.no_straightedge", "The straightedge has no length.", "Give it two different ends."),
    (
        "floor.no_surface",
        "There are no heights to lay a straightedge on.",
        "Read at least three places that are not on one line.",
    ),
    (
        "floor.nothing_to_correct",
        "There is nothing to correct for.",
        "Read the floor, and choose how flat it must be.",
    ),
    (
        "floor.off_the_floor",
        "None of the straightedge lies on the floor that was read.",
        "Lay it between points that were read.",
    ),
    (
        "floor.short_line",
        "A line of {found} heights says nothing.",
        "Give at least {least} heights, a foot apart; FL needs twelve.",
    ),
    ("floor.unknown_standard", "{name} is not a standard that can be chosen.", "Choose one of the list."),
    (
        "floor.margin",
        "The correction keeps less than the usual margin.",
        "Aim {margin} inside the limit, for the readings' uncertainty and the work's.",
    ),
    (
        "floor.no_tolerance",
        "No product says how flat the floor must be.",
        "Give the product's flatness from its data sheet.",
    ),
    ("floor.pass", "Flat enough: at most {gap} in {span}, with twice the uncertainty of the readings.", ""),
    (
        "floor.sparse",
        "The readings stand about {spacing} apart: they say too little of so short a span.",
        "Read at most {needed} apart, or lay a straightedge there and give the gap.",
    ),
    (
        "floor.unfinished",
        "The search was ended early.",
        "What it says of the worst places may not be the whole; run it again and let it end.",
    ),
    (
        "floor.unsure",
        "Cannot be sure of {gap} in {span}.",
        "Read the worst places again, at the middle and both ends of the lines given; repeats make a height surer.",
    ),
    (
        "level.disagree",
        "This reading and {other} are of one place and differ by {off}.",
        "Read that place again; until then both count alike.",
    ),
    (
        "level.long_rod",
        "The rod cannot have read {found}: no leveling rod is longer than {most} mm.",
        "Check the figure and its unit; the reading was left out.",
    ),
    (
        "level.long_straightedge",
        "The straightedge is longer than the span of {span} and says nothing of it.",
        "Read the gap under a straightedge of at most that length.",
    ),
    (
        "level.loose_setup",
        "The set-up {setup} shares no point with the others.",
        "Read one of its points again from another set-up, or one of theirs from it; its readings were left out.",
    ),
    (
        "level.margin",
        "The margin leaves nothing of the tolerance of {gap}.",
        "Give a margin smaller than the tolerance.",
    ),
    (
        "level.moved",
        "The reading {id} is given in two places.",
        "Give a point one place; the first was taken.",
    ),
    (
        "level.no_shape",
        "The room's shape is not known yet.",
        "Measure the room first: the floor is read within it.",
    ),
    (
        "level.not_corrected",
        "No correction was found.",
        "Check the tolerances; allow grinding if the floor can be ground.",
    ),
    (
        "level.one_line",
        "The readings stand on one line, or are fewer than three places: they make no surface.",
        "Read points all over the floor.",
    ),
    (
        "level.outside",
        "The reading {id} lies outside the room.",
        "Check its place, from the first corner along the first wall (x) and into the room (y); the reading was left out.",
    ),
    (
        "level.spacing",
        "F-numbers are defined for heights 12 in (300 mm) apart.",
        "Read the line again at that spacing.",
    ),
    ("level.too_far", "The readings lie more than 200 m apart.", "Check the places and their units."),
    (
        "engagement.thickness",
        "How the edges lock can only be judged where the tile's thickness is known.",
        "Type the thickness with the locking edges, from the data sheet.",
    ),
    (
        "engagement.no_way",
        "No way is chosen in which the edges lock.",
        "Choose at least one, the usual first.",
    ),
    ("engagement.no_angle", "A piece is angled in, but at no angle.", "Type the angle of the data sheet."),
    (
        "engagement.no_travel",
        "A piece is slid in, but it is not said how far it is pulled back.",
        "Type how far, from the data sheet.",
    ),
    (
        "rule.no_source",
        "The rule has no source.",
        "Write where its figure stands, such as a data sheet or a standard.",
    ),
    (
        "engagement.angle",
        "A piece cannot be held at {found}° to be angled in.",
        "Give the angle of the data sheet, more than 0 and less than 90 degrees.",
    ),
    (
        "layout.first_row_too_long",
        "The first row cannot be {found} wide: the tile is {most}.",
        "Give at most the tile's width.",
    ),
    (
        "layout.forbidden_offset",
        "The product does not allow an offset of {found}.",
        "Its data sheet allows: {allowed}.",
    ),
    (
        "layout.no_offsets",
        "The product {product} names no offset between rows.",
        "Give the offsets its data sheet allows, such as 1/3, 1/2 (\"offsets\": [\"1/3\", \"1/2\"]).",
    ),
    (
        "layout.no_whole_row",
        "Along {wall} the row is not whole: with whole rows at the other walls it cannot be.",
        "Nothing needs doing; leave that wall out, or the others, for another plan.",
    ),
    (
        "chalk.none",
        "No chalk line can be measured off the walls: the rows meet none squarely enough.",
        "Set out along another direction, or measure from a wall by hand.",
    ),
    (
        "last.nothing_left",
        "Nothing is left of that gap once {joint} for the joint and {wall} at the wall are taken off.",
        "Measure again, from the last tile's face to the wall.",
    ),
    (
        "pitch.slip",
        "{found} for ten is more than a tenth off the label, which makes it {label}.",
        "Count again: ten together, from the outer edge of the first to the outer edge of the last.",
    ),
    (
        "laid.no_such_row",
        "Row {row} was measured, but rows that can be measured from the chalk line are {first} to {last}.",
        "Measure the far edge of a row beyond the line, and check the row's number.",
    ),
    (
        "layout.centre_how",
        "It is not clear what to be centered on.",
        "Give either a point (\"at\"), or a room and something in it (\"on\").",
    ),
    (
        "layout.one_entrance",
        "The line of sight starts at one opening.",
        "Choose the opening through which one comes in.",
    ),
    ("layout.not_in_area", "The area has no room {name}.", "Name a room of this area."),
    (
        "layout.unknown_thing",
        "The room {room} has no opening and no obstacle {name}.",
        "Choose one that it has, or give a point instead (\"at\").",
    ),
    (
        "layout.no_sight",
        "From the opening {opening} no floor is seen straight ahead.",
        "Choose the opening through which one comes in.",
    ),
    (
        "layout.not_centred",
        "The layout cannot be centered there: a joint would lie along the field's edge.",
        "Let tiles or a joint lie there instead, or move the place a little.",
    ),
    (
        "layout.shift_too_long",
        "The first tile cannot show {found}: the tile is {most} long.",
        "Give at most the tile's length.",
    ),
    (
        "passage.same_room",
        "Both ends of the passage are in the room {room}.",
        "A passage joins openings of two rooms.",
    ),
    (
        "plan.too_many",
        "The plan would have about {found} pieces; the most is {most}.",
        "Check the tile's size and the room's, or split the area.",
    ),
    (
        "ring.anticlockwise",
        "The corners run anticlockwise.",
        "List them clockwise as seen from above: the way a person inside walks, facing each wall and moving to the right.",
    ),
    (
        "ring.crosses",
        "The walls {a} and {b} cross or touch.",
        "Check the order and the places of their corners.",
    ),
    (
        "ring.folds_back",
        "At corner {corner} the wall turns straight back on itself.",
        "Check the corner's place.",
    ),
    ("ring.no_area", "The corners enclose no floor.", "Check their places."),
    ("ring.no_length", "Corner {corner} lies where the one before it lies.", "Leave one of them out."),
    ("ring.too_few", "A shape needs at least three corners.", "Add the missing ones."),
    (
        "room.corner_count",
        "{names} corners are named, but the outline has {points} points.",
        "Name every point once, or none.",
    ),
    (
        "room.thickness_first",
        "How thick the trim is, or the drywall that will go on the plate, is not said yet.",
        "Say it for the room first.",
    ),
    (
        "room.no_thickness",
        "It was measured to the trim or to the plate, and how thick that is, is not said.",
        "Give the thickness of the trim, or of the drywall that will go on the plate (\"measured\": { \"to\": \"trim\", \"thickness\": \"5/8\\\"\" }).",
    ),
    (
        "room.no_shape",
        "The room has neither an outline nor tape readings.",
        "Measure its walls (\"tape\"), or give its corners (\"outline\").",
    ),
    (
        "room.not_a_wall",
        "{from}–{to} is not a wall: the corners are not neighbors.",
        "Name two corners that follow each other.",
    ),
    ("room.same_name", "Two corners are named {corner}.", "Give each corner a name of its own."),
    (
        "room.too_many_outs",
        "{outs} of {corners} corners turn outwards: no room closes that way.",
        "At least four inside corners are needed in a room with square corners.",
    ),
    (
        "room.two_shapes",
        "The room has both an outline and tape readings.",
        "Give one of them: an outline is taken as it stands, readings are adjusted.",
    ),
    (
        "room.unknown_corner",
        "There is no corner {corner} in this room.",
        "Check the name against the corners of the room (\"corners\").",
    ),
    (
        "room.wall_reversed",
        "{from}–{to} runs against the walk.",
        "Walls run clockwise: write {to} before {from}.",
    ),
    ("sheet.above_nought", "{found} is not more than 0.", "Write a number greater than 0."),
    ("sheet.amount", "{found} is not an amount.", "Write a number of 0 or more."),
    ("sheet.angle", "{found} is not an angle.", "Write degrees."),
    ("sheet.count", "There are {found} entries where {wanted} belong.", "Give {wanted}."),
    (
        "sheet.fraction",
        "“{found}” is not a part of a tile's length.",
        "Write a text such as \"1/3\", \"1/2\" or \"0\".",
    ),
    (
        "sheet.kind",
        "This is {found}; it must be {wanted}.",
        "See `drylay schema` for the format of a job sheet.",
    ),
    (
        "sheet.missing",
        "Something that is needed here is missing.",
        "Add it; `drylay schema` shows the format of a job sheet.",
    ),
    ("sheet.money", "“{found}” is not a price.", "Write a decimal in quotes, such as \"38.20\"."),
    (
        "sheet.name",
        "The name is missing, too long or on several lines.",
        "Write a name of 1 to 200 characters on one line.",
    ),
    (
        "sheet.newer_field",
        "This field is from a newer program; it was kept and not used.",
        "Update this program to use it.",
    ),
    (
        "sheet.not_json",
        "The file is not JSON: {reason} (line {line}, column {column}).",
        "Mend the file there.",
    ),
    ("sheet.not_utf8", "The file is not text in UTF-8 (byte {at}).", "Save it as UTF-8."),
    ("sheet.same_name", "{name} is used twice; first at {first}.", "Give each a name of its own."),
    (
        "shop.percent",
        "{found} is not a rate in percent.",
        "Write a number from 0 to 100, such as 3 or 7.5, or leave it empty.",
    ),
    (
        "shop.unknown_product",
        "The shop keeps no product {name}.",
        "Look at the list again: it may have changed.",
    ),
    (
        "buy.no_rates",
        "Nothing is added for breakage or for spare tiles: neither this job nor the shop has a rate.",
        "Give the shop's rates with this device, or this job's with its details.",
    ),
    (
        "buy.not_planned",
        "{name} is not planned yet, so it is not counted here.",
        "Open its plan and accept it.",
    ),
    ("sheet.percent", "{found} is not a rate in percent.", "Write a number from 0 to 100, such as 8.25."),
    ("sheet.unknown_area", "There is no area {name}.", "Name one of the sheet's areas."),
    ("call.unknown", "Nothing is asked about {name}.", "Ask about one of the things of the list."),
    ("call.year", "“{found}” is not a year.", "Write it with four digits, such as 1974, or leave it empty."),
    ("call.yes_no", "“{found}” is neither yes nor no.", "Say yes or no, or leave it empty."),
    (
        "list.broken",
        "The list cannot be taken apart here: {why}.",
        "Check quotes: one that opens must close.",
    ),
    (
        "list.comma",
        "“{found}” has a comma: it may part thousands or cents.",
        "Write it with a point for the cents and nothing for the thousands, such as 1380.50.",
    ),
    ("list.no_amount", "“{found}” is not an amount.", "Write digits with a point, such as 38.20."),
    (
        "list.no_column",
        "The list has no column “{column}”; its first line names: {found}.",
        "Name the columns in the first line: item, unit, price for prices; task, unit, per_hour, hourly for rates.",
    ),
    (
        "list.no_words",
        "The name is missing or not a name: “{found}”.",
        "Write a name of at most 200 letters.",
    ),
    ("list.not_utf8", "The list is not UTF-8 text from this line on.", "Save it as UTF-8."),
    (
        "list.nought",
        "The pace is 0: the work would never end.",
        "Say how much one person does in an hour, more than 0.",
    ),
    ("list.too_long", "The list has more than {most} lines.", "Leave out what is not needed."),
    ("list.twice", "{found} is in the list twice.", "Leave one of the two."),
    ("list.unknown", "There is no list {name}.", "Read prices or rates."),
    (
        "quote.asbestos",
        "The house was built in {year}: in houses up to 1980 old floor coverings are presumed to contain asbestos \
         until shown otherwise (29 CFR 1926.1101).",
        "Have them tested before anything is broken up; removal is for licensed people, as local law has it.",
    ),
    (
        "quote.home_signing",
        "Signed at home: many places let the client cancel within days and ask that the paper says so and a form comes with it.",
        "Hand over the notice of cancellation that local law asks for, and do not begin before the time is over.",
    ),
    (
        "quote.lead_pamphlet",
        "The house was built in {year}: work that disturbs paint in houses built before 1978 asks for the lead \
         pamphlet, and a receipt for it, before it begins (40 CFR 745).",
        "Hand the pamphlet over and keep the receipt; who may do the work is for local law.",
    ),
    ("quote.no_amount", "“{found}” is not an amount.", "Write digits with a point, such as 12.5."),
    ("quote.no_name", "Nobody has signed.", "Write who signs."),
    (
        "quote.no_price",
        "Nothing says what {name} costs by the {unit}.",
        "Give it a price in the list, or where it is kept.",
    ),
    (
        "quote.no_rate",
        "There is no rate for {task}: labor is not in the quote.",
        "Add a line for it to the rates.",
    ),
    (
        "quote.no_rates",
        "The shop has no production rates: labor is not in the quote.",
        "Read them in as a list: task, unit, per_hour, hourly.",
    ),
    ("quote.no_words", "This field is empty.", "Write what it is, or what it is counted in, such as h or m."),
    (
        "quote.not_whole",
        "{what}: the quote is not whole and cannot be frozen.",
        "Work out what is waiting, and give a price to everything.",
    ),
    (
        "quote.other_unit",
        "The rate for {task} is by the {unit}, and the plan counts by the {wanted}.",
        "Give the rate by the same kind of unit.",
    ),
    (
        "quote.signature",
        "What was drawn is not a signature.",
        "Wipe it and sign again, or leave it and write the name alone.",
    ),
    ("quote.signed_where", "{name} is not a place to sign.", "Say home or shop, or leave it empty."),
    ("quote.too_large", "The amounts are too large to be meant.", "Check quantities and prices for a slip."),
    ("quote.unknown", "There is no signed quote {name}.", "Look again: it may have changed."),
    (
        "quote.year_unknown",
        "Nobody has said when the house was built: rules on lead and asbestos hang on it.",
        "Ask, and write it down with the first call.",
    ),
    (
        "quote.bad_below_likely",
        "The bad case is better than the likely one, which is {likely}.",
        "Give at least as many for the bad case.",
    ),
    (
        "sheet.share",
        "{found} is not a share.",
        "Write a number from 0 to 1, such as 0.05 for five in a hundred.",
    ),
    (
        "sheet.unknown_field",
        "There is no field “{found}” here.",
        "Check its spelling; `drylay schema` lists the fields.",
    ),
    (
        "sheet.unknown_opening",
        "The room {room} has no opening {name}.",
        "Add it to the room, or mend the name.",
    ),
    (
        "sheet.unknown_product",
        "There is no product {name} in the sheet.",
        "Add it to \"products\", or mend the name.",
    ),
    ("sheet.unknown_room", "There is no room {name} in the sheet.", "Add it to \"rooms\", or mend the name."),
    (
        "sheet.version",
        "The sheet is of version {found}; this program knows version {known}.",
        "Update this program.",
    ),
    ("sheet.whole", "{found} is not a whole number from {least} up.", "Write a whole number."),
    ("sheet.word", "“{found}” is none of: {wanted}.", "Write one of these."),
    (
        "square.sd",
        "{found} is not a standard deviation of a square corner.",
        "Write degrees, more than 0 and at most 45.",
    ),
    ("handover.cut_off", "The file ends too early.", "It was not copied whole: copy it again."),
    ("handover.damaged", "The file is damaged: its checksum does not match.", "Copy it again."),
    (
        "issue.not_taken",
        "The plan as it stands is not accepted yet, so there is nothing to give out.",
        "Accept this plan first, then give it out.",
    ),
    (
        "issue.overtaken",
        "The plan was changed while it was being given out.",
        "Look at it again, then give it out.",
    ),
    ("crew.has_crew", "This device belongs to a crew already.", "Leave it first; the jobs stay."),
    (
        "crew.key_damaged",
        "{path} is not this device's key any more.",
        "Put the file back if there is a copy of it. Without it, delete it: the device is a new one then, and joins anew.",
    ),
    (
        "crew.key_elsewhere",
        "This device's key lies in a place of the system's that this program cannot reach ({path} says: {place}).",
        "Open the job folder with the program that made it. If the key is gone for good, delete that file: the device is a new one then, and joins anew; its jobs stay.",
    ),
    (
        "crew.key_locked",
        "The system's place for secrets did not give this device's key: {why}.",
        "Unlock it and start again. If the key is gone for good, delete {path}: the device is a new one then, and joins anew; its jobs stay.",
    ),
    (
        "crew.may_not_remove",
        "This device may not remove that one.",
        "The device that founded the crew can, and those that it trusts with it.",
    ),
    ("crew.no_crew", "This device belongs to no crew.", "Join one, or found one by inviting another device."),
    (
        "crew.no_invitation",
        "This is neither an invitation nor a code of eight digits.",
        "Open the invitation on the other device and read its picture, or type its eight digits.",
    ),
    (
        "crew.no_network",
        "There is no network to meet the crew on.",
        "Turn on Wi-Fi, or one phone's hotspot, and try again.",
    ),
    ("crew.no_such_device", "There is no such device in the crew.", "Look again: it may have left."),
    ("crew.nobody_asks", "Nobody asks to join.", "Whoever asked has gone: have it try again."),
    (
        "crew.not_a_member",
        "This device no longer belongs to its crew.",
        "Have another device invite it again. What it holds stays.",
    ),
    (
        "handover.foreign",
        "This is not a hand-over file.",
        "Choose a file that was written by handing a job over.",
    ),
    (
        "handover.forged",
        "The file was changed after it was signed.",
        "Take nothing from it. Have the person who wrote it write it again.",
    ),
    ("handover.locked", "The file is locked with a passphrase.", "Type the words it was locked with."),
    (
        "handover.passphrase_short",
        "The passphrase has fewer than {least} characters.",
        "Take a few words that nobody would guess.",
    ),
    ("handover.passphrase_wrong", "The passphrase is not the one.", "Type it again, with the same capitals."),
    (
        "handover.malformed",
        "The file cannot be taken in: {why}.",
        "Nothing of it was taken. Have it written again.",
    ),
    (
        "handover.newer",
        "A newer version of the program wrote this file.",
        "Update this program to take it in.",
    ),
    ("handover.too_large", "The file is larger than {most} bytes.", "Hand the job over without its photos."),
    ("backup.path", "“{path}” is not a place for a backup.", "Give the whole path of a file."),
    ("backup.damaged", "{path} is damaged: {why}.", "Copy the backup again, or take an earlier one."),
    ("backup.foreign", "{path} is not a backup.", "Choose a file that was written as a backup."),
    ("backup.newer", "A newer version of the program wrote {path}.", "Update this program to restore it."),
    (
        "backup.occupied",
        "{path} is not empty.",
        "A backup is restored into a new folder, so that nothing is overwritten.",
    ),
    (
        "command.args",
        "The request cannot be read: {why}.",
        "Screens and core are of different versions: start the program again.",
    ),
    (
        "command.unknown",
        "There is no command {name}.",
        "Screens and core are of different versions: start the program again.",
    ),
    (
        "document.newer",
        "This job was last written by a newer version of the program.",
        "Update this program to change it; until then it can only be looked at.",
    ),
    (
        "document.rescued",
        "{lost} stored pieces of this are damaged; {kept} are intact and shown.",
        "Bring this device level with another that has the job: what was lost comes back from there.",
    ),
    ("document.too_large", "That is too much for one field ({bytes} bytes).", "Shorten it."),
    (
        "document.unreadable",
        "What is said of this job cannot be read.",
        "A newer program may have written it: update this one.",
    ),
    ("draft.too_long", "That is too long to be kept while it is typed.", "Shorten it to {most} bytes."),
    (
        "entry.unknown",
        "{name} is not there any more.",
        "Somebody may have taken it out: look at the job again.",
    ),
    ("job.unknown", "There is no job {name} on this device.", "Go back to the list of jobs."),
    ("job.unknown_opening", "The room {room} has no opening {name}.", "Look at the room again."),
    ("job.unknown_product", "The job has no product {name}.", "Add the product first."),
    (
        "job.unknown_room",
        "The job has no room {name}.",
        "Somebody may have taken it out: look at the job again.",
    ),
    (
        "program.fault",
        "The program made a mistake here: {what}.",
        "Nothing that was stored is lost. Try again; if it comes back, send a report.",
    ),
    (
        "reading.bad_sd",
        "The standard deviation must be more than 0.",
        "Leave it out, or write what the tape is good for.",
    ),
    (
        "reading.corner_gone",
        "{pair} was read to a corner that was taken out.",
        "Clear the reading, or bring the corner back with undo.",
    ),
    ("reading.not_positive", "The length must be more than 0.", "Read it again."),
    ("reading.same_corner", "This goes from {name} to itself.", "Choose two different corners."),
    (
        "reading.wall_too_long",
        "{pair} is longer than all other walls together: the room cannot close.",
        "Measure {pair} again.",
    ),
    ("redo.nothing", "There is nothing to do again.", ""),
    (
        "room.not_here",
        "This room's readings are not on this device yet.",
        "Bring it level with the device they were made on.",
    ),
    (
        "room.outline_wrong",
        "The corners as given bound no floor.",
        "Measure the walls, or import the room again.",
    ),
    (
        "settle.unknown",
        "These two values are settled already.",
        "Somebody may have chosen one: look at the job again.",
    ),
    (
        "store.damaged",
        "The data on this device is damaged: {why}.",
        "Copy the data folder somewhere safe, then restore a backup into a new one.",
    ),
    (
        "store.damaged_file",
        "The file {path} is damaged.",
        "Bring this device level with another that has it, or restore a backup.",
    ),
    (
        "store.database",
        "The database of this device refused: {why}.",
        "Nothing of this was stored. Try again.",
    ),
    (
        "store.full",
        "There is no room left on this device: nothing of this was stored.",
        "Everything stored before is intact. Make room and try again.",
    ),
    (
        "store.in_use",
        "The data folder {path} is in use by another running copy of the program.",
        "Close that one first.",
    ),
    (
        "store.io",
        "The system refused: {why} ({path}).",
        "Nothing of this was stored. Check the folder and try again.",
    ),
    (
        "store.newer",
        "A newer version of the program wrote the data on this device; this one can only read it.",
        "Update this program.",
    ),
    ("store.no_file", "There is no stored file {name}.", "Bring this device level with another that has it."),
    ("string.no_wall", "No wall runs along {pair}.", "Strings run from a corner to the next."),
    ("undo.nothing", "There is nothing to undo.", ""),
    (
        "undo.overtaken",
        "{by} has changed this since, at {at}.",
        "What they wrote stays. Undo goes on with the step before.",
    ),
    (
        "room.is_ambiguous",
        "The room {room} could have another shape that fits its readings as well.",
        "Measure the tie that the survey names before ordering or cutting.",
    ),
    (
        "room.is_loose",
        "Nothing checks the readings of the room {room}: a slip would go unseen.",
        "Measure a diagonal before ordering or cutting.",
    ),
    (
        "room.only_quote",
        "The survey of the room {room} is good for a quote only: for setting out it lacks {lacks}.",
        "Order with breakage on top, and cut nothing by this plan yet.",
    ),
    (
        "room.is_recheck",
        "The readings of the room {room} disagree.",
        "Measure again what the survey names before ordering or cutting.",
    ),
    (
        "room.is_unsolvable",
        "The readings of the room {room} do not fix its shape.",
        "Measure what the survey names.",
    ),
    (
        "room.unsolved",
        "The readings of the room {room} do not fix its shape.",
        "Measure what the room's screen or `drylay survey` says is missing.",
    ),
    ("slip.burned_at_one", "Perhaps the tape was held at its 1 in (10 cm) mark: then it is {instead}.", ""),
    ("slip.digits_swapped", "Perhaps two digits changed places: then it is {instead}.", ""),
    ("slip.eighths_for_sixteenths", "Perhaps eighths were read for sixteenths: then it is {instead}.", ""),
    ("slip.six_for_nine", "Perhaps a 6 was read for a 9: then it is {instead}.", ""),
    (
        "slip.whole_foot",
        "Perhaps a whole foot (metric: 100 mm or 1 m) was miscounted: then it is {instead}.",
        "",
    ),
    ("slip.whole_inch", "Perhaps a whole inch was miscounted: then it is {instead}.", ""),
    (
        "survey.beyond_wall",
        "The string along {pair} was read {along} from {corner}, which is beyond the wall's end; that offset is left out.",
        "Check how far along it was.",
    ),
    ("survey.decides", "Another shape fits as well.", "Measure {pair}: that decides."),
    (
        "survey.does_not_meet",
        "The two distances to {name} do not meet: they miss each other by {gap}.",
        "Measure them again, and check the corners they were taken from.",
    ),
    ("survey.enough", "Nothing more is worth measuring.", ""),
    ("survey.folds", "The walls as read cross each other.", "Check the turns and the readings."),
    (
        "survey.heights_differ",
        "Readings were taken at different heights, so walls out of plumb show as misfits.",
        "Measure at the floor.",
    ),
    (
        "survey.likely",
        "{list} fits the rest worst, and too little is measured to be sure that it is off.",
        "Measure it again, and one more diagonal.",
    ),
    (
        "survey.longer_than_way_round",
        "{pair} is {by} longer than the way round by the other readings.",
        "Measure it again.",
    ),
    (
        "survey.restless",
        "The readings do not come to rest on one shape: ties along small angles do not tell how the walls turn.",
        "Take ties across the room.",
    ),
    (
        "survey.restless_readings",
        "The readings do not come to rest on one shape. Furthest off: {list}.",
        "Read those again, and take ties across the room.",
    ),
    ("survey.missing", "The readings do not fix the shape.", "Measure {pair}."),
    ("survey.next", "Next, {pair} would help most.", ""),
    ("survey.next_checks", "Next, {pair} would check what nothing checks yet.", ""),
    (
        "survey.one_of",
        "One of these is off, and the others cannot tell which: {list}.",
        "Measure them again, or one more diagonal.",
    ),
    (
        "survey.plate_read",
        "Measured to the bottom plate: {list}.",
        "The drywall's thickness is taken off; measure again when it is up.",
    ),
    (
        "survey.square_assumed",
        "Right angles are assumed at {corners}: nothing measured says so.",
        "A diagonal would show it.",
    ),
    ("survey.suspect", "{pair} reads {read}; the rest say {say} ± {sd}.", "Measure it again."),
    ("survey.suspect_alone", "{pair} reads {read} and disagrees with the rest.", "Measure it again."),
    (
        "survey.suspect_square",
        "The corner {corner} was called square, and the readings say otherwise.",
        "Check it again.",
    ),
    (
        "survey.trim_on",
        "Measured with the trim on: {list}.",
        "Corrected by its thickness; take the trim off to set out.",
    ),
    (
        "survey.turns_in",
        "The corner {corner} turns inwards, not outwards.",
        "Check the turn, or the readings beside it.",
    ),
    (
        "survey.turns_out",
        "The corner {corner} turns outwards, not inwards.",
        "Check the turn, or the readings beside it.",
    ),
    (
        "survey.unchecked",
        "Nothing checks {list}: a slip there would go unseen.",
        "Measure one more diagonal.",
    ),
    (
        "takeoff.heavy_pack",
        "One pack weighs {kg} kg ({lb} lb): more than the 23 kg (51 lb) that the lifting equation (NIOSH 94-110) starts from at its best.",
        "Two people lift it, or a trolley; follow local rules on lifting.",
    ),
    (
        "takeoff.no_depth",
        "{name} is not counted for {product}: nothing says how deep its joints are.",
        "Give the product its joint depth or thickness (\"joint_depth\", \"thickness\"), or the grout its depth (\"depth\").",
    ),
    (
        "takeoff.no_sealant",
        "{room} gets wet, and no sealant goes with its floor: the gap along its walls is neither grouted nor sealed.",
        "Add a supply that is for sealing gaps and joints (\"use\": \"sealant\").",
    ),
    (
        "takeoff.out_of_time",
        "The correction of the floor of {room} took too long and is not counted.",
        "Ask for flatness by itself, or try again when the machine does nothing else.",
    ),
    ("takeoff.not_cut", "{name} cannot be counted: {why}.", "Check its width, length and lap."),
    (
        "takeoff.no_rates",
        "Nothing is added for breakage and spare tiles: no rates are given.",
        "Give the job its rates (\"rates\", such as { \"breakage\": 0.03, \"attic\": 0.05 }).",
    ),
    (
        "tape.bad_sd",
        "The standard deviation must be more than 0.",
        "Write a small length, such as 1/16\" or 1.5 mm.",
    ),
    ("tape.no_wall", "No wall joins these corners.", "Name two corners that follow each other."),
    ("tape.not_positive", "The length must be more than 0.", "Check what was read."),
    ("tape.same_corner", "From a corner to itself there is nothing to measure.", "Name two corners."),
    ("tape.same_thing", "Two things have one name.", "Give each a name of its own."),
    ("tape.too_long", "The length is beyond 10 km.", "Check the figure and its unit."),
    (
        "tape.wall_too_long",
        "The wall {from}–{to} reads longer than all other walls together: no room closes that way.",
        "Check the figure and its unit.",
    ),
    (
        "work.away",
        "The plan that was given out is not on this device.",
        "Bring the devices together: it comes by itself.",
    ),
    (
        "work.no_gap",
        "Piece {piece} is not cut by a gap along its row.",
        "Hold it in its place and mark it there.",
    ),
    ("work.no_lot", "No lot is written.", "Write what is printed on the cartons."),
    ("work.no_number", "{found} is not a whole number from 1 to {most}.", "Write a whole number."),
    (
        "work.no_rows",
        "These rows are not in the plan.",
        "Rows go from 1 to {rows}, the first not after the last.",
    ),
    ("work.not_given_out", "No plan was given out for this area.", "Accept a plan and give it out."),
    (
        "work.other_plan",
        "Another plan has been given out since this screen was opened.",
        "Look at it before you mark anything.",
    ),
    ("work.unknown_note", "There is no such kind of note: {name}.", "Choose one of the list."),
    ("work.unknown_reach", "There is no such reach: {name}.", "Choose piece, row or up to here."),
    ("work.unknown_state", "There is no such mark: {name}.", "Choose cut, laid, taken_up or spoilt."),
    (
        "grout.no_hours",
        "{found} is not a number of hours.",
        "Write hours as the data sheet has them, such as 24.",
    ),
    (
        "grout.no_minutes",
        "{found} is not a whole number of minutes from 0 to {most}.",
        "Write how many minutes ago it was done, or leave it empty.",
    ),
    ("grout.no_product", "The grout has no name.", "Write what stands on the pail."),
    (
        "grout.no_warmth",
        "{found} is not a floor's temperature.",
        "Write degrees as the thermometer shows them, or leave it empty.",
    ),
    (
        "grout.unknown_section",
        "The floor has no section {name} any more.",
        "Look at the floor again: it was divided otherwise.",
    ),
    ("grout.unknown_way", "There is no opening {name}.", "Choose one of the list."),
    (
        "stage.no_reason",
        "No reason is written.",
        "Write why it goes on anyway: whoever comes later reads it.",
    ),
    ("stage.unknown", "There is no stage {name}.", "Open the job again."),
    ("stage.unknown_confirmed", "There is nothing called {name} to be agreed to.", "Choose one of the list."),
    (
        "stage.unknown_gate",
        "What was missing at this step is not missing any more.",
        "Look at the steps again.",
    ),
    ("stage.unknown_step", "There is no such step: {name}.", "Choose one of the list."),
    ("learned.changed", "The jobs say {figure} now.", "Look at it again before it is taken over."),
    (
        "learned.too_slow",
        "What the jobs say is too slow to be used as a rate.",
        "Look at the hours written down in those jobs.",
    ),
    ("learned.unknown", "No finished job says anything of {name}.", "Look at the rates again."),
    ("time.ask", "{why} So it is not sure how long it was.", "Type the hours."),
    ("time.ask_first", "{why} Another clock of yours still runs.", "Say first how long that was."),
    ("time.no_amount", "{found} is not an amount.", "Write a number of more than 0, such as 12 or 3.5."),
    (
        "time.no_hours",
        "{found} is not a time of one person at one stretch.",
        "Write hours or minutes: 1.5, 1:30 or 90 min; up to 24 hours.",
    ),
    ("time.no_people", "{found} is not a number of people.", "Write a whole number from 1 to 50."),
    ("time.unknown_material", "The quote has no material {name}.", "Choose one of the list."),
    ("time.unknown_task", "There is no task {name}.", "Choose one of the list."),
    ("walk.no_name", "Nobody has signed.", "Type the name of whoever takes the floor over."),
    ("callback.unknown_symptom", "There is no such complaint: {name}.", "Choose one of the list."),
    ("day.unknown", "{found} is not a day.", "Write it as year, month, day: 2026-09-25."),
];

/// The message and the hint of a code, with the parameters filled in. An unknown code is its own message: that
/// is a fault, and a test looks for it, but a person still sees what happened.
pub fn text(code: &str, params: &BTreeMap<String, String>) -> (String, String) {
    let spoken = Language::now().messages().iter().chain(ENGLISH);
    match spoken.into_iter().find(|(c, ..)| *c == code) {
        Some((_, message, hint)) => (fill(message, params), fill(hint, params)),
        None => (code.to_owned(), String::new()),
    }
}

/// Puts the parameters into a text, in one pass: what a parameter contains is never taken for a place to fill. `{n}` is the
/// parameter itself, `{n:tile|tiles}` the first where that is 1, else the second.
pub fn fill(template: &str, params: &BTreeMap<String, String>) -> String {
    let mut filled = String::with_capacity(template.len());
    let mut rest = template;
    while let Some(open) = rest.find('{') {
        let (before, from) = rest.split_at(open);
        let Some(close) = from.find('}') else { break };
        filled.push_str(before);
        let (name, forms) = from[1..close].split_once(':').unwrap_or((&from[1..close], ""));
        let value = params.get(name).map(String::as_str);
        filled.push_str(match (value, forms.split_once('|')) {
            (Some("1"), Some((one, _))) => one,
            (Some(_), Some((_, many))) => many,
            (Some(value), None) => value,
            (None, _) => &from[..=close],
        });
        rest = &from[close + 1..];
    }
    filled.push_str(rest);
    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_stands_once_and_every_message_is_a_sentence() {
        let mut codes: Vec<&str> = ENGLISH.iter().map(|(c, ..)| *c).collect();
        let count = codes.len();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), count);
        for (code, message, hint) in ENGLISH {
            assert!(message.ends_with(['.', '?']) && (hint.is_empty() || hint.ends_with('.')), "{code}");
        }
    }

    #[test]
    fn parameters_are_filled_in_once() {
        let params = BTreeMap::from([("a".to_owned(), "{b}".to_owned()), ("b".to_owned(), "no".to_owned())]);
        assert_eq!(fill("{a} and {c} {", &params), "{b} and {c} {");
    }

    #[test]
    fn one_and_more_are_said_apart() {
        let said = |n: &str, text: &str| fill(text, &BTreeMap::from([("n".to_owned(), n.to_owned())]));
        let text = "{n} {n:piece is|pieces are} not laid yet.";
        assert_eq!(said("1", text), "1 piece is not laid yet.");
        assert_eq!(said("0", text), "0 pieces are not laid yet.");
        assert_eq!(said("21", text), "21 pieces are not laid yet.");
        let no_forms = r#"{"n": 1} {m:tile|tiles}"#;
        assert_eq!(said("1", no_forms), no_forms, "what is no parameter stays as it is");
    }
}
