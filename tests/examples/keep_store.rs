//! `keep_store FOLDER`: writes what one person did in an evening and on the first day of the work as a hand-over file and as a backup, to be kept in
//! `tests/kept` and read by every later program. Run it only when the store or the documents have a new version, and
//! keep the older files: `tests/tests/kept_stores.rs` reads them all.

use drylay_app::Session;
use drylay_app::system::System;
use serde_json::{Value, json};
use std::error::Error;
use std::sync::Arc;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// A room of 3010 × 2410 mm with a tile that repeats every 600 × 300 mm and a gap of 6 mm: 5 by 8 whole tiles.
const SHEET: &str = r#"{ "drylay": 1, "job": { "name": "Boat house", "client": "The rowing club", "site": "Quay 3" },
  "products": [ { "id": "grey", "name": "Grey tile", "face": { "length": 598, "width": 298 }, "thickness": 8,
    "joint": 2, "edge_gap": 6, "kerf": 2, "interlock": true, "offsets": ["0"], "min_row_width": 60,
    "min_end_length": 180, "carton": { "tiles": 7, "price": "38.20" } } ],
  "rooms": [ { "id": "store", "name": "Oar store", "corners": ["A", "B", "C", "D"], "tape": [
    { "from": "A", "to": "B", "read": "3012 mm" }, { "from": "B", "to": "C", "read": "2410 mm" },
    { "from": "C", "to": "D", "read": "3.010 m" }, { "from": "D", "to": "A", "read": "241 cm" } ], "square": ["A"],
    "keepouts": [ { "id": "post", "outline": [[1000, 1000], [1100, 1000], [1100, 1100], [1000, 1100]] } ],
    "openings": [ { "id": "gate", "wall": ["C", "D"], "start": 500, "width": 900 } ],
    "edges": [ { "wall": ["B", "C"], "gap": 6, "trim_covers": 15 } ],
    "level": { "sd": 1, "readings": [ { "id": "p1", "at": [300, 300], "rod": 1200, "setup": "s1" },
      { "id": "p2", "at": [2700, 300], "rod": 1201, "setup": "s1" },
      { "id": "p3", "at": [1500, 2100], "rod": 1203, "setup": "s1" } ] } } ],
  "areas": [ { "id": "floor", "rooms": ["store"], "product": "grey",
    "layout": { "along": ["A", "B"], "offset": "0", "first_row": 298, "shift": 598 } } ] }"#;

fn main() -> Outcome<()> {
    let folder = std::env::args().nth(1).ok_or("keep_store FOLDER")?;
    let folder = std::path::absolute(folder)?;
    let store = folder.join("making");
    let session = Session::open(&store, Arc::new(System))?;
    let job = evening(&session)?;
    let path = |name: &str| folder.join(name).to_string_lossy().into_owned();
    session.call("handover.write", json!({ "job": job, "path": path("new.handover") }))?;
    session.call("store.backup", json!({ "path": path("new.backup") }))?;
    drop(session);
    Ok(std::fs::remove_dir_all(store)?)
}

/// What the person did; gives back the job.
fn evening(session: &Session) -> Outcome<String> {
    session.call("device.rename", json!({ "name": "Ana's phone" }))?;
    session.call("shop.edit", json!({ "name": "Floors by the quay", "breakage": "3", "attic": "5" }))?;
    let card = session.call("jobs.import", json!({ "sheet": SHEET }))?;
    let job = text(&card, "id")?;
    let view = session.call("job.view", json!({ "job": job }))?;
    let room = text(&view["rooms"][0], "id")?;
    let reading = json!({ "do": "set_reading", "from": "A", "to": "B", "text": "3010" });
    session.call("room.edit", json!({ "job": job, "room": room, "edit": reading }))?;
    let pin = json!({ "what": "room", "room": room });
    session.call("notes.set", json!({ "job": job, "words": "The post stays", "pin": pin }))?;
    let area = text(&view["areas"][0], "id")?;
    let plan = session.call("plan.view", json!({ "job": job, "area": area }))?;
    let choice = text(&plan["choice"], "token")?;
    session.call("plan.accept", json!({ "job": job, "area": area, "choice": choice }))?;
    session.call("draft.put", json!({ "key": "walk", "text": "12' 3 1" }))?;
    session.call("quote.freeze", json!({ "job": job, "signed_by": "A. Rower" }))?;
    work(session, &job, &area)?;
    Ok(job)
}

/// The first two rows are laid by the plan that was given out, and a tile broke.
fn work(session: &Session, job: &str, area: &str) -> Outcome<()> {
    session.call("issues.make", json!({ "job": job, "area": area }))?;
    session.call("work.deliver", json!({ "job": job, "area": area, "packs": "7", "lot": "B7" }))?;
    let view = session.call("work.view", json!({ "job": job, "area": area }))?;
    let plan = text(&view["area"], "plan")?;
    let laid = json!({ "job": job, "area": area, "plan": plan, "pieces": ["2-5"], "reach": "up_to", "state": "laid" });
    session.call("work.mark", laid)?;
    session.call("work.broken", json!({ "job": job, "area": area, "tiles": "1", "words": "dropped" }))?;
    let hours = json!({ "job": job, "task": "lay", "hours": "1.5", "people": "", "who": "", "day": "", "done": "3.6" });
    session.call("time.add", hours)?;
    session.call("walk.sign", json!({ "job": job, "signed_by": "A. Rower" }))?;
    Ok(())
}

fn text(of: &Value, field: &str) -> Outcome<String> {
    Ok(of[field].as_str().ok_or_else(|| format!("an answer without {field}"))?.to_owned())
}
