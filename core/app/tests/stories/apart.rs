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
