//! How long it takes to count what a planned floor of 30 m² needs. Writes `name<TAB>seconds`, the median of 101 runs.

use drylay_app::answers::{count_planned, plan_areas, resolve};
use drylay_app::{Problem, Sheet, read_sheet};
use std::time::Instant;

/// An L of 30 m² with a door and an island, fixed in its layout, with everything that goes with it.
const SHEET: &str = r#"{ "drylay": 1, "rates": { "breakage": 0.03, "attic": 0.05 },
  "products": [ { "id": "t", "face": { "length": 596, "width": 297 }, "thickness": 9, "joint": 3, "edge_gap": 8, "kerf": 2, "offsets": ["1/3"],
                  "carton": { "tiles": 7, "kg": 26 } } ],
  "supplies": [ { "id": "mat", "use": "underlay", "width": 1000, "length": "15 m" }, { "id": "tape", "use": "tape", "length": "50 m" },
                { "id": "grout", "use": "grout", "density": 1.6 }, { "id": "bead", "use": "sealant", "depth": 6 },
                { "id": "strip", "use": "transition", "length": "2 m" }, { "id": "shoe", "use": "trim", "length": "2.4 m", "kerf": 3 },
                { "id": "mud", "use": "adhesive", "rate": 4, "per": "square_metre" }, { "id": "blade", "use": "blade", "rate": 0.01, "per": "cut_metre" } ],
  "rooms": [ { "id": "r", "outline": [[0,0],[7000,0],[7000,3000],[3600,3000],[3600,5500],[0,5500]], "settings": ["wet"],
               "openings": [ { "id": "door", "wall": ["A","B"], "start": 900, "width": 860 } ],
               "keepouts": [ { "id": "island", "outline": [[1200,1000],[2400,1000],[2400,1600],[1200,1600]] } ] } ],
  "areas": [ { "id": "a", "rooms": ["r"], "product": "t", "layout": { "along": ["A","B"], "offset": "1/3", "first_row": 280, "shift": 203 } } ] }"#;

#[expect(clippy::print_stdout, reason = "the time is what it is for")]
fn main() -> Result<(), Vec<Problem>> {
    let sheet: Sheet = read_sheet(SHEET)?.sheet;
    let areas = plan_areas(&sheet, &resolve(&sheet)?, &mut || true)?;
    // Bars of another length in every run: what was cut before is remembered.
    let sheets = (0..101).map(|run| {
        let longer = |bar: &str, mm: i32| (format!("\"{bar}\""), (mm + run).to_string());
        let text = [longer("2 m", 2000), longer("2.4 m", 2400)];
        read_sheet(&text.iter().fold(SHEET.to_owned(), |sheet, (bar, mm)| sheet.replace(bar, mm)))
    });
    let sheets = sheets.collect::<Result<Vec<_>, _>>()?;
    let mut times: Vec<f64> = sheets
        .into_iter()
        .map(|read| {
            let sheet = read.sheet;
            let start = Instant::now();
            let answer = count_planned(&sheet, &areas);
            assert_eq!(answer.lines.len(), 9, "every line is counted");
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("takeoff of 30 m²\t{}", times[50]);
    Ok(())
}
