//! What only a phone has: the Kotlin half is `PhonePlugin` in `src-tauri/gen/android`.
//!
//! The screens ask by the command `phone`; what happens to the phone comes by one channel. The network is dealt with
//! here, bars are passed on to the screens, and what other apps send goes the way of everything that arrives.

use crate::arrivals::{self, Arrival};
use crate::door::Core;
use crate::line::Line;
use drylay_app::{Lockbox, Problem};
use serde_json::{Value, json};
use std::error::Error;
use std::path::{Path, PathBuf};
use tauri::ipc::{Channel, InvokeResponseBody};
use tauri::plugin::mobile::PluginInvokeError;
use tauri::plugin::{Builder, PluginHandle, TauriPlugin};
use tauri::{AppHandle, Emitter, Manager, State, Wry};

/// The package and the class of the Kotlin half.
const PACKAGE: &str = "app.drylay.field";
const CLASS: &str = "PhonePlugin";
/// The event that tells the screens of the phone's bars.
const EVENT: &str = "drylay-bars";
/// What the screens may ask for; `watch`, `lockAway` and `unlock` are not theirs.
const ALLOWED: [&str; 14] = [
    "bars",
    "darkIcons",
    "awake",
    "discover",
    "nearby",
    "askNearby",
    "notices",
    "askNotices",
    "remind",
    "takeIn",
    "camera",
    "photoLeft",
    "toSend",
    "share",
];

/// Why the Kotlin half did not do something: its words (`Refused` in `Files.kt`, and what `PhonePlugin.kt` rejects with)
/// and the codes of the catalogue. Whatever else it says are words of the system.
const REFUSALS: [(&str, &str); 7] = [
    ("noApp", "phone.no_app"),
    ("noCamera", "phone.no_camera"),
    ("noRoom", "phone.no_room"),
    ("notLent", "phone.not_lent"),
    ("notOffered", "phone.not_offered"),
    ("nothing", "phone.nothing"),
    ("tooLarge", "phone.too_large"),
];

/// The Kotlin half.
#[derive(Clone, Debug)]
pub(crate) struct Phone(PluginHandle<Wry>);

/// Makes the Kotlin half.
pub(crate) fn plugin() -> TauriPlugin<Wry> {
    Builder::new("phone")
        .setup(|app, api| {
            app.manage(Phone(api.register_android_plugin(PACKAGE, CLASS)?));
            Ok(())
        })
        .build()
}

/// From now on the phone tells what happens. Core, line and arrivals must be there.
///
/// # Errors
/// If the Kotlin half does not answer.
pub(crate) fn watch(app: &AppHandle) -> Result<(), Box<dyn Error>> {
    let phone = app.state::<Phone>().inner().clone();
    let told = app.clone();
    let channel: Channel<Value> = Channel::new(move |body| {
        if let InvokeResponseBody::Json(text) = body
            && let Ok(message) = serde_json::from_str::<Value>(&text)
        {
            hear(&told, &message);
        }
        Ok(())
    });
    phone.0.run_mobile_plugin::<()>("watch", json!({ "channel": channel }))?;
    Ok(())
}

/// What happened. This runs on whatever thread the phone told it on, so nothing here may take long.
fn hear(app: &AppHandle, message: &Value) {
    let text = |name: &str| message[name].as_str().unwrap_or_default().to_owned();
    match message["kind"].as_str() {
        Some("changed") => app.state::<Line>().changed(),
        Some("bound") => {
            let app = app.clone();
            std::thread::spawn(move || app.state::<Line>().again());
        }
        Some("bars") => {
            // Without a window nobody needs to know; it asks when it opens.
            let _ = app.emit(EVENT, &message["bars"]);
        }
        Some("link") => arrivals::hand_on(app, Arrival::Link(text("text"))),
        Some("file") => arrivals::hand_on(app, Arrival::File(PathBuf::from(text("path")))),
        Some("picture") => arrivals::hand_on(app, Arrival::Picture(PathBuf::from(text("path")))),
        Some("lost") => arrivals::hand_on(app, Arrival::Lost(refusal(&text("why")).message)),
        _ => app.state::<Core>().note("the phone told something that is not known here"),
    }
}

/// What the phone said instead of doing it.
fn refusal(why: &str) -> Problem {
    match REFUSALS.iter().find(|(word, _)| *word == why) {
        Some((_, code)) => Problem::new(code, ""),
        None => Problem::new("phone.refused", "").with("why", why),
    }
}

/// In the words of the phone alone, without what the plugin's machinery puts around them.
fn said(error: PluginInvokeError) -> Problem {
    match error {
        PluginInvokeError::InvokeRejected(answer) if answer.message.is_some() => {
            refusal(&answer.message.unwrap_or_default())
        }
        other => refusal(&other.to_string()),
    }
}

/// Shows a file by whichever app of the phone a person chooses.
///
/// # Errors
/// In words, why it cannot.
pub(crate) fn show(app: &AppHandle, path: &Path) -> Result<(), String> {
    let kind = match path.extension().and_then(|ending| ending.to_str()) {
        Some("pdf") => "application/pdf",
        Some("svg") => "image/svg+xml",
        Some("dxf") => "image/vnd.dxf",
        Some("csv") => "text/csv",
        Some("json") => "application/json",
        _ => "application/octet-stream",
    };
    let phone = app.state::<Phone>();
    let asked = json!({ "path": path.to_string_lossy(), "kind": kind });
    phone
        .0
        .run_mobile_plugin::<()>("show", asked)
        .map_err(|error| said(error).message.trim_end_matches('.').to_owned())
}

/// The phone's keystore: it holds a key that never leaves it, by which the device's own key is locked. The word that finds
/// a secret is the locked secret itself.
#[derive(Clone, Debug)]
pub(crate) struct Keystore(Phone);

impl Keystore {
    /// That of the phone the app runs on.
    pub(crate) fn of(app: &AppHandle) -> Self {
        Self(app.state::<Phone>().inner().clone())
    }

    fn ask(&self, command: &str, args: Value) -> Result<String, String> {
        let answer = self.0.0.run_mobile_plugin::<Value>(command, args).map_err(|error| error.to_string())?;
        answer["text"].as_str().map(str::to_owned).ok_or_else(|| "the phone answered nothing".into())
    }
}

impl Lockbox for Keystore {
    fn name(&self) -> &'static str {
        "android-keystore"
    }

    fn put(&self, secret: &[u8; 32]) -> Result<Option<String>, String> {
        let text = secret.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
        self.ask("lockAway", json!({ "text": text })).map(Some)
    }

    fn take(&self, word: &str) -> Result<[u8; 32], String> {
        let text = self.ask("unlock", json!({ "text": word }))?;
        let byte = |n: usize| u8::from_str_radix(text.get(2 * n..2 * n + 2)?, 16).ok();
        let bytes: Option<Vec<u8>> = (0..32).map(byte).collect();
        bytes.and_then(|bytes| bytes.try_into().ok()).ok_or_else(|| "what it held is no key".into())
    }
}

/// The command of the screens: `invoke("phone", { name, args })`.
#[tauri::command]
pub(crate) async fn phone(phone: State<'_, Phone>, name: String, args: Value) -> Result<Value, Problem> {
    if !ALLOWED.contains(&name.as_str()) {
        return Err(Problem::new("command.unknown", "").with("name", name));
    }
    let phone = phone.inner().clone();
    let answer = phone.0.run_mobile_plugin_async::<Value>(name, args).await;
    answer.map_err(said)
}
