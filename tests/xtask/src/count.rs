//! Counts what a step's output says was passed and failed, so that the last line can add it all up.

/// Checks that passed and failed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Count {
    /// Checks that passed.
    pub(crate) passed: u64,
    /// Checks that failed.
    pub(crate) failed: u64,
}

impl Count {
    /// One check that passed: a step that prints no figures.
    pub(crate) const ONE: Count = Count { passed: 1, failed: 0 };

    /// Both together.
    pub(crate) fn and(self, other: Count) -> Count {
        Count { passed: self.passed + other.passed, failed: self.failed + other.failed }
    }

    /// Adds up the summary lines of cargo's, vitest's and node's test runners and of the oracles (`N checks`).
    pub(crate) fn read(output: &str) -> Count {
        output.lines().map(line).fold(Count::default(), Count::and)
    }
}

fn line(raw: &str) -> Count {
    let text = plain(raw);
    let words: Vec<&str> = text.split(|c: char| c.is_whitespace() || c == ';' || c == ',').collect();
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    if words.starts_with(&["Test", "Files"]) {
        return Count::default();
    }
    let before = |name: &str| number(&words, name);
    match words.as_slice() {
        ["#" | "ℹ", "pass", figure] => Count { passed: figure.parse().unwrap_or(0), failed: 0 },
        ["#" | "ℹ", "fail", figure] => Count { passed: 0, failed: figure.parse().unwrap_or(0) },
        ["test", "result:", ..] | ["Tests", ..] => {
            Count { passed: before("passed"), failed: before("failed") }
        }
        [.., _, "passed", _, "failed"] => Count { passed: before("passed"), failed: before("failed") },
        [_, "checks" | "check", ..] => Count { passed: words[0].parse().unwrap_or(0), failed: 0 },
        [.., _, "checks"] => Count { passed: before("checks"), failed: 0 },
        _ => Count::default(),
    }
}

/// The figure before a word.
fn number(words: &[&str], name: &str) -> u64 {
    let Some(place) = words.iter().position(|word| *word == name) else { return 0 };
    place.checked_sub(1).and_then(|at| words.get(at)).and_then(|word| word.parse().ok()).unwrap_or(0)
}

/// The line without the terminal's colour codes.
fn plain(raw: &str) -> String {
    let mut text = String::new();
    let mut letters = raw.chars();
    while let Some(letter) = letters.next() {
        if letter == '\u{1b}' {
            letters.by_ref().find(char::is_ascii_alphabetic);
        } else {
            text.push(letter);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(output: &str, passed: u64, failed: u64) {
        assert_eq!(Count::read(output), Count { passed, failed }, "{output}");
    }

    #[test]
    fn cargo_adds_up_over_programs() {
        check(
            "test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured\n\ntest result: FAILED. 3 passed; 2 failed; 0 ignored\n",
            15,
            2,
        );
    }

    #[test]
    fn vitest_counts_tests_not_files() {
        check(
            " Test Files  3 passed (3)\n      \u{1b}[2mTests\u{1b}[22m  1 failed | 40 passed (41)\n",
            40,
            1,
        );
    }

    #[test]
    fn node_and_oracles() {
        check("ℹ tests 5\nℹ pass 4\nℹ fail 1\n", 4, 1);
        check("200 checks\nsharing: 35 checks\n", 235, 0);
        check("31 passed, 0 failed\n", 31, 0);
    }

    #[test]
    fn other_lines_count_nothing() {
        check("checks\nall 3 rooms were passed on\n   Compiling x v1\n", 0, 0);
    }
}
