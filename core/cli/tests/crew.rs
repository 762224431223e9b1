//! A crew of real processes, each on a network of its own: joining, editing apart, meeting, photos, cuts, kills,
//! removal, a stranger, a keeper that moved; over cables and over a link that loses, delays and reorders.

mod lab;

use lab::link::Weather;
use lab::{Keeper, Lab, noise};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::time::{Duration, Instant};

/// The demo job's name.
const DEMO: &str = "House at the mill pond";

/// After how long somebody who was not answered asks again.
const AGAIN: Duration = Duration::from_secs(12);

/// The first keeper invites, the second joins by the code, a person says yes.
fn let_in(inviter: &mut Keeper, joiner: &mut Keeper, name: &str) {
    let_in_by(inviter, joiner, name, "code");
}

/// The same by the code or by the text of the picture.
fn let_in_by(inviter: &mut Keeper, joiner: &mut Keeper, name: &str, by: &str) {
    joiner.call("device.rename", json!({ "name": name }));
    let crew = inviter.call("crew.invite", json!({}));
    // Who finds nobody asks again, as a person does.
    let mut asked = None;
    let asking = inviter.until("somebody who asks", |now| {
        if now["asks"].is_null() && asked.is_none_or(|at: Instant| at.elapsed() >= AGAIN) {
            let _ = joiner.ask("crew.join", json!({ "text": crew["invitation"][by] }));
            asked = Some(Instant::now());
        }
        now["asks"]["name"] == json!(name)
    });
    assert_eq!(
        asking["asks"]["key"],
        joiner.call("crew.view", json!({}))["key"],
        "both screens show one key"
    );
    inviter.call("crew.answer", json!({ "yes": true }));
    joiner.until("belonging", |crew| crew["member"] == json!(true));
}

fn names(keeper: &mut Keeper) -> Vec<String> {
    let list = keeper.call("jobs.list", json!({}));
    let mut names: Vec<String> = list["jobs"]
        .as_array()
        .expect("jobs")
        .iter()
        .map(|job| job["name"].as_str().unwrap_or_default().to_owned())
        .collect();
    names.sort();
    names.dedup();
    names
}

fn sheet(keeper: &mut Keeper, job: &Value) -> Value {
    keeper.call("jobs.export", json!({ "job": job }))["sheet"].clone()
}

#[test]
fn two_devices_join_work_apart_and_meet_and_a_stranger_learns_nothing() {
    let lab = Lab::new("a", 3);
    lab.join(0, 1);
    lab.join(0, 2);
    let (mut ana, mut ben, mut eve) = (lab.keeper(0), lab.keeper(1), lab.keeper(2));
    ana.call("device.rename", json!({ "name": "Ana" }));
    let job = ana.call("jobs.demo", json!({}))["id"].clone();
    let copy = sheet(&mut ana, &job);
    (0..20).for_each(|_| drop(ana.call("jobs.import", json!({ "sheet": copy }))));
    let list = ana.call("jobs.list", json!({}));
    let file = lab.folder.join("job.drylay");
    let compact: u64 = list["jobs"]
        .as_array()
        .expect("jobs")
        .iter()
        .map(|job| ana.call("handover.write", json!({ "job": job["id"], "path": file })))
        .filter_map(|done| done["bytes"].as_u64())
        .sum();

    // Joining by the code, confirmed on both screens, and the first time level.
    let (begun, before) = (Instant::now(), lab.received(1, 0));
    let_in(&mut ana, &mut ben, "Ben");
    ben.level_with(1);
    ana.level_with(1);
    let (took, first) = (begun.elapsed(), lab.received(1, 0) - before);
    assert_eq!(sheet(&mut ana, &job), sheet(&mut ben, &job));

    // An edit on one is seen on the other.
    let changed = json!({ "kind": "changed", "job": job, "room": null });
    let (mut times, before) = (Vec::new(), (lab.received(1, 0), lab.received(0, 1)));
    for n in 0..21 {
        ben.call("crew.view", json!({}));
        ben.events.clear();
        let begun = Instant::now();
        ana.call("jobs.edit", json!({ "job": job, "site": format!("{n} Long Lane") }));
        times.push(ben.event(|event| *event == changed) - begun);
    }
    times.sort_unstable();
    let edits = (lab.received(1, 0) - before.0 + lab.received(0, 1) - before.1) / 21;
    println!(
        "joined and level in {took:?}; first sync {first} bytes for {compact} compact; an edit is there after {:?} \
         (median of 21, with storing on both), {edits} bytes both ways with all headers",
        times[10]
    );

    // Apart, both change the same job and one makes another.
    lab.set(0, 1, false);
    ana.until("noticing", |crew| crew["devices"][0]["connected"] == json!(false));
    ana.call("jobs.edit", json!({ "job": job, "client": "Ana's word" }));
    ben.call("jobs.edit", json!({ "job": job, "name": "Ben's name" }));
    ben.call("jobs.create", json!({ "name": "Made apart", "client": "", "site": "", "units": "metric" }));
    lab.set(0, 1, true);
    ana.level_with(1);
    ben.level_with(1);
    assert_eq!(names(&mut ana), ["Ben's name", DEMO, "Made apart"]);
    assert_eq!(names(&mut ben), names(&mut ana));
    let (one, other) = (sheet(&mut ana, &job), sheet(&mut ben, &job));
    assert_eq!(one, other);
    assert!(one.as_str().is_some_and(|text| text.contains("Ben's name")), "{one}");
    assert_eq!(ana.call("job.view", json!({ "job": job }))["card"]["client"], json!("Ana's word"));

    // The stranger is near, guesses a code, and is none the wiser; also while an invitation stands.
    ana.call("crew.invite", json!({}));
    eve.call("crew.join", json!({ "text": "1234 5678" }));
    ana.until("the guess to be seen", |crew| crew["asks"].is_null());
    std::thread::sleep(Duration::from_secs(3));
    let crew = eve.call("crew.view", json!({}));
    assert_eq!((&crew["member"], &crew["devices"]), (&json!(false), &json!([])));
    assert_eq!(names(&mut eve), Vec::<String>::new());
    ana.call("crew.close", json!({}));

    // Ben is removed: cut off at once, gets nothing more, keeps what it has.
    let ben_key = ana.call("crew.view", json!({}))["devices"][0]["id"].clone();
    ana.call("crew.remove", json!({ "device": ben_key }));
    ben.until("being cut off", |crew| crew["devices"][0]["connected"] == json!(false));
    ana.call("jobs.create", json!({ "name": "Not for Ben", "client": "", "site": "", "units": "metric" }));
    std::thread::sleep(Duration::from_secs(3));
    assert_eq!(names(&mut ben), ["Ben's name", DEMO, "Made apart"]);
    assert_eq!(names(&mut ana), ["Ben's name", DEMO, "Made apart", "Not for Ben"]);
    assert_eq!(ana.call("crew.view", json!({}))["devices"], json!([]));
}

#[test]
fn photos_go_on_after_a_cut_and_a_kill_and_a_device_that_moved_is_found_again() {
    let lab = Lab::new("b", 2);
    lab.join(0, 1);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(1));
    let job =
        ana.call("jobs.create", json!({ "name": "Photos", "client": "", "site": "", "units": "metric" }));
    let job = job["id"].clone();
    let_in(&mut ana, &mut ben, "Ben");
    ben.level_with(1);
    lab.set(0, 1, false);
    let paths: Vec<_> = (0..4).map(|n| lab.folder.join(format!("{n}.png"))).collect();
    paths.iter().zip(1..).for_each(|(path, seed)| noise(path, 1600, seed));
    let task = ana.call("photos.add", json!({ "job": job, "paths": paths, "pin": { "what": "job" } }));
    ana.event(|event| event["kind"] == json!("finished") && event["task"] == task["task"]);
    let photos = ana.call("photos.list", json!({ "job": job }));
    let all: f64 =
        photos["photos"].as_array().expect("photos").iter().filter_map(|p| p["bytes"].as_f64()).sum();
    assert!(all > 25e6, "{all} bytes are enough to be cut off in");

    // Killed in the middle of a file: what had come is not sent again.
    lab.set(0, 1, true);
    let begun = Instant::now();
    while ben.under_way() < 5_000_000 {
        assert!(begun.elapsed() < Duration::from_secs(40), "nothing comes");
    }
    ben.kill();
    let before = lab.received(1, 0);
    let mut ben = lab.keeper(1);
    // And the cable is pulled in the middle of another.
    while ben.under_way() < 1_000_000 && ben.call("crew.view", json!({}))["files_wanted"] != json!(0) {}
    lab.set(1, 0, false);
    ana.until("noticing", |crew| crew["devices"][0]["connected"] == json!(false));
    // Back at another address.
    lab.move_to(1, 0, "10.77.12.9/24");
    lab.set(1, 0, true);
    ben.level_with(1);
    ana.level_with(1);
    let again = lab.received(1, 0) - before;
    println!("after the kill {again} bytes came for what was missing of {all}");
    assert!((again as f64) < all, "what had come was sent again");
    let here = |keeper: &mut Keeper| {
        let list = keeper.call("photos.list", json!({ "job": job }));
        let all = list["photos"].as_array().expect("photos").clone();
        all.iter().map(|photo| (photo["hash"].to_string(), photo["here"].clone())).collect::<Vec<_>>()
    };
    let (ours, theirs) = (here(&mut ana), here(&mut ben));
    assert_eq!(ours, theirs);
    assert!(ours.len() == 4 && ours.iter().all(|(_, here)| *here == json!(true)), "{ours:?}");
    assert_eq!(ben.call("store.check", json!({}))["clean"], json!(true));
}

/// Adds pictures of noise to a job; each is about three times the square of its side in bytes.
fn add_photos(lab: &Lab, keeper: &mut Keeper, job: &Value, sides: &[u32]) {
    let name = |n: usize| lab.folder.join(format!("{}-{n}.png", job.as_str().unwrap_or_default()));
    let paths: Vec<_> = (0..sides.len()).map(name).collect();
    paths.iter().zip(sides).zip(1..).for_each(|((path, side), seed)| noise(path, *side, seed));
    let task = keeper.call("photos.add", json!({ "job": job, "paths": paths, "pin": { "what": "job" } }));
    keeper.event(|event| event["kind"] == json!("finished") && event["task"] == task["task"]);
}

/// The photos of a job, and whether each is on the device.
fn photos(keeper: &mut Keeper, job: &Value) -> Vec<(String, bool)> {
    let list = keeper.call("photos.list", json!({ "job": job }));
    let all = list["photos"].as_array().expect("photos").clone();
    all.iter().map(|photo| (photo["hash"].to_string(), photo["here"] == json!(true))).collect()
}

/// Waits until both hold the same of a job, photos and all.
fn until_the_same(one: &mut Keeper, other: &mut Keeper, job: &Value, count: usize) {
    let whole = |photos: &[(String, bool)]| photos.len() == count && photos.iter().all(|it| it.1);
    one.until("the same job on both", |_| {
        let there = other.ask("jobs.export", json!({ "job": job })).is_ok_and(|it| !it["sheet"].is_null());
        there && whole(&photos(other, job))
    });
    one.level_with(1);
    other.until("the same words on both", |_| true);
    let begun = Instant::now();
    while sheet(one, job) != sheet(other, job) || !whole(&photos(one, job)) {
        assert!(begun.elapsed() < Duration::from_secs(180), "they do not come level");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn over_a_link_that_loses_delays_doubles_and_reorders_documents_and_photos_come_level() {
    let lab = Lab::new("d", 3);
    let (delay, jitter) = (Duration::from_millis(80), Duration::from_millis(40));
    let link = lab.poor_link(Weather { lost: 0.1, doubled: 0.03, delay, jitter, ..Weather::FAIR }, 7);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(2));
    let job = ana.call("jobs.demo", json!({}))["id"].clone();
    add_photos(&lab, &mut ana, &job, &[60, 80]);
    let_in_by(&mut ana, &mut ben, "Ben", "text");
    until_the_same(&mut ana, &mut ben, &job, 2);

    // Both type on, and photos come from the other side too.
    for n in 0..5 {
        ana.call("jobs.edit", json!({ "job": job, "client": format!("Client {n}") }));
        ben.call("jobs.edit", json!({ "job": job, "site": format!("{n} Long Lane") }));
    }
    add_photos(&lab, &mut ben, &job, &[70]);
    until_the_same(&mut ben, &mut ana, &job, 3);
    let text = sheet(&mut ana, &job).to_string();
    assert!(text.contains("Client 4") && text.contains("4 Long Lane"), "{text}");

    let [passed, lost, doubled, overtaken] = link.counts().all();
    println!("{passed} datagrams passed, {lost} lost, {doubled} doubled, {overtaken} overtaken");
    assert!(lost * 20 > passed && lost * 5 < passed, "about a tenth of {passed} is lost: {lost}");
    assert!(doubled > 0 && overtaken > 0, "{doubled} came twice, {overtaken} too late");
}

#[test]
fn over_a_link_that_flaps_nothing_is_lost_and_files_go_on() {
    let lab = Lab::new("e", 3);
    let (delay, jitter) = (Duration::from_millis(10), Duration::from_millis(10));
    let link = lab.poor_link(Weather { lost: 0.01, delay, jitter, ..Weather::FAIR }, 11);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(2));
    let job = ana.call("jobs.demo", json!({}))["id"].clone();
    let_in_by(&mut ana, &mut ben, "Ben", "text");
    ben.level_with(1);
    add_photos(&lab, &mut ana, &job, &[500, 501]);
    // Short cuts, in which a connection lives on; each begins when something has come since the last.
    for n in 0..4 {
        let before = link.bytes_to(1);
        ana.until("something that comes", |_| link.bytes_to(1) > before + 50_000);
        link.cut(true);
        let lost = link.counts().all()[1];
        ana.call("jobs.edit", json!({ "job": job, "client": format!("Client {n}") }));
        ana.until("datagrams that are lost", |_| link.counts().all()[1] > lost + 4);
        link.cut(false);
    }
    // A long one, in which both sides notice and change the same job apart.
    link.cut(true);
    ana.until("noticing", |crew| crew["devices"][0]["connected"] == json!(false));
    ben.until("noticing", |crew| crew["devices"][0]["connected"] == json!(false));
    ana.call("jobs.edit", json!({ "job": job, "client": "Said by Ana" }));
    ben.call("jobs.edit", json!({ "job": job, "site": "Said by Ben" }));
    link.cut(false);
    until_the_same(&mut ana, &mut ben, &job, 2);
    let text = sheet(&mut ana, &job).to_string();
    assert!(text.contains("Said by Ana") && text.contains("Said by Ben"), "{text}");
}

#[test]
fn a_device_killed_behind_a_poor_link_goes_on_where_it_was() {
    let lab = Lab::new("f", 3);
    let (delay, jitter) = (Duration::from_millis(20), Duration::from_millis(10));
    let link = lab.poor_link(Weather { lost: 0.02, doubled: 0.01, delay, jitter, ..Weather::FAIR }, 13);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(2));
    let job = ana.call("jobs.demo", json!({}))["id"].clone();
    let_in_by(&mut ana, &mut ben, "Ben", "text");
    ben.level_with(1);
    add_photos(&lab, &mut ana, &job, &[600]);
    let all = 3 * 600 * 600;
    ana.until("half of it", |_| ben.under_way() > all / 2);
    ben.kill();
    let before = link.bytes_to(1);
    let mut ben = lab.keeper(2);
    until_the_same(&mut ana, &mut ben, &job, 1);
    let again = link.bytes_to(1) - before;
    println!("after the kill {again} bytes came for what was missing of {all}");
    assert!(again < all * 9 / 10, "what had come was sent again: {again} of {all}");
    assert_eq!(ben.call("store.check", json!({}))["clean"], json!(true));
}

/// `drylay invite` beside a keeper on the same store: the keeper lets the device in, and they come level. Nobody but
/// the keeper's user can enter the folder of the socket.
fn invited_through_a_keeper(lab: &Lab, store: &str) {
    use std::os::unix::fs::PermissionsExt;
    let folder = std::fs::metadata(format!("{store}/keeper")).expect("a folder");
    assert_eq!(folder.permissions().mode() & 0o777, 0o700);
    let mut invite = lab.drylay(1, &["invite", "--store", store, "--yes"]);
    let mut invite = invite.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it starts");
    let mut lines = BufReader::new(invite.stdout.take().expect("piped")).lines().map_while(Result::ok);
    let text = lines.find(|line| line.starts_with("DRYLAY")).expect("the invitation");
    std::thread::spawn(move || lines.for_each(drop));
    let new = lab.folder.join("new");
    let new = new.to_str().expect("a path");
    // On the same machine, and so on another port.
    let join = lab.drylay(1, &["join", "--store", new, "--port", "0", "--name", "Office", &text]).output();
    let join = join.expect("it runs");
    assert!(join.status.success(), "{}", String::from_utf8_lossy(&join.stderr));
    let invited = invite.wait_with_output().expect("it ends");
    assert!(invited.status.success(), "{}", String::from_utf8_lossy(&invited.stderr));
    let crew = lab.drylay(1, &["crew", "--store", store]).output().expect("it runs");
    let crew = String::from_utf8_lossy(&crew.stdout).into_owned();
    assert!(crew.contains("Office"), "{crew}");
}

#[test]
fn the_commands_for_a_shop_machine_do_what_they_say() {
    let lab = Lab::new("c", 2);
    lab.join(0, 1);
    let mut ana = lab.keeper(0);
    ana.call("jobs.demo", json!({}));
    let crew = ana.call("crew.invite", json!({}));
    let code = crew["invitation"]["code"].as_str().expect("a code").to_owned();
    let store = lab.store(1);
    let store = store.to_str().expect("a path");
    let mut words = vec!["join", "--store", store, "--name", "Shop"];
    words.extend(code.split(' '));
    let join = lab.drylay(1, &words).stderr(Stdio::piped()).spawn().expect("it starts");
    ana.until("the shop", |crew| crew["asks"]["name"] == json!("Shop"));
    ana.call("crew.answer", json!({ "yes": true }));
    let run = |words: &[&str]| lab.drylay(1, words).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let joined = join.wait_with_output().expect("it ends");
    assert!(joined.status.success(), "{}", text(&joined.stderr));

    let jobs = run(&["jobs", "--store", store, "--json"]);
    let jobs: Value = serde_json::from_slice(&jobs.stdout).expect("JSON");
    assert_eq!(jobs.as_array().expect("jobs").len(), 1);
    let synced = run(&["sync", "--store", store]);
    assert!(synced.status.success(), "{}", text(&synced.stderr));
    assert!(text(&synced.stdout).contains("Level with you."), "{}", text(&synced.stdout));
    assert!(run(&["check-store", "--store", store]).status.success());

    // A restored store is another device, with the jobs and without the crew.
    let backup = lab.folder.join("backup");
    let backup = backup.to_str().expect("a path");
    assert!(run(&["backup", "--store", store, backup]).status.success());
    let restored = lab.folder.join("restored");
    let restored = restored.to_str().expect("a path");
    assert!(run(&["restore", "--store", restored, backup]).status.success());
    let again = run(&["restore", "--store", restored, backup]);
    assert!(!again.status.success() && text(&again.stderr).contains("not empty"), "{}", text(&again.stderr));
    let crew = run(&["crew", "--store", restored]);
    assert!(text(&crew.stdout).contains("belongs to no crew"), "{}", text(&crew.stdout));
    assert!(text(&run(&["jobs", "--store", restored]).stdout).lines().count() == 1);

    // While a keeper has the store open, commands go through it; a second keeper is refused.
    let keeper = lab.keeper(1);
    let listed = run(&["jobs", "--store", store]);
    assert!(listed.status.success() && text(&listed.stdout).lines().count() == 1, "{}", text(&listed.stderr));
    assert!(run(&["check-store", "--store", store]).status.success());
    assert!(text(&run(&["crew", "--store", store]).stdout).starts_with("Shop"));
    let busy = run(&["keep", "--store", store]);
    assert!(!busy.status.success() && text(&busy.stderr).contains("keeper"), "{}", text(&busy.stderr));
    invited_through_a_keeper(&lab, store);
    // A killed one leaves its socket behind, which keeps nobody from anything.
    keeper.kill();
    assert!(text(&run(&["jobs", "--store", store]).stdout).lines().count() == 1);
    let wrong = run(&["join", "--store", restored, "no invitation"]);
    assert!(
        !wrong.status.success() && text(&wrong.stderr).contains("eight digits"),
        "{}",
        text(&wrong.stderr)
    );
}
