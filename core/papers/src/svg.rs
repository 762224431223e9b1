//! A plan as SVG 1.1: one millimetre of the floor is one unit, a group for each kind of thing, a path for each piece.

use crate::drawing::{DrawnPiece, PlanDrawing, Point, inside};
use crate::number::mm;

/// White around the drawing, mm.
const MARGIN: f64 = 200.0;
/// The drawing on paper, in parts of the real size: 1 to 20.
const SCALE: f64 = 20.0;

const STYLE: &str = "
  .room { fill: none; stroke: #12201d; stroke-width: 12 }
  .keepout { fill: #d6ded6; stroke: #12201d; stroke-width: 6 }
  .opening { stroke: #ffffff; stroke-width: 14 }
  .piece { fill: #ffffff; stroke: #4d5b56; stroke-width: 2; fill-rule: evenodd }
  .piece[data-cut=\"length\"], .piece[data-cut=\"rip\"] { fill: #f1f4f0 }
  .piece[data-cut=\"corner\"], .piece[data-cut=\"shape\"] { fill: #e3e9e3 }
  .joint { stroke: #b23408; stroke-width: 10; stroke-dasharray: 60 30 }
  .chalk { stroke: #b23408; stroke-width: 5; stroke-dasharray: 120 30 15 30 }
  .number { font-family: sans-serif; fill: #12201d; text-anchor: middle; dominant-baseline: central }
";

/// Writes a plan. Pieces are paths with the id `piece-ROW-PLACE` and the attributes `data-piece`, `data-cut` and
/// `data-tile`.
pub fn svg(plan: &PlanDrawing) -> String {
    let (least, most) = plan.bounds().unwrap_or(([0.0; 2], [1000.0; 2]));
    let (x, y) = (least[0] - MARGIN, least[1] - MARGIN);
    let (width, height) = (most[0] - x + MARGIN, most[1] - y + MARGIN);
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}mm\" height=\"{}mm\" viewBox=\"{} {} {} {}\">\n<title>{}</title>\n<style>{STYLE}</style>\n",
        mm(width / SCALE),
        mm(height / SCALE),
        mm(x),
        mm(y),
        mm(width),
        mm(height),
        escaped(&plan.title)
    );
    let rooms = plan.rooms.iter().map(|room| {
        format!(
            "<path class=\"room\" data-room=\"{}\" d=\"{}\"/>",
            escaped(&room.name),
            path(std::slice::from_ref(&room.ring))
        )
    });
    group(&mut out, "pieces", plan.pieces.iter().map(piece));
    let keepouts = plan.keepouts.iter().map(|(name, ring)| {
        format!(
            "<path class=\"keepout\" data-name=\"{}\" d=\"{}\"/>",
            escaped(name),
            path(std::slice::from_ref(ring))
        )
    });
    group(&mut out, "keepouts", keepouts);
    group(&mut out, "rooms", rooms);
    group(&mut out, "openings", plan.openings.iter().map(|ends| line("opening", ends)));
    group(&mut out, "joints", plan.joints.iter().map(|ends| line("joint", ends)));
    group(&mut out, "chalk", plan.chalk.iter().map(|ends| line("chalk", ends)));
    group(&mut out, "numbers", plan.pieces.iter().map(number));
    out.push_str("</svg>\n");
    out
}

fn group(out: &mut String, id: &str, lines: impl Iterator<Item = String>) {
    out.push_str(&format!("<g id=\"{id}\">\n"));
    for line in lines {
        out.push_str(&line);
        out.push('\n');
    }
    out.push_str("</g>\n");
}

fn piece(piece: &DrawnPiece) -> String {
    let id = escaped(&piece.id);
    let (cut, tile) = (piece.cut.word(), piece.tile);
    format!(
        "<path class=\"piece\" id=\"piece-{id}\" data-piece=\"{id}\" data-cut=\"{cut}\" data-tile=\"{tile}\" d=\"{}\"/>",
        path(&piece.rings)
    )
}

/// The height of a piece's number, mm: as large as the piece leaves room for.
pub(crate) fn lettering(id: &str, room: [f64; 2]) -> f64 {
    let by_width = room[0] / (0.75 * id.chars().count().max(1) as f64);
    by_width.min(room[1] * 0.6).min(70.0)
}

fn number(piece: &DrawnPiece) -> String {
    let (at, room) = inside(&piece.rings);
    format!(
        "<text class=\"number\" x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>",
        mm(at[0]),
        mm(at[1]),
        mm(lettering(&piece.id, room).round()),
        escaped(&piece.id)
    )
}

fn path(rings: &[Vec<Point>]) -> String {
    let ring = |ring: &Vec<Point>| {
        let points: Vec<String> = ring.iter().map(|p| format!("{},{}", mm(p[0]), mm(p[1]))).collect();
        format!("M{}Z", points.join(" L"))
    };
    rings.iter().map(ring).collect()
}

fn line(class: &str, [from, to]: &[Point; 2]) -> String {
    format!(
        "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
        mm(from[0]),
        mm(from[1]),
        mm(to[0]),
        mm(to[1])
    )
}

/// Text between tags or in an attribute; characters that XML 1.0 does not know become the sign for them.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Cut, DrawnRoom};

    #[test]
    fn names_with_anything_in_them_stay_text() {
        let ring = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 50.0]];
        let plan = PlanDrawing {
            title: "a <b> & \"c\" \u{1}".to_owned(),
            rooms: vec![DrawnRoom { name: "K\"1".to_owned(), ring: ring.clone() }],
            pieces: vec![DrawnPiece { id: "1-1".to_owned(), cut: Cut::Shape, tile: 1, rings: vec![ring] }],
            ..PlanDrawing::default()
        };
        let text = svg(&plan);
        assert!(text.contains("<title>a &lt;b&gt; &amp; &quot;c&quot; \u{fffd}</title>"));
        assert!(text.contains("data-room=\"K&quot;1\""));
        assert!(
            text.contains("data-piece=\"1-1\" data-cut=\"shape\" data-tile=\"1\" d=\"M0,0 L100,0 L100,50Z\"")
        );
        assert_eq!(text, svg(&plan));
    }
}
