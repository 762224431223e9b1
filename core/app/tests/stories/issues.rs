//! What is given out to be laid stays as it was given out.

use crate::cable::Cable;
use crate::crew::let_in;
use crate::stage::{Place, call, hand_over, read, text};
use drylay_app::Session;
use serde_json::{Value, json};

/// A room of 3010 × 2410 mm; the tile repeats every 600 × 300 mm and the gap is 6 mm, so that 2998 × 2398 mm are 5 by
/// 8 whole tiles. The layout is fixed, row 1 along A–B.
const SHEET: &str = r#"{ "drylay": 1, "job": { "name": "Boat house" },
  "products": [ { "id": "grey", "name": "Grey tile", "face": { "length": 598, "width": 298 }, "thickness": 8,
    "joint": 2, "edge_gap": 6, "kerf": 2, "interlock": true, "offsets": ["0"], "min_row_width": 60,
    "min_end_length": 180, "carton": { "tiles": 7 } } ],
  "rooms": [ { "id": "store", "name": "Oar store", "corners": ["A", "B", "C", "D"], "tape": [
    { "from": "A", "to": "B", "read": 3010 }, { "from": "B", "to": "C", "read": 2410 },
    { "from": "C", "to": "D", "read": 3010 }, { "from": "D", "to": "A", "read": 2410 } ], "square": ["A"] } ],
  "areas": [ { "id": "floor", "rooms": ["store"], "product": "grey",
    "layout": { "along": ["A", "B"], "offset": "0", "first_row": 298, "shift": 598 } } ] }"#;

struct Job {
    job: String,
    room: String,
    area: String,
}

impl Job {
    fn new(session: &Session) -> Self {
        let job = text(&call(session, "jobs.import", json!({ "sheet": SHEET }))["id"]).to_owned();
        let view = call(session, "job.view", json!({ "job": job }));
        let id = |of: &str| text(&view[of][0]["id"]).to_owned();
        Self { room: id("rooms"), area: id("areas"), job }
    }
    fn ask(&self) -> Value {
        json!({ "job": self.job, "area": self.area })
    }
    fn take_plan(&self, session: &Session) {
        let plan = call(session, "plan.view", self.ask());
        let mut ask = self.ask();
        ask["choice"] = plan["choice"]["token"].clone();
        call(session, "plan.accept", ask);
    }
    fn walls(&self, session: &Session, length: &str) {
        for pair in [("A", "B"), ("C", "D")] {
            read(session, &self.job, &self.room, pair, length);
        }
    }
}

#[test]
fn what_comes_from_the_crew_is_stored_as_what_it_is() {
    let place = Place::new("issue-label");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let job = Job::new(&ana);
    job.take_plan(&ana);
    call(&ana, "issues.make", job.ask());
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    cable.run(10);
    assert_eq!(call(&ben, "issues.list", job.ask())["issues"].as_array().map(Vec::len), Some(1));
    drop((cable, ana, ben));
    let labels = |store: &str| {
        let store = drylay_store::Store::open(&place.path(store), [9; 16]).expect("the store");
        store.files().expect("files").into_iter().map(|it| it.label).collect::<Vec<_>>()
    };
    assert_eq!((labels("ana"), labels("ben")), (vec!["plan".to_owned()], vec!["plan".to_owned()]));
}

#[test]
fn an_issue_stays_as_it_was_and_says_what_is_different_now() {
    let place = Place::new("issue");
    let session = place.open("ana", 1);
    let job = Job::new(&session);
    let refused = session.call("issues.make", job.ask()).expect_err("nothing is taken");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("issue.not_taken", "area"));
    job.take_plan(&session);
    assert_eq!(call(&session, "issues.list", job.ask())["can_issue"], true);
    let first = call(&session, "issues.make", job.ask());
    assert_eq!(first["issues"].as_array().map(Vec::len), Some(1));
    let issue = &first["issues"][0];
    assert_eq!((&issue["number"], &issue["tiles"], &issue["same"]), (&json!(1), &json!(40), &json!(true)));
    assert_eq!(first["can_issue"], false);
    assert_eq!(call(&session, "issues.make", job.ask()), first, "the same plan is the same issue");
    call(&session, "edit.undo", json!({ "job": job.job }));
    assert_eq!(call(&session, "issues.list", job.ask())["issues"], json!([]));
    assert_eq!(
        call(&session, "issues.make", job.ask()),
        first,
        "taken back and given out again it is the same, too"
    );

    // Twenty millimetres less along the rows: the last tile of each of the eight rows is cut.
    job.walls(&session, "2990");
    let list = call(&session, "issues.list", job.ask());
    assert_eq!((&list["issues"][0]["same"], &list["can_issue"]), (&json!(false), &json!(true)));
    let names = (1..=8).map(|row| format!("{row}-5")).collect::<Vec<_>>().join(", ");
    assert_eq!(list["issues"][0]["changes"], json!([format!("8 cut differently: {names}")]));
    let second = call(&session, "issues.make", job.ask());
    let numbers = [&second["issues"][0]["number"], &second["issues"][1]["number"]];
    assert_eq!(numbers, [&json!(2), &json!(1)]);
    assert_eq!(second["issues"][0]["same"], true);
    drop(session);
    let session = place.open("ana", 2);
    assert_eq!(call(&session, "issues.list", job.ask()), second, "all of it is there the next day");
}

#[test]
fn two_issues_with_one_number_made_apart_are_told_apart_by_what_they_are() {
    let place = Place::new("issue-apart");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let job = Job::new(&ana);
    job.take_plan(&ana);
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job.job, &file);
    call(&ana, "issues.make", job.ask());
    job.walls(&ben, "2990");
    call(&ben, "issues.make", job.ask());
    hand_over(&ben, &ana, &job.job, &file);
    hand_over(&ana, &ben, &job.job, &file);
    let (hers, his) = (call(&ana, "issues.list", job.ask()), call(&ben, "issues.list", job.ask()));
    assert_eq!(hers, his, "the same on both devices");
    let issues = hers["issues"].as_array().expect("issues");
    let told: Vec<_> = issues.iter().map(|issue| (&issue["number"], &issue["number_shared"])).collect();
    assert_eq!(told, [(&json!(1), &json!(true)), (&json!(1), &json!(true))]);
    assert_ne!(issues[0]["short"], issues[1]["short"]);
    assert!(issues.iter().all(|issue| issue["tiles"] == 40), "the bytes went along: {hers:#}");
}
