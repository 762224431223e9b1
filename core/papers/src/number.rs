//! Numbers as text, the same everywhere.

/// Millimetres to the nanometre, without zeros that say nothing.
pub(crate) fn mm(x: f64) -> String {
    let text = format!("{x:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::mm;

    #[test]
    fn a_nanometre_is_kept_and_nought_has_no_sign() {
        assert_eq!([mm(1.000_001), mm(-0.000_000_1), mm(250.0), mm(-3.5)], ["1.000001", "0", "250", "-3.5"]);
    }
}
