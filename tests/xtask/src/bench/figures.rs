//! What the measuring programs say: a figure a line, `name<TAB>seconds`. Lines whose second part is no number are words
//! about an outcome and are passed on as they are; lines without a tab are talk. Of a figure that is said several times
//! the least counts.

use std::collections::BTreeMap;

/// Figures by name, and what was said in words.
#[derive(Debug, Default)]
pub(super) struct Figures {
    seconds: BTreeMap<String, f64>,
    words: Vec<String>,
}

impl Figures {
    /// Takes in what programs wrote.
    pub(super) fn read(&mut self, said: &str) {
        for (name, value) in said.lines().filter_map(|line| line.split_once('\t')) {
            match value.trim().parse::<f64>() {
                Ok(seconds) if seconds.is_finite() => {
                    let least = self.seconds.entry(name.trim().to_owned()).or_insert(seconds);
                    *least = least.min(seconds);
                }
                _ => {
                    let words = format!("{}: {}", name.trim(), value.trim());
                    if !self.words.contains(&words) {
                        self.words.push(words);
                    }
                }
            }
        }
    }

    /// The figure of that name.
    pub(super) fn seconds(&self, name: &str) -> Option<f64> {
        self.seconds.get(name).copied()
    }

    /// Whether a program said something about it, in words instead of a figure.
    pub(super) fn told(&self, name: &str) -> Option<&str> {
        self.words.iter().find_map(|line| line.strip_prefix(name)?.strip_prefix(": "))
    }

    /// What was said in words, a line each.
    pub(super) fn words(&self) -> Option<String> {
        (!self.words.is_empty()).then(|| format!("{}\n", self.words.join("\n")))
    }
}

#[cfg(test)]
mod tests {
    use super::Figures;

    #[test]
    fn figures_words_and_talk_are_told_apart() {
        let mut seen = Figures::default();
        seen.read("Compiling\nfirst answer\t0.25\nbound near\tnot in 10 s\nstrange\tNaN\n");
        assert_eq!(seen.seconds("first answer"), Some(0.25));
        assert_eq!(seen.seconds("bound near"), None);
        assert_eq!(seen.told("bound near"), Some("not in 10 s"));
        assert_eq!(seen.seconds("strange"), None);
        assert_eq!(seen.words().as_deref(), Some("bound near: not in 10 s\nstrange: NaN\n"));
    }

    #[test]
    fn the_least_of_a_figure_counts_and_the_same_words_are_said_once() {
        let mut seen = Figures::default();
        seen.read("pieces\t0.3\nfound\tall\npieces\t0.2\nfound\tall\n");
        seen.read("pieces\t0.4\n");
        assert_eq!(seen.seconds("pieces"), Some(0.2));
        assert_eq!(seen.words().as_deref(), Some("found: all\n"));
    }
}
