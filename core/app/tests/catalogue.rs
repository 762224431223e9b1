//! Every code that the sources give has its text in the catalogue.

use drylay_app::messages::ENGLISH;
use std::path::{Path, PathBuf};

fn sources(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).expect("a folder of the repository") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
            found.push(path);
        }
    }
}

/// The text of the first string literal after each of these openings, if it stands at once.
fn codes(text: &str, said: bool) -> Vec<String> {
    let mut found = Vec::new();
    let always = ["Problem::new(", "unknown("];
    let openings: Vec<&str> = always.into_iter().chain(said.then_some("say(")).collect();
    for opening in openings {
        for (at, _) in text.match_indices(opening) {
            let rest = text[at + opening.len()..].trim_start();
            let literal = rest.strip_prefix('"').and_then(|r| r.split_once('"'));
            found.extend(literal.map(|(code, _)| code.to_owned()));
        }
    }
    found
}

#[test]
fn no_code_is_without_its_text() {
    let core = Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("core").to_owned();
    let mut files = Vec::new();
    for folder in ["document/src", "app/src", "cli/src"] {
        sources(&core.join(folder), &mut files);
    }
    let mut used = Vec::new();
    for file in &files {
        let text = std::fs::read_to_string(file).expect("text");
        let code_only = text.split("#[cfg(test)]").next().unwrap_or_default();
        // Elsewhere `say` takes its words from the catalogue of the screens.
        let in_answers = file.components().any(|c| c.as_os_str() == "answers");
        used.extend(codes(code_only, in_answers).into_iter().map(|code| (code, file.display().to_string())));
    }
    assert!(used.len() > 60, "the sources were found: {}", used.len());
    let missing: Vec<_> = used.iter().filter(|(code, _)| !ENGLISH.iter().any(|(c, ..)| c == code)).collect();
    assert_eq!(missing, Vec::<&(String, String)>::new());
}
