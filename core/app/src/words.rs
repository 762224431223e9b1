//! The short words of the core: labels, verdicts, what undo would take back. Whole sentences that say what is
//! wrong are in [`messages`](crate::messages); both are one catalogue of two tables, by code.

use crate::messages::fill;
use std::collections::BTreeMap;

/// The words in English, sorted by code. `{name}` is a parameter.
pub const ENGLISH: &[(&str, &str)] = &[
    ("buy.accepted", "From accepted plans."),
    ("buy.area", "Floor to cover"),
    ("buy.attic.job", "For repairs in years to come: {percent} % of them, this job's rate"),
    ("buy.attic.none", "For repairs in years to come: no rate"),
    ("buy.attic.shop", "For repairs in years to come: {percent} % of them, the shop's rate"),
    ("buy.breakage.job", "For breakage: {percent} % of them, this job's rate"),
    ("buy.breakage.none", "For breakage: no rate"),
    ("buy.breakage.shop", "For breakage: {percent} % of them, the shop's rate"),
    ("buy.carton", "Tiles in a carton"),
    ("buy.cartons", "cartons"),
    ("buy.guess", "Area plus {percent} % would have been {packs} cartons."),
    ("buy.not_accepted", "No plan is accepted yet: this may still change."),
    ("buy.plan", "Tiles of the plan"),
    ("buy.tile", "tiles"),
    ("cut.corner", "one cut across and one along"),
    ("cut.length", "one cut across"),
    ("cut.rip", "one cut along"),
    ("cut.shape", "cut to shape"),
    ("cut.whole", "whole tile"),
    ("lack.agreement", "readings that agree"),
    ("lack.bare_walls", "readings to the bare walls"),
    ("lack.checks", "a check for every reading"),
    ("lack.one_shape", "a reading that decides between two shapes"),
    ("lack.readings", "readings that fix the shape"),
    ("lack.sharpness", "sharpness: a distance between corners is known to ± {sd} only"),
    ("mark.from_end", "from the end that faces the row's end"),
    ("mark.from_high", "from the edge that faces the next row"),
    ("mark.from_low", "from the edge that faces row 1"),
    ("mark.from_start", "from the end that faces the row's start"),
    ("pin.job", "The job"),
    ("pin.opening", "An opening, {room}"),
    ("pin.piece", "Piece {piece}"),
    ("pin.reading", "Reading {from}–{to}, {room}"),
    ("pin.wall", "Wall {from}–{to}, {room}"),
    ("piece.new_tile", "From tile {tile}, a new one."),
    ("piece.offcut", "From the offcut of piece {piece}."),
    ("compare.breaches", "Pieces against a rule"),
    ("compare.cartons", "Cartons"),
    ("compare.corner", "Cut across and along"),
    ("compare.cut_pieces", "Pieces to cut"),
    ("compare.first_row", "First row"),
    ("compare.last_row", "Last row"),
    ("compare.length", "Cut across"),
    ("compare.narrowest", "Narrowest piece"),
    ("compare.rip", "Cut along"),
    ("compare.shape", "Cut to shape"),
    ("compare.shortest_end", "Shortest end"),
    ("compare.tiles", "Tiles"),
    ("compare.whole", "Whole tiles"),
    ("doubt.appears", "{piece} comes in if {off}"),
    ("doubt.inwards", "the wall {from}–{to} stands {by} further in"),
    ("doubt.mends", "{piece} keeps the rule if {off}"),
    ("doubt.narrow", "{piece} is too narrow if {off}"),
    ("doubt.outwards", "the wall {from}–{to} stands {by} further out"),
    ("doubt.shape", "the room's corners are {by} off together"),
    ("doubt.short", "{piece} is too short if {off}"),
    ("doubt.vanishes", "{piece} falls away if {off}"),
    ("plan.accepted", "This is the accepted plan."),
    ("plan.alternative", "{tiles} tiles, narrowest {narrowest}"),
    ("plan.best_so_far", "The best of {tried} choices; a better one may exist."),
    ("plan.so_far", "Best so far: {tiles} tiles, at least {least}; narrowest piece {narrowest}."),
    (
        "plan.so_far_breaches",
        "Best so far: {breaches} pieces against a rule, {tiles} tiles; narrowest piece {narrowest}.",
    ),
    ("plan.choice", "Rows along {along}, offset {offset}"),
    ("plan.narrow", "{piece} is {value} wide; {limit} is asked"),
    ("plan.proven", "No choice on the marking-out grid is better ({tried} compared)."),
    ("plan.short", "{piece} is {value} long; {limit} is asked"),
    (
        "tool.corner",
        "Wet saw, or score and snap twice (common practice). Eye protection; keep the blade wet, silica dust harms the lungs.",
    ),
    ("tool.length", "Score and snap (common practice). Eye protection."),
    (
        "tool.rip",
        "Score and snap, or the wet saw for narrow strips (common practice). Eye protection; keep the blade wet.",
    ),
    (
        "tool.shape",
        "Wet saw for the legs of a notch, then score and tap out the middle (common practice). Eye protection; keep the blade wet, silica dust harms the lungs.",
    ),
    ("tool.whole", "No cut."),
    ("what.accepted", "plan of {name} accepted"),
    ("advice.enough", "Nothing more is worth measuring."),
    (
        "advice.beyond_wall",
        "The string along {pair} was read {along} from {corner}, which is beyond its end: that offset is left out.",
    ),
    ("advice.does_not_meet", "The two distances to {name} do not meet: they miss each other by {gap}."),
    ("advice.folds", "The walls cross as read: look for a wrong wall or a wrong turn."),
    ("advice.heights", "Readings were taken at different heights: walls out of plumb show as misfits."),
    ("advice.likely", "{which} fits the rest worst, and too little is measured to be sure that it is off."),
    ("advice.one_of", "One of these is off, and the others cannot tell which: {which}."),
    ("advice.plate_read", "Read to the bottom plate, and the boards' thickness taken off: {pairs}."),
    ("advice.restless", "The readings come to rest on no shape: take ties across the room."),
    (
        "advice.restless_readings",
        "The readings come to rest on no shape: read {pairs} again, and take ties across the room.",
    ),
    ("advice.slip", "Perhaps {slip}: that would be {instead}. Measure it again."),
    ("advice.square_assumed", "Right angles stand in for readings at {corners}: measure a diagonal."),
    ("advice.suspect", "{pair} reads {read}; the rest say {says}."),
    ("advice.suspect_square", "The square check at {corner} disagrees with all readings."),
    (
        "advice.too_long_round",
        "{pair} is {by} longer than the way round by the others: one of them is wrong.",
    ),
    ("advice.trim_on", "Read with the trim on, and corrected by its thickness: {pairs}."),
    ("advice.turns", "Corner {corner} turns {way}, not as said."),
    ("advice.unchecked", "Nothing checks {pairs}."),
    ("device.unnamed", "This device"),
    ("device.store", "{jobs} jobs, {documents} documents in {folder}"),
    ("good_for.lacks", "For setting out it lacks {lacks}."),
    ("good_for.nothing", "Good for nothing yet: order nothing by it."),
    (
        "good_for.quote",
        "Good for a quote: order tile with breakage on top, underlayment and compound by it. Cut nothing by it yet, and order nothing cut to length.",
    ),
    (
        "good_for.setting_out",
        "Good for setting out: cut by it, and order exact cartons, trim and strips to length by it.",
    ),
    ("history.added", "{what} added"),
    ("history.changed", "{what}: {field} is now {value}"),
    ("history.read", "{pair} read {text}"),
    ("history.square", "Corner {corner} found square"),
    ("history.withdrawn", "{what} taken out"),
    ("next.checks", "{pair} checks {checks}."),
    ("next.missing", "{pair} is needed to fix the shape."),
    ("next.decides", "{pair} decides between two shapes: {one} or {other}."),
    ("next.sharpens", "{pair} makes the room known better by {gain}."),
    ("slip.burned_at_one", "the tape was held at its first mark"),
    ("slip.digits_swapped", "two digits changed places"),
    ("slip.eighths_for_sixteenths", "sixteenths were counted as eighths, or the other way round"),
    ("slip.six_for_nine", "a 6 was read for a 9, or the other way round"),
    ("slip.whole_foot", "a whole foot too much or too little"),
    ("slip.whole_inch", "a whole inch too much or too little"),
    ("thing.cabinet", "cabinet"),
    ("thing.hearth", "hearth"),
    ("thing.other", "keep-out"),
    ("thing.pipe", "pipe"),
    ("thing.post", "post"),
    ("thing.register", "register"),
    ("turn.in", "inwards"),
    ("turn.out", "outwards"),
    ("verdict.ambiguous", "Two shapes fit these readings."),
    ("verdict.consistent", "All readings agree."),
    ("verdict.given", "Given as coordinates, not measured."),
    ("verdict.loose", "Solved, but nothing checks it."),
    ("verdict.recheck", "Something does not fit: measure again."),
    ("verdict.unsolvable", "Not enough is measured yet."),
    ("what.accept", "plan accepted"),
    ("what.area", "area {name}"),
    ("what.area_removed", "area {name} removed"),
    ("what.corner", "corner {name}"),
    ("what.corner_added", "corner {name} added"),
    ("what.corner_removed", "corner {name} removed"),
    ("what.edge", "gap along {pair}"),
    ("what.job", "the job's particulars"),
    ("what.keepout", "keep-out {name}"),
    ("what.keepout_removed", "keep-out {name} removed"),
    ("what.opening", "opening in {pair}"),
    ("what.opening_removed", "opening in {pair} removed"),
    ("what.passage", "passage"),
    ("what.passage_removed", "passage removed"),
    ("what.note", "note"),
    ("what.measured", "what was measured to"),
    ("what.offset", "offset from the string along {pair}"),
    ("what.offset_removed", "offset from the string along {pair} removed"),
    ("what.touched", "what {pair} was held to"),
    ("what.note_removed", "note taken out"),
    ("what.photo", "photo taken in"),
    ("what.photo_changed", "photo"),
    ("what.photo_drawn", "mark on a photo"),
    ("what.photo_removed", "photo taken out"),
    ("what.photo_wiped", "mark on a photo taken off"),
    ("what.product", "product {name}"),
    ("what.reading", "{pair}: {text}"),
    ("what.reading_cleared", "{pair} cleared"),
    ("what.room", "room {name}"),
    ("what.room_added", "room {name} added"),
    ("what.room_removed", "room {name} removed"),
    ("what.room_renamed", "room renamed {name}"),
    ("what.settled", "disagreement settled"),
    ("what.square", "square at {corner}"),
    ("what.turn", "turn at {corner}"),
];

/// The words of a code, with the parameters filled in. An unknown code is its own words; a test looks for those.
pub(crate) fn say(code: &str, params: &[(&str, &str)]) -> String {
    let template = ENGLISH.iter().find(|(c, _)| *c == code).map_or(code, |(_, words)| words);
    let params: BTreeMap<String, String> =
        params.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
    fill(template, &params)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_stands_once() {
        let mut codes: Vec<&str> = ENGLISH.iter().map(|(code, _)| *code).collect();
        let all = codes.len();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), all);
    }

    #[test]
    fn parameters_are_filled_in() {
        assert_eq!(say("what.room", &[("name", "{pair}")]), "room {pair}");
    }
}
