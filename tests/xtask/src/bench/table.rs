//! The table: what, ours, reference, ratio, goal, met or not.

use super::figures::Figures;
use super::goals::{Goal, bytes, figures};

const HEAD: [&str; 6] = ["what", "ours", "reference", "ratio", "goal", "met"];

/// All goals as lines of one table, columns aligned.
pub(super) fn of(goals: &[&Goal], seen: &Figures) -> String {
    let mut lines = vec![HEAD.map(str::to_owned)];
    lines.extend(goals.iter().map(|goal| line(goal, seen)));
    let width = |column: usize| lines.iter().map(|line| line[column].chars().count()).max().unwrap_or(0);
    let widths: [usize; 6] = std::array::from_fn(width);
    let mut text: Vec<String> = lines.iter().map(|line| joined(line, &widths)).collect();
    text.insert(1, widths.map(|width| "-".repeat(width)).join("  "));
    text.join("\n") + "\n"
}

fn line(goal: &Goal, seen: &Figures) -> [String; 6] {
    let ours = seen.seconds(goal.ours);
    let theirs = goal.reference.and_then(|reference| seen.seconds(reference.name));
    let shown = match goal.aim {
        aim if aim.is_counted() => plain,
        aim if aim.is_of_bytes() => bytes,
        _ => time,
    };
    let said = || seen.told(goal.ours).unwrap_or("not measured").to_owned();
    let reference = match (goal.reference, theirs) {
        (None, _) => "none".to_owned(),
        (Some(reference), Some(theirs)) => format!("{} {}", shown(theirs), reference.what),
        (Some(reference), None) => format!("not measured: {}", reference.what),
    };
    [
        goal.what.to_owned(),
        ours.map_or_else(said, shown),
        reference,
        ours.zip(theirs).map_or_else(String::new, |(ours, theirs)| match goal.aim.is_of_bytes() {
            true => format!("{} times the bytes", figures(ours / theirs)),
            false => ratio(ours, theirs),
        }),
        goal.aim.words(),
        verdict(goal, ours, theirs, seen).to_owned(),
    ]
}

fn verdict(goal: &Goal, ours: Option<f64>, theirs: Option<f64>, seen: &Figures) -> &'static str {
    match ours {
        Some(ours) => match goal.aim.met(ours, theirs) {
            Some(true) => "yes",
            Some(false) if goal.aim.is_beyond(theirs) => "NO, nor does the reference",
            Some(false) => "NO",
            None => "?",
        },
        // A program that says in words that it did not get there has measured just that.
        None if seen.told(goal.ours).is_some() => "NO",
        None => "?",
    }
}

fn joined(cells: &[String; 6], widths: &[usize; 6]) -> String {
    let padded = cells.iter().zip(widths).map(|(cell, width)| {
        let missing = width - cell.chars().count();
        format!("{cell}{}", " ".repeat(missing))
    });
    padded.collect::<Vec<_>>().join("  ").trim_end().to_owned()
}

/// A number as it is, to four figures behind the point where it is small.
fn plain(value: f64) -> String {
    if value.fract() == 0.0 { format!("{value}") } else { format!("{value:.4}") }
}

/// A time to three figures, in the unit that suits it.
fn time(seconds: f64) -> String {
    let (value, unit) = match seconds {
        s if s < 1e-3 => (s * 1e6, "µs"),
        s if s < 1.0 => (s * 1e3, "ms"),
        s => (s, "s"),
    };
    format!("{} {unit}", figures(value))
}

fn ratio(ours: f64, theirs: f64) -> String {
    if ours <= theirs {
        format!("{} times faster", figures(theirs / ours))
    } else {
        format!("{} times the time", figures(ours / theirs))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_ratios_are_written_with_three_figures() {
        assert_eq!(time(0.000_012_3), "12.3 µs");
        assert_eq!(time(0.004_5), "4.50 ms");
        assert_eq!(time(12.0), "12.0 s");
        assert_eq!(ratio(0.01, 0.5), "50.0 times faster");
        assert_eq!(ratio(0.5, 0.25), "2.00 times the time");
    }

    #[test]
    fn columns_line_up_and_a_missed_goal_is_said() {
        let mut seen = Figures::default();
        seen.read("edit acknowledged, p95\t0.05\nbare insert, p95\t0.01\n");
        let goal = super::super::goals::GOALS.iter().find(|goal| goal.ours == "edit acknowledged, p95");
        let text = of(&goal.into_iter().collect::<Vec<_>>(), &seen);
        assert!(text.contains("5.00 times the time"), "{text}");
        assert!(text.trim_end().ends_with("NO"), "{text}");
        assert_eq!(text.lines().count(), 3);
        seen.read("frame of 1500 pieces, work p95\t0.04\nframe of an empty page, work p95\t0.03\n");
        let goal =
            super::super::goals::GOALS.iter().find(|goal| goal.ours == "frame of 1500 pieces, work p95");
        let text = of(&goal.into_iter().collect::<Vec<_>>(), &seen);
        assert!(text.trim_end().ends_with("NO, nor does the reference"), "{text}");
    }
}
