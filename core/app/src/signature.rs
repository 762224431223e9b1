//! A signature that was drawn with a finger: strokes in mm, kept as a file by content hash beside what was signed.

use crate::Problem;
use crate::wire::SignatureStrokes;
use drylay_papers::Point;
use serde_json::{Value, json};

/// The version of the stored bytes.
const VERSION: u32 = 1;
/// The least and the most that the field it is drawn in may measure either way, mm.
const FIELD: std::ops::RangeInclusive<f64> = 10.0..=1000.0;
/// The most strokes, and the most places of all of them.
const MOST_STROKES: usize = 200;
const MOST_PLACES: usize = 20_000;
/// How far outside its field a pen may run, mm: half of a thick line.
const BESIDE: f64 = 2.0;
/// The field of a signature on paper, mm (`core/press/src/paper.typ`).
const ON_PAPER: Point = [60.0, 20.0];

/// The bytes to be kept of a signature; `None` where nothing was drawn. Places are kept to a hundredth of a millimetre.
///
/// # Errors
/// Where what came is no signature: a field or a place beyond all bounds, too many of them.
pub(crate) fn bytes(drawn: &SignatureStrokes) -> Result<Option<Vec<u8>>, Problem> {
    let SignatureStrokes { width, height, strokes } = drawn;
    let places: usize = strokes.iter().map(Vec::len).sum();
    let inside = |at: &Point| {
        (-BESIDE..=width + BESIDE).contains(&at[0]) && (-BESIDE..=height + BESIDE).contains(&at[1])
    };
    let field = FIELD.contains(width) && FIELD.contains(height);
    if !field || strokes.len() > MOST_STROKES || places > MOST_PLACES || !strokes.iter().flatten().all(inside)
    {
        return Err(Problem::new("quote.signature", "signature"));
    }
    let drawn: Vec<Vec<Point>> =
        strokes.iter().filter(|stroke| stroke.len() > 1).map(|stroke| rounded(stroke)).collect();
    if drawn.is_empty() {
        return Ok(None);
    }
    let [width, height] = [hundredths(*width), hundredths(*height)];
    let whole = json!({ "drylay_signature": VERSION, "unit": "mm", "width": width, "height": height, "strokes": drawn });
    serde_json::to_vec(&whole).map(Some).map_err(|error| Problem::internal(&error.to_string()))
}

fn rounded(stroke: &[Point]) -> Vec<Point> {
    stroke.iter().map(|[x, y]| [hundredths(*x), hundredths(*y)]).collect()
}

fn hundredths(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

/// A signature from its bytes; `None` for bytes that are none.
pub(crate) fn read(bytes: &[u8]) -> Option<SignatureStrokes> {
    let whole: Value = serde_json::from_slice(bytes).ok()?;
    whole["drylay_signature"].as_u64().filter(|version| *version == u64::from(VERSION))?;
    let read = SignatureStrokes {
        width: whole["width"].as_f64()?,
        height: whole["height"].as_f64()?,
        strokes: serde_json::from_value(whole["strokes"].clone()).ok()?,
    };
    // Whatever came from another device is held to the same bounds as what is drawn here.
    self::bytes(&read).ok().flatten().map(|_| read)
}

/// Its strokes as they stand on paper: from 0 to 1 within the paper's field, in their own proportions, on the line.
pub(crate) fn on_paper(drawn: &SignatureStrokes) -> Vec<Vec<Point>> {
    let scale = (ON_PAPER[0] / drawn.width).min(ON_PAPER[1] / drawn.height);
    let top = ON_PAPER[1] - drawn.height * scale;
    let at = |[x, y]: &Point| [x * scale / ON_PAPER[0], (top + y * scale) / ON_PAPER[1]];
    drawn.strokes.iter().map(|stroke| stroke.iter().map(at).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(strokes: Vec<Vec<Point>>) -> SignatureStrokes {
        SignatureStrokes { width: 90.0, height: 45.0, strokes }
    }

    #[test]
    fn strokes_come_back_as_they_were_drawn() {
        let one = drawn(vec![vec![[1.234, 2.0], [30.0, 40.5]], vec![[5.0, 5.0]]]);
        let bytes = bytes(&one).expect("a signature").expect("something drawn");
        let kept = drawn(vec![vec![[1.23, 2.0], [30.0, 40.5]]]);
        assert_eq!(read(&bytes), Some(kept), "a tap is no stroke");
        assert_eq!(read(b"{}"), None);
        assert_eq!(read(b"\xff\xd8"), None);
    }

    #[test]
    fn what_is_no_signature_is_refused_and_an_empty_field_is_none() {
        assert_eq!(bytes(&drawn(vec![])), Ok(None));
        for bad in [
            drawn(vec![vec![[1.0, 1.0], [f64::NAN, 2.0]]]),
            drawn(vec![vec![[1.0, 1.0], [500.0, 2.0]]]),
            drawn(vec![vec![[1.0, 1.0]; 20_001]]),
            SignatureStrokes { width: 0.0, ..drawn(vec![]) },
            SignatureStrokes { height: f64::INFINITY, ..drawn(vec![]) },
        ] {
            assert_eq!(bytes(&bad).expect_err("no signature").code, "quote.signature");
        }
    }

    #[test]
    fn on_paper_it_keeps_its_proportions_and_stands_on_the_line() {
        // 90 by 45 mm into 60 by 20 mm: by 4/9, so that it is 40 by 20 mm.
        let strokes = on_paper(&drawn(vec![vec![[0.0, 0.0], [90.0, 45.0]]]));
        let near = |a: Point, b: Point| (a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12;
        assert!(near(strokes[0][0], [0.0, 0.0]) && near(strokes[0][1], [40.0 / 60.0, 1.0]), "{strokes:?}");
        // 100 by 20 mm: by 3/5, 12 mm high, 8 mm of white above it.
        let wide =
            SignatureStrokes { width: 100.0, height: 20.0, strokes: vec![vec![[0.0, 0.0], [100.0, 20.0]]] };
        assert!(near(on_paper(&wide)[0][0], [0.0, 0.4]));
    }
}
