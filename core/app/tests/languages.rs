//! Every language is complete: the same codes as English, with the same parameters, and hints where English has hints.

use drylay_app::language::{LANGUAGES, Language};
use std::collections::BTreeSet;

/// The parameters that a text names: what stands in braces, before the forms for one and for more.
fn parameters(text: &str) -> BTreeSet<&str> {
    let after = text.split('{').skip(1);
    after
        .filter_map(|rest| rest.split_once('}').map(|(name, _)| name.split(':').next().unwrap_or(name)))
        .filter(|name| name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'))
        .collect()
}

/// What is wrong with a table beside the English one, each with its code.
fn faults(english: &[(&str, Vec<&str>)], other: &[(&str, Vec<&str>)]) -> Vec<String> {
    let mut found = Vec::new();
    for (code, texts) in english {
        let all: Vec<_> = other.iter().filter(|(other, _)| other == code).collect();
        let [(_, said)] = all[..] else {
            found.push(format!("{code} stands there {} times", all.len()));
            continue;
        };
        for (text, said) in texts.iter().zip(said) {
            if parameters(text) != parameters(said) {
                found.push(format!("{code} names other parameters: {said}"));
            }
            if text.is_empty() != said.is_empty() {
                found.push(format!("{code} lacks a text, or has one too many: {said}"));
            }
        }
    }
    let unknown = other.iter().filter(|(code, _)| !english.iter().any(|(known, _)| known == code));
    found.extend(unknown.map(|(code, _)| format!("{code} is no code of the catalogue")));
    found
}

fn tables(language: Language) -> [Vec<(&'static str, Vec<&'static str>)>; 2] {
    let messages = language.messages().iter().map(|(code, message, hint)| (*code, vec![*message, *hint]));
    let words = language.words().iter().map(|(code, words)| (*code, vec![*words]));
    [messages.collect(), words.collect()]
}

#[test]
fn no_language_lacks_a_code_or_a_parameter() {
    let english = tables(Language::English);
    assert!(english.iter().all(|table| table.len() > 300), "the tables were found");
    for language in LANGUAGES {
        for (table, other) in english.iter().zip(&tables(language)) {
            assert_eq!(faults(table, other), Vec::<String>::new(), "{language:?}");
        }
    }
}

#[test]
fn a_missing_code_a_lost_parameter_and_an_empty_hint_are_told() {
    let english = [("a.one", vec!["It is {n}.", "Look."]), ("a.two", vec!["No.", ""])];
    let good = [("a.one", vec!["Es ist {n}.", "Nachsehen."]), ("a.two", vec!["Nein.", ""])];
    assert!(faults(&english, &good).is_empty());
    let bad = [("a.one", vec!["Es ist so.", ""]), ("a.three", vec!["Nein.", ""])];
    let told = faults(&english, &bad);
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told.iter().all(|line| line.starts_with("a.")));
}
