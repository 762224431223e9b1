//! Cut sheets to work from on the floor: a card for each piece that is cut, by tool and by cut.

use super::setter::{Setter, caution, said_or};
use crate::answers::{CuttingAnswer, MarkAnswer};
use crate::views::plan::card;
use crate::wire::PieceCard;
use crate::words::say;
use drylay_papers::Point;
use drylay_papers::paper::{Block, Card, Fact, Figure, Item, Paper, Stroke, Tone};

/// The greatest height of a card's drawing, mm.
const CARD: f64 = 24.0;
/// Tools in the order in which they are carried in; pieces without one come last.
const TOOLS: [&str; 4] = ["snap", "wet_saw", "wet_saw_and_tap", ""];
const CUTS: [&str; 4] = ["length", "rip", "corner", "shape"];

/// The cut sheets; `None` where nothing is cut.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    let mut blocks = Vec::new();
    let (mut ahead, mut first, mut dusty) = (0, 0, false);
    for (area, wire, drawn) in &setter.areas {
        let cut: Vec<_> =
            wire.pieces.iter().filter_map(|piece| Some((piece, piece.cutting.as_ref()?))).collect();
        if cut.is_empty() {
            continue;
        }
        let mut heading = setter.area_heading(drawn);
        for tool in TOOLS {
            for kind in CUTS {
                let here = cut.iter().filter(|(p, c)| p.cut == kind && c.tool.unwrap_or_default() == tool);
                let cards: Vec<Card> = here
                    .filter_map(|(piece, cutting)| {
                        Some(of_piece(setter, &card(area, setter.units, &piece.id)?, cutting))
                    })
                    .collect();
                if cards.is_empty() {
                    continue;
                }
                dusty |= tool != "snap";
                blocks.extend(heading.take());
                blocks.push(Block::Heading(group(tool, kind, cards.len())));
                blocks.push(Block::Cards(cards));
            }
        }
        ahead += cut.iter().filter(|(_, c)| c.when == "cut_ahead").count();
        first += cut.iter().filter(|(_, c)| c.when == "measure_first").count();
    }
    if blocks.is_empty() {
        return None;
    }
    let fact =
        |code: &str, n: usize| Fact { label: say(code, &[]), value: n.to_string(), note: String::new() };
    let facts = vec![
        fact("paper.cuts.all", ahead + first),
        fact("paper.cuts.ahead", ahead),
        fact("paper.cuts.first", first),
    ];
    let mut top = vec![Block::Facts(facts), Block::Text(say("paper.cuts.how", &[]))];
    if dusty {
        top.push(caution("papers.silica"));
        top.push(caution("papers.saw"));
    }
    top.push(caution("papers.snap"));
    top.extend(blocks);
    Some(setter.paper("paper.cuts", Vec::new(), top))
}

fn group(tool: &str, kind: &str, n: usize) -> String {
    let tool = said_or("paper.tool", if tool.is_empty() { "unsaid" } else { tool });
    let cut = say(&format!("cut.{kind}"), &[]);
    say("paper.cuts.group", &[("tool", &tool), ("cut", &cut), ("n", &n.to_string())])
}

fn of_piece(setter: &Setter<'_>, piece: &PieceCard, cutting: &CuttingAnswer) -> Card {
    let figures = figures(setter, &cutting.marks);
    let size =
        say("paper.cuts.size", &[("length", &piece.size.length.text), ("width", &piece.size.width.text)]);
    let when = if piece.when == "measure_first" { piece.when_words.clone() } else { String::new() };
    let care = [when, piece.weak_words.clone()];
    let care: Vec<String> = care.into_iter().filter(|words| !words.is_empty()).collect();
    Card {
        title: piece.id.clone(),
        note: format!("{}\n{size}", piece.from_words),
        figure: drawing(piece, cutting),
        figures,
        care: care.join(" "),
    }
}

/// What to mark, each with where; two marks at one distance are one cut square across or along.
fn figures(setter: &Setter<'_>, marks: &[MarkAnswer]) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let mut left: Vec<&MarkAnswer> = marks.iter().collect();
    while !left.is_empty() {
        let mark = left.remove(0);
        let text = setter.planned(mark.figure);
        let same = |other: &&MarkAnswer| {
            other.from == mark.from && other.on != mark.on && setter.planned(other.figure) == text
        };
        let on = match left.iter().position(same) {
            Some(at) => {
                left.remove(at);
                "square"
            }
            None => mark.on,
        };
        let place = say(&format!("paper.mark.{on}"), &[]);
        let from = say(&format!("paper.mark.from_{}", mark.from), &[]);
        found.push((say("paper.mark.place", &[("place", &place), ("from", &from)]), text));
    }
    found
}

/// Where a mark lies on the tile's edges; `None` inside of it.
fn tick(mark: &MarkAnswer, [length, width]: [f64; 2]) -> Option<Item> {
    let reach = width * 0.06;
    let at = match mark.from {
        "end" => length - mark.figure,
        "high" => width - mark.figure,
        _ => mark.figure,
    };
    let ends = match mark.on {
        "row_low" => [[at, -reach], [at, reach]],
        "row_high" => [[at, width - reach], [at, width + reach]],
        "start" => [[-reach, at], [reach, at]],
        "end" => [[length - reach, at], [length + reach, at]],
        _ => return None,
    };
    Some(Item::Line { ends, stroke: Stroke::of(Tone::Accent, 1.6) })
}

fn pairs(flat: &[f64]) -> Vec<Point> {
    flat.chunks_exact(2).map(|xy| [xy[0], xy[1]]).collect()
}

/// The tile with what stays of it.
fn drawing(piece: &PieceCard, cutting: &CuttingAnswer) -> Figure {
    let [length, width] = piece.tile_face;
    let face = vec![[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]];
    let rings = std::iter::once(&piece.on_tile.outer).chain(&piece.on_tile.holes).map(|ring| pairs(ring));
    let rings: Vec<Vec<Point>> = rings.collect();
    let (at, room) = drylay_papers::inside(&rings);
    let mut items = vec![
        Item::Area { rings: vec![face], fill: Tone::Paper, stroke: Stroke::dashed(Tone::Line, 0.7) },
        Item::Area { rings, fill: Tone::Wash, stroke: Stroke::of(Tone::Ink, 1.1) },
        Item::Label {
            at,
            words: piece.id.clone(),
            size: 13.0,
            room: Some(room),
            tone: Tone::Ink,
            offset: [0.0; 2],
        },
    ];
    items.extend(cutting.marks.iter().filter_map(|mark| tick(mark, piece.tile_face)));
    Figure { items, words: String::new(), height: CARD }
}
