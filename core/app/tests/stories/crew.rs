//! The crew as the app has it: joining, jobs that come and go on, the list of jobs, signed hand-overs, restarts.

use crate::cable::Cable;
use crate::stage::{Place, call, hand_over, new_room, read, text};
use drylay_app::Session;
use serde_json::{Value, json};

fn crew(session: &Session) -> Value {
    call(session, "crew.view", json!({}))
}

fn named(session: &Session, name: &str) {
    call(session, "device.rename", json!({ "name": name }));
}

/// Lets one session into the other's crew by the code.
pub(crate) fn let_in(cable: &mut Cable, inviter: &Session, joiner: &Session) {
    let shown = call(inviter, "crew.invite", json!({}));
    call(joiner, "crew.join", json!({ "text": shown["invitation"]["code"] }));
    cable.run(5);
    assert!(!crew(inviter)["asks"].is_null(), "{:#}", crew(inviter));
    assert_eq!(crew(inviter)["invitation"], Value::Null, "it is spent");
    call(inviter, "crew.answer", json!({ "yes": true }));
    cable.run(10);
    assert_eq!(crew(joiner)["member"], json!(true));
}

#[test]
fn a_job_comes_to_who_joins_and_what_is_read_later_follows() {
    let place = Place::new("crew-follow");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    named(&ana, "Ana");
    named(&ben, "Ben");
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "12' 3 1/2\"");
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    let list = call(&ben, "jobs.list", json!({}));
    assert_eq!(
        (&list["jobs"][0]["name"], &list["jobs"][0]["rooms"], &list["jobs"][0]["changed"]["by"]),
        (&json!("Attic"), &json!(1), &json!("Ana"))
    );
    let told = crew(&ana);
    assert_eq!(
        (&told["devices"][0]["name"], &told["devices"][0]["words"]),
        (&json!("Ben"), &json!("Level with you."))
    );

    let events = ben.subscribe();
    read(&ana, &job, &room, ("B", "C"), "9' 4 1/2\"");
    cable.run(2);
    let told: Vec<Value> = events.try_iter().map(|event| json!(event)).collect();
    assert!(told.contains(&json!({ "kind": "changed", "job": job, "room": call(&ben, "job.view", json!({ "job": job }))["rooms"][0]["id"] })), "{told:?}");
    let view = call(&ben, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(text(&view["walls"][1]["reading"]["text"]), "9' 4 1/2\"");

    // Both are closed and opened again: they know each other, and nothing has to be sent anew.
    drop((cable, ana, ben, events));
    let (ana, ben) = (place.open("ana", 3), place.open("ben", 4));
    for session in [&ana, &ben] {
        let words = crew(session)["devices"][0]["words"].clone();
        assert!(text(&words).starts_with("Level with you") && text(&words).contains("ago"), "{words}");
    }
    let mut cable = Cable::new(&[&ana, &ben]);
    cable.run(6);
    assert_eq!(crew(&ben)["devices"][0]["level"], json!(true), "{:#}", crew(&ben));
    assert_eq!(crew(&ana)["devices"][0]["level"], json!(true));
}

#[test]
fn the_same_reading_changed_apart_is_shown_twice_and_settled_for_both() {
    let place = Place::new("crew-apart");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, room) = new_room(&ana);
    read(&ana, &job, &room, ("A", "B"), "11 ft");
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    cable.cut = true;
    cable.run(10);
    assert_eq!(crew(&ana)["devices"][0]["connected"], json!(false));
    read(&ana, &job, &room, ("A", "B"), "12 ft");
    read(&ben, &job, &room, ("A", "B"), "13 ft");
    cable.cut = false;
    cable.run(40);
    let conflicts =
        |session: &Session| call(session, "job.view", json!({ "job": job }))["disagreements"].clone();
    let shown = conflicts(&ana);
    assert_eq!(shown, conflicts(&ben));
    assert_eq!(shown[0]["values"].as_array().map(Vec::len), Some(2), "{shown:#}");
    call(&ben, "job.settle", json!({ "job": job, "choice": shown[0]["values"][0]["choice"] }));
    cable.run(4);
    assert_eq!((conflicts(&ana), conflicts(&ben)), (json!([]), json!([])));
}

#[test]
fn whoever_was_removed_is_told_so_and_keeps_what_it_has() {
    let place = Place::new("crew-removed");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    new_room(&ana);
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    assert_eq!(crew(&ben)["devices"][0]["may_remove"], json!(false), "only the founder may");
    let founder = crew(&ben)["devices"][0]["id"].clone();
    let refused = ben.call("crew.remove", json!({ "device": founder })).expect_err("it may not");
    assert_eq!(refused.code, "crew.may_not_remove");
    let device = crew(&ana)["devices"][0]["id"].clone();
    call(&ana, "crew.remove", json!({ "device": device }));
    cable.run(5);
    call(&ana, "jobs.create", json!({ "name": "Later", "client": "", "site": "", "units": "metric" }));
    cable.run(40);
    assert_eq!(crew(&ana)["devices"], json!([]));
    assert_eq!(call(&ben, "jobs.list", json!({}))["jobs"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_restored_store_is_another_device() {
    let place = Place::new("crew-restored");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, _) = new_room(&ana);
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    let backup = place.path("backup");
    call(&ben, "store.backup", json!({ "path": backup }));
    drylay_app::restore(&backup, &place.path("again")).expect("restored");
    let again = place.open("again", 3);
    assert_eq!(crew(&again)["member"], json!(false));
    assert_ne!(crew(&again)["key"], crew(&ben)["key"]);
    assert_eq!(call(&again, "jobs.list", json!({}))["jobs"][0]["id"], json!(job));
}

#[test]
fn a_hand_over_says_who_signed_it() {
    let place = Place::new("crew-signed");
    let (ana, ben, eve) = (place.open("ana", 1), place.open("ben", 2), place.open("eve", 3));
    named(&ana, "Ana");
    let (job, _) = new_room(&ana);
    let mut cable = Cable::new(&[&ana, &ben]);
    let_in(&mut cable, &ana, &ben);
    let file = place.path("job.drylay");
    let done = hand_over(&ana, &ben, &job, &file);
    assert_eq!(
        (&done["of_crew"], text(&done["signed_words"])),
        (&json!(true), "Signed by Ana, a device of this crew.")
    );
    let done = call(&eve, "handover.read", json!({ "path": file }));
    assert_eq!(done["of_crew"], json!(false));
    assert!(text(&done["signed_words"]).contains("not of this crew"), "{done:#}");

    // Somebody who changes a word and mends the checksum does not mend the signature.
    let mut forged = std::fs::read(&file).expect("the file");
    let at = forged.windows(3).position(|part| part == b"Ana").expect("the name");
    forged[at] = b'E';
    let (body, checksum) = forged.split_last_chunk_mut::<32>().expect("a checksum");
    *checksum = drylay_store::FileHash::of(body).0;
    std::fs::write(&file, forged).expect("a file");
    let refused = ben.call("handover.read", json!({ "path": file })).expect_err("forged");
    assert_eq!(refused.code, "handover.forged");
}

#[test]
fn a_locked_hand_over_opens_with_its_words() {
    let place = Place::new("crew-locked");
    let (ana, ben) = (place.open("ana", 1), place.open("ben", 2));
    let (job, _) = new_room(&ana);
    let file = place.path("job.drylay");
    call(&ana, "handover.write", json!({ "job": job, "path": file, "passphrase": "seven wet tiles" }));
    let bytes = std::fs::read(&file).expect("the file");
    assert!(!bytes.windows(5).any(|part| part == b"Attic"));
    let code = |ask: Value| ben.call("handover.read", ask).expect_err("no").code;
    assert_eq!(code(json!({ "path": file })), "handover.locked");
    assert_eq!(code(json!({ "path": file, "passphrase": "eight wet tiles" })), "handover.passphrase_wrong");
    let done = call(&ben, "handover.read", json!({ "path": file, "passphrase": "seven wet tiles" }));
    assert_eq!(done["jobs"][0]["name"], json!("Attic"));
}
