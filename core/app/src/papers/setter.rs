//! What all papers of a job have in common: units, names, the title block, and the plan as a drawing.

use super::{Basis, Wish, drawing};
use crate::Problem;
use crate::answers::{PlanArea, PlannedArea};
use crate::wire::Units;
use crate::words::{has, say};
use drylay_document::sheet;
use drylay_geometry::Length;
use drylay_papers::paper::{Block, Figure, Item, Paper, Size, Stroke, Tone};
use drylay_papers::{Cut, PlanDrawing, inside};

/// The greatest height of a drawing among other things, mm.
pub(super) const PART_OF_PAGE: f64 = 115.0;

/// A job whose papers are being made.
pub(crate) struct Setter<'a> {
    pub(super) basis: &'a Basis,
    pub(super) wish: &'a Wish,
    pub(super) units: Units,
    /// Each area with its answer and its drawing.
    pub(super) areas: Vec<(&'a PlannedArea, PlanArea, PlanDrawing)>,
}

impl<'a> Setter<'a> {
    pub(crate) fn new(basis: &'a Basis, wish: &'a Wish) -> Self {
        let units = match basis.sheet.units {
            sheet::Units::Metric => Units::Metric,
            sheet::Units::Imperial => Units::Imperial,
            sheet::Units::Inches => Units::Inches,
        };
        let area = |area: &'a std::sync::Arc<PlannedArea>| {
            let wire = PlanArea::of(area);
            let drawn = drawing::of(&basis.sheet, area, &wire);
            (area.as_ref(), wire, drawn)
        };
        Self { basis, wish, units, areas: basis.areas.iter().map(area).collect() }
    }

    /// A paper with its title block.
    pub(super) fn paper(&self, title: &str, more: Vec<(String, String)>, blocks: Vec<Block>) -> Paper {
        let job = &self.basis.sheet.job;
        let known = [("paper.for", &job.client), ("paper.at", &job.site), ("paper.day", &self.wish.day)];
        let known = known.into_iter().filter(|(_, words)| !words.trim().is_empty());
        let mut head: Vec<_> = known.map(|(code, words)| (say(code, &[]), words.clone())).collect();
        head.extend(more);
        Paper {
            title: say(title, &[]),
            job: if job.name.is_empty() { say("paper.unnamed", &[]) } else { job.name.clone() },
            from: self.wish.shop.clone(),
            head,
            foot: say("paper.foot", &[]),
            size: self.wish.size.unwrap_or(if self.units == Units::Metric { Size::A4 } else { Size::Letter }),
            blocks,
            pictures: Vec::new(),
        }
    }

    /// A length on the marking-out grid.
    pub(super) fn planned(&self, mm: f64) -> String {
        self.units.planned(Length::from_mm_f64(mm).unwrap_or(Length::ZERO)).text
    }

    /// What a room is called.
    pub(super) fn room(&self, id: &str) -> String {
        let known = self.basis.sheet.rooms.iter().find(|room| room.id.as_str() == id);
        known.map_or_else(|| id.to_owned(), |room| room.title().to_owned())
    }

    /// What is laid in an area.
    pub(super) fn product(&self, area: &str) -> Option<&sheet::Product> {
        let area = self.basis.sheet.areas.iter().find(|a| a.id == area)?;
        self.basis.sheet.product(&area.product)
    }

    /// A heading for an area, where there are several.
    pub(super) fn area_heading(&self, drawn: &PlanDrawing) -> Option<Block> {
        (self.areas.len() > 1).then(|| Block::Heading(drawn.title.clone()))
    }
}

/// What is to be taken care of.
pub(super) fn caution(code: &str) -> Block {
    let problem = Problem::new(code, "");
    Block::Caution { words: problem.message, hint: problem.hint }
}

/// The words of a code if there are some, else the code's last part.
pub(super) fn said_or(area: &str, word: &str) -> String {
    let code = format!("{area}.{word}");
    if has(&code) { say(&code, &[]) } else { word.to_owned() }
}

/// The plan of an area with every piece and its number.
pub(super) fn plan_items(drawn: &PlanDrawing, numbers: bool) -> Vec<Item> {
    let mut items = Vec::new();
    for room in &drawn.rooms {
        items.push(Item::Area {
            rings: vec![room.ring.clone()],
            fill: Tone::Paper,
            stroke: Stroke::of(Tone::Clear, 0.0),
        });
    }
    for piece in &drawn.pieces {
        let fill = match piece.cut {
            Cut::Whole => Tone::Paper,
            Cut::Length | Cut::Rip => Tone::Tint,
            Cut::Corner | Cut::Shape => Tone::Wash,
        };
        let stroke = Stroke::of(Tone::Soft, 0.35);
        items.push(Item::Area { rings: piece.rings.clone(), fill, stroke });
    }
    items.extend(keepouts(drawn));
    items.extend(walls(drawn));
    let accent = |ends: &[[f64; 2]; 2]| Item::Line { ends: *ends, stroke: Stroke::dashed(Tone::Accent, 1.2) };
    items.extend(drawn.joints.iter().map(accent));
    if numbers {
        let number = |piece: &drylay_papers::DrawnPiece| {
            let (at, room) = inside(&piece.rings);
            let room = Some([room[0] * 0.9, room[1]]);
            let (words, tone, offset) = (piece.id.clone(), Tone::Ink, [0.0; 2]);
            Item::Label { at, words, size: 9.0, room, tone, offset }
        };
        items.extend(drawn.pieces.iter().map(number));
    }
    items
}

/// What the floor goes round.
pub(super) fn keepouts(drawn: &PlanDrawing) -> impl Iterator<Item = Item> {
    drawn.keepouts.iter().map(|(_, ring)| Item::Area {
        rings: vec![ring.clone()],
        fill: Tone::Line,
        stroke: Stroke::of(Tone::Ink, 0.8),
    })
}

/// The walls, with their openings left open.
pub(super) fn walls(drawn: &PlanDrawing) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for room in &drawn.rooms {
        items.push(Item::Area {
            rings: vec![room.ring.clone()],
            fill: Tone::Clear,
            stroke: Stroke::of(Tone::Ink, 1.4),
        });
    }
    for ends in &drawn.openings {
        items.push(Item::Line { ends: *ends, stroke: Stroke::of(Tone::Paper, 2.0) });
        items.push(Item::Line { ends: *ends, stroke: Stroke::dashed(Tone::Soft, 0.4) });
    }
    items
}

/// The names of rooms, where several are drawn.
pub(super) fn room_names(drawn: &PlanDrawing) -> Vec<Item> {
    let name = |room: &drylay_papers::DrawnRoom| {
        let (at, size) = inside(std::slice::from_ref(&room.ring));
        Item::Label {
            at,
            words: room.name.clone(),
            size: 11.0,
            room: Some(size),
            tone: Tone::Soft,
            offset: [0.0; 2],
        }
    };
    drawn.rooms.iter().map(name).collect()
}

/// The plan of an area with all numbers, on a page of its own.
pub(super) fn plan_page(title: String, drawn: &PlanDrawing) -> Block {
    let (items, words) = (plan_items(drawn, true), say("paper.plan_words", &[]));
    Block::Page(title, Figure { items, words, height: 0.0 })
}

/// A drawing with words below it.
pub(super) fn figure(items: Vec<Item>, words: String, height: f64) -> Block {
    Block::Figure(Figure { items, words, height })
}
