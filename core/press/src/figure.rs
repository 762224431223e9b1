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
    /// The drawing's size on the page, mm.
    size: [f64; 2],
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
    let scale = Scale { least, by, size: size.map(|mm| mm * by) };
    let items = items(&figure.items, &scale);
    format!("({:.3}mm, {:.3}mm, {})", scale.size[0], scale.size[1], list(&items))
}

/// The items as calls. What follows each other in one style is one curve: each call costs more than a hundred points.
fn items(items: &[Item], scale: &Scale) -> Vec<String> {
    let mut out = Vec::new();
    let mut rest = items;
    while let Some(first) = rest.first() {
        let (now, later) = rest.split_at(alike(rest));
        out.extend(match first {
            Item::Area { fill, stroke: line, .. } => curve(*fill, *line, now, scale),
            Item::Line { stroke: line, .. } => curve(Tone::Clear, *line, now, scale),
            Item::Mark { .. } | Item::Label { .. } => item(first, scale),
        });
        rest = later;
    }
    out
}

/// How many of the first items are of one style: lines, or areas that do not reach into each other. At least one.
fn alike(items: &[Item]) -> usize {
    let mut boxes: Vec<Frame> = Vec::new();
    let mut joins = |item: &Item| match (&items[0], item) {
        (Item::Line { stroke: one, .. }, Item::Line { stroke: other, .. }) => one == other,
        (
            Item::Area { fill: one, stroke: line, .. },
            Item::Area { fill: other, stroke: other_line, rings },
        ) => {
            let here = Frame::of(rings);
            let apart = *one == Tone::Clear || boxes.iter().all(|held| held.is_apart(&here));
            boxes.push(here);
            one == other && line == other_line && apart
        }
        _ => false,
    };
    items.iter().take_while(|item| joins(item)).count().max(1)
}

/// The box around rings: least and greatest coordinates.
struct Frame {
    least: [f64; 2],
    most: [f64; 2],
}

impl Frame {
    fn of(rings: &[Vec<[f64; 2]>]) -> Self {
        let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for point in rings.iter().flatten() {
            for k in 0..2 {
                least[k] = least[k].min(point[k]);
                most[k] = most[k].max(point[k]);
            }
        }
        Self { least, most }
    }

    /// Whether the two have no more in common than edges.
    fn is_apart(&self, other: &Self) -> bool {
        (0..2).any(|k| self.most[k] <= other.least[k] || other.most[k] <= self.least[k])
    }
}

/// Areas or lines of one style as one curve; `None` where there is nothing of them.
fn curve(fill: Tone, line: Stroke, items: &[Item], scale: &Scale) -> Option<String> {
    let along = |points: &[[f64; 2]]| {
        let steps = ["move"].into_iter().chain(std::iter::repeat("line"));
        points.iter().zip(steps).map(|(at, step)| format!("curve.{step}({}), ", scale.place(*at))).collect()
    };
    let path: String = items
        .iter()
        .map(|item| match item {
            Item::Area { rings, .. } => {
                let rings = rings.iter().filter(|ring| ring.len() > 1);
                rings.map(|ring| along(ring) + "curve.close(mode: \"straight\"), ").collect()
            }
            Item::Line { ends, .. } => along(ends),
            Item::Mark { .. } | Item::Label { .. } => String::new(),
        })
        .collect();
    let rule = if fill == Tone::Clear { "" } else { "fill-rule: \"even-odd\", " };
    let style = format!("fill: {}, {rule}stroke: {}", tone(fill), stroke(line));
    (!path.is_empty()).then(|| format!("place(top + left, curve({style}, {path}))"))
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

/// A mark, or words.
fn item(item: &Item, scale: &Scale) -> Option<String> {
    match item {
        Item::Area { .. } | Item::Line { .. } => None,
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
            // Words lie at an edge or in the middle of the drawing and are moved from there, as the place is from that
            // edge or the middle: nothing has to be measured first.
            let (side, share) = match offset[0] {
                x if x > 0.0 => ("left", 0.0),
                x if x < 0.0 => ("right", 1.0),
                _ => ("center", 0.5),
            };
            Some(format!(
                "place({side} + horizon, dx: {:.3}mm, dy: {:.3}mm, label-text(size: {size:.2}pt, fill: {}, {}))",
                x + right - share * scale.size[0],
                y + down - 0.5 * scale.size[1],
                tone(*colour),
                quoted(words),
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

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, side: f64) -> Vec<[f64; 2]> {
        vec![[x, 0.0], [x + side, 0.0], [x + side, side], [x, side]]
    }

    fn area(x: f64, side: f64, fill: Tone) -> Item {
        let stroke = Stroke { tone: Tone::Ink, width: 0.5, dashed: false };
        Item::Area { rings: vec![square(x, side)], fill, stroke }
    }

    fn line(x: f64, tone: Tone) -> Item {
        Item::Line { ends: [[x, 0.0], [x, 1.0]], stroke: Stroke { tone, width: 0.5, dashed: true } }
    }

    /// How many calls the items become, and how many paths are in each.
    fn paths(items: &[Item]) -> Vec<usize> {
        let scale = Scale { least: [0.0, 0.0], by: 1.0, size: [100.0, 100.0] };
        super::items(items, &scale).iter().map(|call| call.matches("curve.move").count()).collect()
    }

    #[test]
    fn what_is_of_one_style_is_one_curve() {
        let beside =
            [area(0.0, 10.0, Tone::Wash), area(10.0, 10.0, Tone::Wash), area(20.0, 10.0, Tone::Tint)];
        assert_eq!(paths(&beside), [2, 1], "another fill is another curve");
        let lines = [line(0.0, Tone::Ink), line(1.0, Tone::Ink), line(2.0, Tone::Soft), line(3.0, Tone::Ink)];
        assert_eq!(paths(&lines), [2, 1, 1], "the order stays");
        assert_eq!(paths(&[]), [] as [usize; 0]);
    }

    #[test]
    fn areas_that_reach_into_each_other_stay_apart() {
        // As one path by even and odd, what they have in common would be left white.
        let over = [area(0.0, 10.0, Tone::Wash), area(5.0, 10.0, Tone::Wash), area(15.0, 1.0, Tone::Wash)];
        assert_eq!(paths(&over), [1, 2]);
        let bare = [area(0.0, 10.0, Tone::Clear), area(5.0, 10.0, Tone::Clear)];
        assert_eq!(paths(&bare), [2], "outlines alone may cross");
    }

    #[test]
    fn a_ring_of_one_point_is_nothing() {
        let stroke = Stroke { tone: Tone::Ink, width: 0.5, dashed: false };
        let point = Item::Area { rings: vec![vec![[1.0, 1.0]]], fill: Tone::Wash, stroke };
        assert!(paths(&[point]).is_empty());
    }
}
