//! Many mutants in one source, each behind a switch that is off: so a crate is built once for all of them.

use crate::find::{Change, Mutant, Range2};

/// The name of the module that holds the switch.
pub(crate) const SWITCH: &str = "mutant_switch";

/// The module with the switch. `DRYLAY_MUTANT` says which mutant is on; the file that `DRYLAY_MUTANTS_REACHED` names
/// gets a line for every mutant whose place was come to.
pub(crate) const SWITCH_SOURCE: &str = r#"//! Says which mutant is on.
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

static ON: LazyLock<usize> = LazyLock::new(|| {
    std::env::var("DRYLAY_MUTANT").ok().and_then(|n| n.parse().ok()).unwrap_or(usize::MAX)
});
static REACHED: LazyLock<Option<(std::path::PathBuf, Vec<AtomicBool>)>> = LazyLock::new(|| {
    let path = std::env::var_os("DRYLAY_MUTANTS_REACHED")?;
    Some((path.into(), (0..100_000).map(|_| AtomicBool::new(false)).collect()))
});

/// Whether that mutant is on.
#[inline]
pub fn on(n: usize) -> bool {
    if *ON == usize::MAX {
        reached(n);
    }
    *ON == n
}

fn reached(n: usize) {
    let Some((path, seen)) = &*REACHED else { return };
    if seen.get(n).is_some_and(|one| !one.swap(true, Ordering::Relaxed)) {
        use std::io::Write;
        let file = std::fs::OpenOptions::new().create(true).append(true).open(path);
        let _ = file.and_then(|mut file| file.write_all(format!("{n}\n").as_bytes()));
    }
}
"#;

/// A source with switches in it, and where each mutant stands in it now.
#[derive(Debug, Default)]
pub(crate) struct Woven {
    /// The source.
    pub(crate) text: String,
    /// The mutants' numbers with the bytes that belong to each, wider ones first.
    pub(crate) places: Vec<(usize, Range2)>,
}

/// The source with that one mutant and no switch.
pub(crate) fn alone(source: &str, mutant: &Mutant) -> String {
    let Range2 { start, end } = mutant.range;
    let (before, was, after) = (&source[..start], &source[start..end], &source[end..]);
    let now = match &mutant.change {
        Change::Replace(by) => by.clone(),
        Change::Negate => format!("!({was})"),
        Change::Remove => String::new(),
        Change::Return(value) => format!(" return {value}; "),
    };
    format!("{before}{now}{after}")
}

/// The source with all of these mutants, numbered, all off. Their ranges lie within each other or apart.
pub(crate) fn weave(source: &str, mutants: &[(usize, &Mutant)]) -> Woven {
    let mut sorted = mutants.to_vec();
    sorted.sort_by_key(|(_, mutant)| (mutant.range.start, std::cmp::Reverse(mutant.range.end)));
    let mut woven = Woven::default();
    write(&mut woven, source, Range2 { start: 0, end: source.len() }, &sorted);
    woven.places.sort_by_key(|(_, place)| std::cmp::Reverse(place.end - place.start));
    woven
}

/// Writes a stretch of the source with the mutants that lie in it.
fn write(woven: &mut Woven, source: &str, stretch: Range2, mutants: &[(usize, &Mutant)]) {
    let mut at = stretch.start;
    let mut left = mutants;
    while let Some((_, first)) = left.first() {
        let place = first.range;
        let same = left.iter().take_while(|(_, mutant)| mutant.range == place).count();
        let inside = left[same..].iter().take_while(|(_, mutant)| mutant.range.start < place.end).count();
        woven.text.push_str(&source[at..place.start]);
        let (here, rest) = left.split_at(same);
        switched(woven, source, place, here, &rest[..inside]);
        at = place.end;
        left = &rest[inside..];
    }
    woven.text.push_str(&source[at..stretch.end]);
}

/// One place with the mutants that change all of it, and those that lie within.
fn switched(
    woven: &mut Woven,
    source: &str,
    place: Range2,
    here: &[(usize, &Mutant)],
    within: &[(usize, &Mutant)],
) {
    let Some(((number, mutant), others)) = here.split_first() else {
        return write(woven, source, place, within);
    };
    let start = woven.text.len();
    let on = format!("crate::{SWITCH}::on({number})");
    match &mutant.change {
        Change::Replace(by) => {
            woven.text.push_str(&format!("(if {on} {{ ({by}) }} else {{ ("));
            woven.places.push((*number, Range2 { start, end: woven.text.len() }));
            switched(woven, source, place, others, within);
            woven.text.push_str(") })");
        }
        Change::Negate => {
            woven.text.push_str(&format!("({on} != ("));
            switched(woven, source, place, others, within);
            woven.text.push_str("))");
        }
        Change::Remove => {
            woven.text.push_str(&format!("if !{on} {{ "));
            switched(woven, source, place, others, within);
            woven.text.push_str(" }");
        }
        Change::Return(value) => {
            woven.text.push_str(&format!(" if {on} {{ return {value}; }} "));
            woven.places.push((*number, Range2 { start, end: woven.text.len() }));
            switched(woven, source, place, others, within);
        }
    }
    if !matches!(mutant.change, Change::Return(_)) {
        woven.places.push((*number, Range2 { start, end: woven.text.len() }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::find::mutants;

    #[test]
    fn a_woven_source_parses_and_names_each_mutant_once() {
        let source = "fn f(a: u8, b: u8) -> bool {\n    if a + 1 < b { g(a, b * 2); }\n    a != b\n}\n";
        let found = mutants("a.rs", source).expect("it parses");
        let numbered: Vec<(usize, &Mutant)> = found.iter().enumerate().collect();
        let woven = weave(source, &numbered);
        syn::parse_file(&woven.text).expect("what is woven parses");
        for (number, _) in &numbered {
            let on = format!("on({number})");
            assert_eq!(woven.text.matches(&on).count(), 1, "{on} in {}", woven.text);
            let mut places = woven.places.iter().filter(|(one, _)| one == number);
            assert!(places.any(|(_, place)| woven.text[place.start..place.end].contains(&on)), "{on}");
        }
    }

    #[test]
    fn without_mutants_a_source_stays_as_it_is() {
        assert_eq!(weave("fn f() { 1 + 2 }", &[]).text, "fn f() { 1 + 2 }");
    }

    #[test]
    fn one_alone_changes_its_place_only() {
        let source = "fn f() -> u8 { 1 + 2 }";
        let found = mutants("a.rs", source).expect("it parses");
        let texts: Vec<String> = found.iter().map(|mutant| alone(source, mutant)).collect();
        assert!(texts.contains(&"fn f() -> u8 { 1 - 2 }".to_owned()), "{texts:?}");
        assert!(
            texts.contains(&"fn f() -> u8 { return Default::default();  1 + 2 }".to_owned()),
            "{texts:?}"
        );
    }
}
