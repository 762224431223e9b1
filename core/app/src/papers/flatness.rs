//! The flatness record: what was read, what is asked, what was found, and what is done about it.

use super::setter::{PART_OF_PAGE, Setter, caution, figure};
use crate::answers::{ChordAnswer, RoomFlatness, ToleranceAnswer};
use crate::views::floor::fine;
use crate::words::say;
use drylay_document::sheet;
use drylay_papers::paper::{Block, Column, Fact, Item, Paper, Row, Stroke, Table, Tone};

/// Floor coverings in houses built no later than this are taken for asbestos until shown otherwise (29 CFR 1926.1101).
const ASBESTOS_UNTIL: u32 = 1980;

/// The flatness record; `None` where no floor was read.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    let read: Vec<&RoomFlatness> =
        setter.basis.flatness.rooms.iter().filter(|room| !room.heights.is_empty()).collect();
    let mut blocks = Vec::new();
    let mut grinds = false;
    for (i, room) in read.iter().enumerate() {
        if i > 0 {
            blocks.push(Block::Break);
        }
        blocks.push(Block::Heading(setter.room(&room.id)));
        blocks.push(facts(setter, room));
        blocks.push(Block::Text(say(&format!("flat.verdict.{}", room.verdict), &[])));
        blocks.push(tolerances(setter, room));
        blocks.extend(map(setter, room));
        blocks.extend(correction(setter, room));
        grinds |= room.correction.as_ref().is_some_and(|c| c.grind_litres > 0.0);
        blocks.extend(heights(setter, room));
    }
    if blocks.is_empty() {
        return None;
    }
    if grinds {
        blocks.push(caution("papers.grinding"));
    }
    if setter.basis.sheet.job.built.is_none_or(|year| year <= ASBESTOS_UNTIL) {
        blocks.push(caution("papers.old_floor"));
    }
    blocks.push(Block::Small(say("paper.flat.how", &[])));
    Some(setter.paper("paper.flat", Vec::new(), blocks))
}

fn facts(setter: &Setter<'_>, room: &RoomFlatness) -> Block {
    let all = || room.tolerances.iter().flat_map(|t| t.worst_dip.iter().chain(&t.worst_hump));
    let worst = all().map(|chord| chord.deviation).fold(0.0, f64::max);
    let sd = all().find(|chord| chord.deviation >= worst).map_or(0.0, |chord| chord.sd);
    let fact = |code: &str, value: String, note: String| Fact { label: say(code, &[]), value, note };
    Block::Facts(vec![
        fact("paper.flat.verdict", say(&format!("paper.flat.{}", room.verdict), &[]), String::new()),
        fact("paper.flat.worst", fine(setter.units, worst), format!("± {}", fine(setter.units, sd))),
        fact("paper.flat.points", room.heights.len().to_string(), String::new()),
    ])
}

fn tolerances(setter: &Setter<'_>, room: &RoomFlatness) -> Block {
    let worst = |chord: &Option<ChordAnswer>| {
        chord.as_ref().map_or_else(
            || "–".to_owned(),
            |chord| format!("{}\n± {}", fine(setter.units, chord.deviation), fine(setter.units, chord.sd)),
        )
    };
    let row = |t: &ToleranceAnswer| {
        let asked =
            say("paper.flat.in", &[("gap", &fine(setter.units, t.gap)), ("span", &setter.planned(t.span))]);
        let source = t.source.map_or_else(String::new, |source| format!("\n{source}"));
        let verdict = say(&format!("paper.flat.{}", t.verdict), &[]);
        Row::of(vec![asked + &source, worst(&t.worst_dip), worst(&t.worst_hump), verdict])
    };
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.asked", &[]), 1.0),
            Column::figures(say("paper.column.dip", &[])),
            Column::figures(say("paper.column.hump", &[])),
            Column::figures(say("paper.column.found_it", &[])),
        ],
        rows: room.tolerances.iter().map(row).collect(),
    })
}

/// The room with its readings, and where the straightedge lies that finds most.
fn map(setter: &Setter<'_>, room: &RoomFlatness) -> Option<Block> {
    let (in_sheet, shape) = setter.basis.room(&room.id)?;
    let outline = shape.outline.as_ref()?;
    let ring: Vec<[f64; 2]> = outline.corners().iter().map(|corner| super::drawing::mm(corner.at)).collect();
    let stroke = Stroke::of(Tone::Ink, 1.4);
    let mut items = vec![Item::Area { rings: vec![ring.clone()], fill: Tone::Paper, stroke }];
    items.extend(in_sheet.keepouts.iter().map(|keepout| Item::Area {
        rings: vec![keepout.outline.iter().map(|[x, y]: &[sheet::Measure; 2]| [x.mm(), y.mm()]).collect()],
        fill: Tone::Line,
        stroke: Stroke::of(Tone::Ink, 0.8),
    }));
    let chords = || room.tolerances.iter().flat_map(|t| t.worst_dip.iter().chain(&t.worst_hump));
    let worst =
        chords().max_by(|a, b| a.deviation.total_cmp(&b.deviation)).filter(|chord| chord.deviation > 0.05);
    items.extend(
        worst.map(|chord| Item::Line { ends: chord.chord, stroke: Stroke::dashed(Tone::Accent, 1.4) }),
    );
    let free = spacing(room);
    for height in &room.heights {
        items.push(Item::Label {
            at: height.at,
            words: format!("{:.1}", height.z),
            size: 8.5,
            room: Some([free * 0.9, free * 0.9]),
            tone: Tone::Ink,
            offset: [aside(&ring, height.at), 0.0],
        });
    }
    items.extend(worst.map(|chord| Item::Mark { at: chord.at, tone: Tone::Accent }));
    Some(figure(items, say("paper.flat.figure", &[]), PART_OF_PAGE))
}

/// Where a figure stands that a wall would cross: beside its place, by a point, on the side away from the wall.
fn aside(ring: &[[f64; 2]], [x, y]: [f64; 2]) -> f64 {
    // Half of what a figure takes of a floor at the scale of a page, mm.
    const HALF: f64 = 180.0;
    let ends = ring.iter().zip(ring.iter().cycle().skip(1));
    let crossed = ends.filter(|(a, b)| (a[1] > y) != (b[1] > y));
    let walls: Vec<f64> = crossed.map(|(a, b)| a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])).collect();
    if walls.iter().any(|wall| (0.0..HALF).contains(&(x - wall))) {
        1.0
    } else if walls.iter().any(|wall| (0.0..HALF).contains(&(wall - x))) {
        -1.0
    } else {
        0.0
    }
}

/// How far neighbouring readings stand apart at least, in mm.
fn spacing(room: &RoomFlatness) -> f64 {
    let at: Vec<[f64; 2]> = room.heights.iter().map(|height| height.at).collect();
    let mut least = f64::MAX;
    for (i, a) in at.iter().enumerate() {
        for b in &at[i + 1..] {
            let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
            let apart = (dx * dx + dy * dy).sqrt();
            if apart > 1.0 {
                least = least.min(apart);
            }
        }
    }
    if least < f64::MAX { least } else { 500.0 }
}

fn correction(setter: &Setter<'_>, room: &RoomFlatness) -> Vec<Block> {
    let Some(done) = &room.correction else { return Vec::new() };
    let litres = |x: f64| format!("{x:.1} L");
    let fact = |code: &str, value: String| Fact { label: say(code, &[]), value, note: String::new() };
    let mut blocks = vec![
        Block::Heading(say("paper.flat.correction", &[])),
        Block::Facts(vec![
            fact("paper.flat.fill", litres(done.fill_litres)),
            fact("paper.flat.grind", litres(done.grind_litres)),
            fact("paper.flat.after", fine(setter.units, done.worst_after)),
        ]),
    ];
    if let Some(work) = &done.work {
        let row = |mix: &crate::answers::PortionsAnswer| {
            let name = setter.basis.sheet.bought_name(&mix.compound).to_owned();
            Row::of(vec![name, litres(mix.litres), mix.bags.to_string(), mix.portions.to_string()])
        };
        blocks.push(Block::Table(Table {
            columns: vec![
                Column::words(say("paper.column.compound", &[]), 1.0),
                Column::figures(say("paper.column.litres", &[])),
                Column::figures(say("paper.column.bags", &[])),
                Column::figures(say("paper.column.portions", &[])),
            ],
            rows: work.compounds.iter().map(row).collect(),
        }));
    }
    blocks
}

/// Every reading's height, and what is done there.
fn heights(setter: &Setter<'_>, room: &RoomFlatness) -> Vec<Block> {
    let changes = room.correction.iter().flat_map(|c| &c.points);
    let changes: Vec<_> = changes.collect();
    let nothing = fine(setter.units, 0.0);
    let by = |x: f64| {
        Some(fine(setter.units, x)).filter(|text| *text != nothing).unwrap_or_else(|| "–".to_owned())
    };
    let row = |height: &crate::answers::HeightAnswer| {
        let change = changes.iter().find(|change| change.id == height.id);
        let (fill, grind) = change.map_or((0.0, 0.0), |change| (change.fill, change.grind));
        let place = format!("{:.0}, {:.0}", height.at[0], height.at[1]);
        Row::of(vec![
            height.id.clone(),
            place,
            format!("{:.1} ± {:.1}", height.z, height.sd),
            by(fill),
            by(grind),
        ])
    };
    vec![
        Block::Heading(say("paper.flat.heights", &[])),
        Block::Table(Table {
            columns: vec![
                Column::words(say("paper.column.point", &[]), 0.0),
                Column::figures(say("paper.column.place", &[])),
                Column::figures(say("paper.column.height", &[])),
                Column::figures(say("paper.column.fill", &[])),
                Column::figures(say("paper.column.grind", &[])),
            ],
            rows: room.heights.iter().map(row).collect(),
        }),
    ]
}
