//! Licence expressions as packages state them, and whether a list of allowed licences meets them.

/// True if the expression can be met with allowed licences alone. Knows `AND`, `OR` (also written `/`), `WITH` and
/// brackets; an expression it cannot read is not met.
pub(crate) fn met(expression: &str, allowed: &dyn Fn(&str) -> bool) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader { words: &words, allowed };
    reader.any() == Some(true) && reader.words.is_empty()
}

struct Reader<'a> {
    words: &'a [&'a str],
    allowed: &'a dyn Fn(&str) -> bool,
}

impl<'a> Reader<'a> {
    fn any(&mut self) -> Option<bool> {
        let mut met = self.every()?;
        while self.take("OR") {
            met |= self.every()?;
        }
        Some(met)
    }

    fn every(&mut self) -> Option<bool> {
        let mut met = self.single()?;
        while self.take("AND") {
            met &= self.single()?;
        }
        Some(met)
    }

    fn single(&mut self) -> Option<bool> {
        if self.take("(") {
            let met = self.any()?;
            return self.take(")").then_some(met);
        }
        let name = self.next()?;
        if self.take("WITH") {
            let exception = self.next()?;
            return Some((self.allowed)(&format!("{name} WITH {exception}")) || (self.allowed)(name));
        }
        Some((self.allowed)(name))
    }

    fn take(&mut self, word: &str) -> bool {
        let found = self.words.first() == Some(&word);
        if found {
            self.words = &self.words[1..];
        }
        found
    }

    fn next(&mut self) -> Option<&'a str> {
        let (first, rest) = self.words.split_first()?;
        self.words = rest;
        Some(first)
    }
}

#[cfg(test)]
mod tests {
    use super::met;

    fn check(expression: &str, expected: bool) {
        let allowed = |name: &str| ["MIT", "Zlib", "Apache-2.0 WITH LLVM-exception"].contains(&name);
        assert_eq!(met(expression, &allowed), expected, "{expression}");
    }

    // The grammar: SPDX specification 2.3, annex D; the slash is how older packages wrote OR.
    #[test]
    fn one_way_out_is_enough() {
        check("MIT", true);
        check("GPL-3.0-only", false);
        check("GPL-3.0-only OR MIT", true);
        check("GPL-3.0-only/MIT", true);
    }

    #[test]
    fn both_must_be_met() {
        check("MIT AND GPL-3.0-only", false);
        check("(GPL-3.0-only OR MIT) AND Zlib", true);
        check("MIT OR GPL-3.0-only AND GPL-2.0-only", true);
    }

    #[test]
    fn exceptions_belong_to_their_licence() {
        check("Apache-2.0 WITH LLVM-exception", true);
        check("Apache-2.0", false);
    }

    #[test]
    fn what_cannot_be_read_is_not_met() {
        check("", false);
        check("MIT OR", false);
        check("(MIT", false);
        check("MIT MIT", false);
    }
}
