//! Two people who work apart and hand the job over by a file.

use crate::stage::{Place, call, edit, hand_over, new_room, read, text};
use serde_json::{Value, json};

#[test]
fn a_job_arrives_whole_and_twice_is_harmless() {
    let place = Place::new("whole");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "12' 3 1/2\"");
    let file = place.path("job.drylay");
    let done = hand_over(&ana, &ben, &job, &file);
    assert_eq!((&done["jobs"][0]["name"], &done["waiting"]), (&json!("Attic"), &json!(0)));
    call(&ben, "handover.read", json!({ "path": file }));
    drop(ben);
    let ben = place.open("ben", 3);
    let jobs = call(&ben, "jobs.list", json!({}));
    assert_eq!(jobs["jobs"].as_array().map(Vec::len), Some(1));
    let view = call(&ben, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["walls"][0]["reading"]["text"], "12' 3 1/2\"");
    // What others did is not this person's to undo.
    assert_eq!(call(&ben, "job.view", json!({ "job": job }))["undo"], Value::Null);
}

#[test]
fn two_readings_of_one_wall_made_apart_are_both_shown_until_one_is_chosen() {
    let place = Place::new("conflict");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    call(&ana, "device.rename", json!({ "name": "Ana" }));
    call(&ben, "device.rename", json!({ "name": "Ben" }));
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "12'");
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);
    read(&ana, &job, &room, ("A", "B"), "12' 1\"");
    read(&ben, &job, &room, ("A", "B"), "12' 2\"");
    hand_over(&ben, &ana, &job, &file);
    hand_over(&ana, &ben, &job, &file);

    for session in [&ana, &ben] {
        let job_view = call(session, "job.view", json!({ "job": job }));
        let open = &job_view["disagreements"][0];
        assert_eq!((&open["what"], &open["room"]), (&json!("A–B"), &json!(room)));
        let mut said: Vec<(&str, &str)> = open["values"]
            .as_array()
            .expect("values")
            .iter()
            .map(|it| (text(&it["value"]), text(&it["stamp"]["by"])))
            .collect();
        said.sort_unstable();
        assert_eq!(said, [("12' 1\"", "Ana"), ("12' 2\"", "Ben")]);
        let wall =
            call(session, "room.view", json!({ "job": job, "room": room }))["walls"][0]["reading"].clone();
        assert_eq!(wall["conflict"].as_array().map(Vec::len), Some(1), "{wall:#}");
        assert_eq!(wall["earlier"][0]["text"], "12'");
    }
    let values = call(&ana, "job.view", json!({ "job": job }))["disagreements"][0]["values"].clone();
    let bens = values.as_array().expect("values").iter().find(|it| it["value"] == "12' 2\"").expect("his");
    let view = edit(&ana, &job, &room, json!({ "do": "settle", "keep": bens["choice"] }));
    assert_eq!(view["walls"][0]["reading"]["text"], "12' 2\"");
    assert_eq!(view["walls"][0]["reading"]["conflict"], json!([]));
    hand_over(&ana, &ben, &job, &file);
    for session in [&ana, &ben] {
        assert_eq!(call(session, "job.view", json!({ "job": job }))["disagreements"], json!([]));
    }
}

/// A rectangle of 12 by 9 feet of which four walls and one diagonal of 15 feet are read. In such a rectangle w × h
/// with the diagonal d, a change of the other diagonal is (w (a + c) + h (b + e)) / d − p for small changes a, c of
/// the sides w, b, e of the sides h and p of the first diagonal (the forces w, h and −d along them balance at each
/// corner). With one standard deviation s for all that is a variance of (2 · 0.8² + 2 · 0.6² + 1) s² = 3 s², and 4 s²
/// for the difference of a reading from it. A steel tape between 6 and 30 feet has, by NIST Handbook 44, 5.52, a
/// tolerance of 1/16 in, read to 1/16 in and placed to 1/48 in: s² = (1.5875² + 0.79375²) / 3 + 2 · 0.52917² mm² =
/// 1.6101 mm², so 2 s = 2.538 mm. An inch off is 10.0 of that, a sixteenth 0.6.
fn walls_and_a_diagonal(name: &str) -> (Place, [drylay_app::Session; 2], String, String) {
    let place = Place::new(name);
    let both = [place.open("ana", 1), place.open("ben", 2)];
    let (job, room) = new_room(&both[0]);
    let walls = [("A", "B", "12'"), ("B", "C", "9'"), ("C", "D", "12'"), ("D", "A", "9'")];
    walls.iter().for_each(|(from, to, length)| drop(read(&both[0], &job, &room, (from, to), length)));
    read(&both[0], &job, &room, ("B", "D"), "15' 1/8\"");
    (place, both, job, room)
}

/// Both read the second diagonal again apart; what is said of it on both screens.
fn read_apart(
    place: &Place,
    [ana, ben]: &[drylay_app::Session; 2],
    at: (&str, &str),
    said: [&str; 2],
) -> Value {
    let (job, room) = at;
    let file = place.path("job.drylay");
    hand_over(ana, ben, job, &file);
    read(ana, job, room, ("B", "D"), said[0]);
    read(ben, job, room, ("B", "D"), said[1]);
    hand_over(ben, ana, job, &file);
    hand_over(ana, ben, job, &file);
    let [one, other] =
        [ana, ben].map(|it| call(it, "job.view", json!({ "job": job }))["disagreements"][0].clone());
    assert_eq!(one["others"], other["others"]);
    assert_eq!(one["suggestion"], other["suggestion"]);
    one
}

#[test]
fn of_two_readings_made_apart_the_one_is_suggested_that_the_others_support() {
    let (place, both, job, room) = walls_and_a_diagonal("supported");
    read(&both[0], &job, &room, ("A", "C"), "15'");
    let open = read_apart(&place, &both, (&job, &room), ["15' 1\"", "15' 1/16\""]);
    let supported = open["values"].as_array().expect("values").iter().find(|it| it["value"] == "15' 1/16\"");
    assert_eq!(open["suggestion"], supported.expect("his")["choice"], "{open:#}");
    let words = text(&open["others"]);
    assert!(words.contains("fit 15' 1/16\" better"), "{words}");
    let figure = |value: &str| {
        let rest = words.split_once(&format!("{value} is ")).expect("each is told").1;
        let (_, rest) = rest.split_once('(').expect("how far off");
        rest.split_once(' ').expect("a figure").0.parse::<f64>().expect("a figure")
    };
    assert!((figure("15' 1\"") - 10.0).abs() < 0.15, "{words}");
    assert!((figure("15' 1/16\"") - 0.6).abs() < 0.051, "{words}");
}

#[test]
fn where_the_other_readings_do_not_decide_it_that_is_said_and_nothing_is_suggested() {
    // Two marks of a tape apart: both are within what it allows.
    let (place, both, job, room) = walls_and_a_diagonal("both-fit");
    read(&both[0], &job, &room, ("A", "C"), "15'");
    let open = read_apart(&place, &both, (&job, &room), ["15'", "15' 1/16\""]);
    assert_eq!(open["suggestion"], Value::Null);
    assert!(text(&open["others"]).contains("do not decide it: within"), "{open:#}");
    // Neither.
    let (place, both, job, room) = walls_and_a_diagonal("none-fits");
    read(&both[0], &job, &room, ("A", "C"), "15'");
    let open = read_apart(&place, &both, (&job, &room), ["15' 2\"", "14' 10\""]);
    assert_eq!(open["suggestion"], Value::Null);
    assert!(text(&open["others"]).contains("fit none of these"), "{open:#}");
    // Four walls alone are a frame that leans any way.
    let (place, both, job, room) = walls_and_a_diagonal("no-word");
    let open = read_apart(&place, &both, (&job, &room), ["15' 1\"", "15' 1/16\""]);
    assert_eq!(open["suggestion"], Value::Null);
    assert!(text(&open["others"]).contains("do not fix the distance"), "{open:#}");
}

#[test]
fn a_field_said_differently_apart_is_settled_in_the_job() {
    let place = Place::new("field");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, _) = new_room(&ana);
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);
    call(&ana, "jobs.edit", json!({ "job": job, "client": "Hollow" }));
    call(&ben, "jobs.edit", json!({ "job": job, "client": "Hallow" }));
    hand_over(&ben, &ana, &job, &file);
    let open = call(&ana, "job.view", json!({ "job": job }))["disagreements"].clone();
    let values = open[0]["values"].as_array().expect("values").clone();
    assert_eq!((open.as_array().map(Vec::len), values.len()), (Some(1), 2), "{open:#}");
    let hollow = values.iter().find(|it| it["value"] == "Hollow").expect("hers");
    let view = call(&ana, "job.settle", json!({ "job": job, "choice": hollow["choice"] }));
    assert_eq!((&view["disagreements"], &view["card"]["client"]), (&json!([]), &json!("Hollow")));
    let again = ana.call("job.settle", json!({ "job": job, "choice": hollow["choice"] }));
    assert_eq!(again.expect_err("it is settled").code, "settle.unknown");
}

#[test]
fn a_disagreement_in_a_room_can_be_settled_from_the_job() {
    let place = Place::new("room-field");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "12'");
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);
    let id =
        call(&ana, "room.view", json!({ "job": job, "room": room }))["walls"][0]["reading"]["id"].clone();
    edit(&ana, &job, &room, json!({ "do": "clear_reading", "id": id }));
    read(&ben, &job, &room, ("A", "B"), "12' 2\"");
    hand_over(&ben, &ana, &job, &file);
    let open = call(&ana, "job.view", json!({ "job": job }))["disagreements"][0].clone();
    let said: Vec<&str> =
        open["values"].as_array().expect("values").iter().map(|it| text(&it["value"])).collect();
    assert_eq!((text(&open["what"]), said), ("A–B", vec!["taken out", "12' 2\""]), "{open:#}");
    let view = call(&ana, "job.settle", json!({ "job": job, "choice": open["values"][0]["choice"] }));
    assert_eq!(view["disagreements"], json!([]));
    let wall = call(&ana, "room.view", json!({ "job": job, "room": room }))["walls"][0]["reading"].clone();
    assert_eq!(wall, Value::Null, "{wall:#}");
}

#[test]
fn corners_added_apart_both_stay_and_can_be_told_apart() {
    let place = Place::new("corners");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, room) = new_room(&ana);
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);
    edit(&ana, &job, &room, json!({ "do": "add_corner", "after": "B" }));
    edit(&ben, &job, &room, json!({ "do": "add_corner", "after": "C" }));
    hand_over(&ben, &ana, &job, &file);
    hand_over(&ana, &ben, &job, &file);
    let letters = |session| -> Vec<String> {
        let view = call(session, "room.view", json!({ "job": job, "room": room }));
        view["corners"].as_array().expect("corners").iter().map(|it| text(&it["id"]).to_owned()).collect()
    };
    let (hers, his) = (letters(&ana), letters(&ben));
    assert_eq!(hers, his, "the same letters on both devices");
    let mut different = hers.clone();
    different.sort();
    different.dedup();
    assert_eq!(different.len(), 6, "{hers:?}");
    let view = read(&ana, &job, &room, ("B", &hers[2]), "3'");
    assert_eq!(view["walls"][1]["reading"]["text"], "3'");
}

#[test]
fn undo_never_takes_back_what_somebody_else_wrote_since() {
    let place = Place::new("overtaken");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "12'");
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);
    read(&ben, &job, &room, ("A", "B"), "12' 2\"");
    hand_over(&ben, &ana, &job, &file);
    let refused = ana.call("edit.undo", json!({ "job": job })).expect_err("Ben has corrected it");
    assert_eq!(refused.code, "undo.overtaken");
    let view = call(&ana, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["walls"][0]["reading"]["text"], "12' 2\"");
    // The refused step is out of the way: the one before it, adding the room, was overtaken by no one.
    let view = call(&ana, "edit.undo", json!({ "job": job }));
    assert_eq!(view["rooms"], json!([]));
}

#[test]
fn a_file_that_is_none_of_ours_is_refused_with_its_reason() {
    let place = Place::new("foreign");
    let ana = place.open("ana", 1);
    let (job, _) = new_room(&ana);
    let file = place.path("job.drylay");
    call(&ana, "handover.write", json!({ "job": job, "path": file }));
    let good = std::fs::read(&file).expect("the file");
    let code = |bytes: &[u8]| {
        std::fs::write(&file, bytes).expect("a file");
        ana.call("handover.read", json!({ "path": file }))
            .map_or_else(|problem| problem.code, |_| "taken".to_owned())
    };
    assert_eq!(code(b"shopping list"), "handover.foreign");
    assert_eq!(code(&good[..good.len() / 2]), "handover.cut_off");
    let mut flipped = good.clone();
    flipped[good.len() / 2] ^= 1;
    assert_eq!(code(&flipped), "handover.damaged");
    assert_eq!(code(&good), "taken");
    let nowhere = ana.call("handover.read", json!({ "path": "job.drylay" })).expect_err("a relative path");
    assert_eq!(nowhere.code, "backup.path");
}
