//! A drawing of the floor, scaled to the page.

use crate::source::{list, quoted};
use drylay_papers::paper::{Figure, Item, Stroke, Tone};

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// The smallest letters that can be read on a floor, points.
const LEAST_LETTERS: f64 = 4.0;

/// From the floor to the page.
struct Scale {
    least: [f64; 2],
    by: f64,
}

impl Scale {
    fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [(x - self.least[0]) * self.by, (y - self.least[1]) * self.by]
    }

    fn place(&self, at: [f64; 2]) -> String {
        let [x, y] = self.at(at);
        format!("({x:.3}mm, {y:.3}mm)")
    }
}

/// A drawing as `(width, height, items)`, at most so wide on the page in mm.
pub(crate) fn figure(figure: &Figure, width: f64) -> String {
    let Some((least, most)) = bounds(figure) else { return "(0mm, 0mm, ())".to_owned() };
    let size = [(most[0] - least[0]).max(1.0), (most[1] - least[1]).max(1.0)];
    let by = scale(figure, [width, figure.height]);
    let scale = Scale { least, by };
    let items: Vec<String> = figure.items.iter().filter_map(|one| item(one, &scale)).collect();
    format!("({:.3}mm, {:.3}mm, {})", size[0] * scale.by, size[1] * scale.by, list(&items))
}

/// The scale at which a drawing fits into a room on the page in mm.
pub(crate) fn scale(figure: &Figure, room: [f64; 2]) -> f64 {
    let Some((least, most)) = bounds(figure) else { return 1.0 };
    let by = |k: usize| room[k] / (most[k] - least[k]).max(1.0);
    by(0).min(by(1))
}

fn bounds(figure: &Figure) -> Option<([f64; 2], [f64; 2])> {
    let mut found: Option<([f64; 2], [f64; 2])> = None;
    let mut take = |p: &[f64; 2]| {
        let (least, most) = found.unwrap_or((*p, *p));
        found = Some(([least[0].min(p[0]), least[1].min(p[1])], [most[0].max(p[0]), most[1].max(p[1])]));
    };
    for item in &figure.items {
        match item {
            Item::Area { rings, .. } => rings.iter().flatten().for_each(&mut take),
            Item::Line { ends, .. } => ends.iter().for_each(&mut take),
            Item::Mark { at, .. } => take(at),
            Item::Label { .. } => {}
        }
    }
    found.filter(|(least, most)| least.iter().chain(most).all(|x| x.is_finite()))
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Clear => "none",
        Tone::Paper => "white",
        Tone::Tint => "tint",
        Tone::Wash => "wash",
        Tone::Line => "thin",
        Tone::Soft => "soft",
        Tone::Ink => "ink",
        Tone::Accent => "accent",
    }
}

fn stroke(stroke: Stroke) -> String {
    if stroke.width <= 0.0 || stroke.tone == Tone::Clear {
        return "none".to_owned();
    }
    let dash = if stroke.dashed { "\"dashed\"" } else { "none" };
    format!("(paint: {}, thickness: {}pt, dash: {dash}, join: \"round\")", tone(stroke.tone), stroke.width)
}

fn item(item: &Item, scale: &Scale) -> Option<String> {
    match item {
        Item::Area { rings, fill, stroke: line } => {
            let ring = |ring: &Vec<[f64; 2]>| list(&ring.iter().map(|p| scale.place(*p)).collect::<Vec<_>>());
            let rings: Vec<String> = rings.iter().filter(|ring| ring.len() > 1).map(ring).collect();
            Some(format!("drawn-area({}, {}, {})", list(&rings), tone(*fill), stroke(*line)))
        }
        Item::Line { ends: [from, to], stroke: line } => {
            Some(format!("drawn-line({}, {}, {})", scale.place(*from), scale.place(*to), stroke(*line)))
        }
        Item::Mark { at, tone: colour } => {
            Some(format!("drawn-mark({}, {})", scale.place(*at), tone(*colour)))
        }
        Item::Label { at, words, size, room, tone: colour, offset } => {
            let size = match room {
                None => *size,
                Some(room) => fitting(words, *size, room.map(|mm| mm * scale.by * POINTS))?,
            };
            let [x, y] = scale.at(*at);
            let [right, down] = offset.map(|points| points / POINTS);
            Some(format!(
                "drawn-label(({:.3}mm, {:.3}mm), {}, {size:.2}pt, {}, {})",
                x + right,
                y + down,
                quoted(words),
                tone(*colour),
                if offset[0] > 0.0 {
                    "left"
                } else if offset[0] < 0.0 {
                    "right"
                } else {
                    "center"
                }
            ))
        }
    }
}

/// The size in points in which words fit into a room of points; none where they could not be read.
fn fitting(words: &str, size: f64, room: [f64; 2]) -> Option<f64> {
    // A figure of the face is about half as wide as it is high.
    let by_width = room[0] / (0.55 * words.chars().count().max(1) as f64);
    let fit = size.min(by_width).min(room[1] * 0.8);
    (fit >= LEAST_LETTERS).then_some(fit)
}
