//! What a product asks besides its least sizes, for the screens: each figure as it was typed.

use crate::wire::{DemandsView, EngagementText, RuleText};
use drylay_document::sheet::{
    Demands, Engagement, Fraction, LongTongue, Measure, Motion, Rules, Setting, ShortTongue, TileEdges,
    Written,
};

pub(crate) fn view(stored: Option<&str>) -> DemandsView {
    let demands = stored.map(Demands::read).unwrap_or_default();
    let made = demands.made.unwrap_or_default();
    DemandsView {
        edges: made.edges.map(edges_word).unwrap_or_default().to_owned(),
        variation: text(&made.variation),
        warpage: text(&made.warpage),
        rules: demands.rules.as_ref().map(rules).unwrap_or_default(),
        engagement: demands.engagement.as_ref().map(engagement),
    }
}

/// A figure as it was typed; a sheet's plain number is millimetres, which has to be said.
fn shown(measure: &Measure) -> String {
    match &measure.written {
        Written::Text(text) => text.clone(),
        Written::Number(number) => format!("{number} mm"),
    }
}

fn text(measure: &Option<Measure>) -> String {
    measure.as_ref().map(shown).unwrap_or_default()
}

fn number(number: Option<f64>) -> String {
    number.map(|n| n.to_string()).unwrap_or_default()
}

pub(crate) fn edges_word(edges: TileEdges) -> &'static str {
    match edges {
        TileEdges::Rectified => "rectified",
        TileEdges::Calibrated => "calibrated",
    }
}

pub(crate) fn setting_word(setting: Setting) -> &'static str {
    match setting {
        Setting::Sunlit => "sunlit",
        Setting::Wet => "wet",
        Setting::Exterior => "exterior",
        Setting::Suspended => "suspended",
    }
}

pub(crate) fn motion_word(motion: Motion) -> &'static str {
    match motion {
        Motion::Angle => "angle",
        Motion::Drop => "drop",
        Motion::Slide => "slide",
    }
}

fn rule(kind: &str, at: usize, figure: String, source: &str, edition: &Option<String>) -> RuleText {
    RuleText {
        at: u32::try_from(at).unwrap_or(u32::MAX),
        kind: kind.to_owned(),
        figure,
        width: String::new(),
        settings: Vec::new(),
        variations: String::new(),
        plus_warpage: false,
        side_over: String::new(),
        edges: String::new(),
        offset_only: false,
        say: String::new(),
        source: source.to_owned(),
        edition: edition.clone().unwrap_or_default(),
    }
}

fn rules(rules: &Rules) -> Vec<RuleText> {
    let rows =
        rules.rows.iter().enumerate().map(|(i, r)| rule("rows", i, shown(&r.least), &r.source, &r.edition));
    let movement = rules.movement.iter().enumerate().map(|(i, r)| RuleText {
        width: text(&r.width),
        settings: r.settings.iter().map(|s| setting_word(*s).to_owned()).collect(),
        ..rule("movement", i, shown(&r.run), &r.source, &r.edition)
    });
    let joint = rules.joint.iter().enumerate().map(|(i, r)| RuleText {
        variations: number(r.variations),
        plus_warpage: r.plus_warpage,
        side_over: text(&r.side_over),
        edges: r.edges.map(edges_word).unwrap_or_default().to_owned(),
        offset_only: r.offset_only,
        ..rule("joint", i, shown(&r.least), &r.source, &r.edition)
    });
    let offset = rules.offset.iter().enumerate().map(|(i, r)| RuleText {
        side_over: text(&r.side_over),
        ..rule("offset", i, Fraction::to_string(&r.most), &r.source, &r.edition)
    });
    let gap =
        rules.gap.iter().enumerate().map(|(i, r)| rule("gap", i, shown(&r.least), &r.source, &r.edition));
    let said = rules.instructions.iter().enumerate().map(|(i, r)| RuleText {
        say: r.say.clone(),
        ..rule("instruction", i, String::new(), &r.source, &r.edition)
    });
    rows.chain(movement).chain(joint).chain(offset).chain(gap).chain(said).collect()
}

fn engagement(e: &Engagement) -> EngagementText {
    let ways = |ways: &[Motion]| ways.iter().map(|motion| motion_word(*motion).to_owned()).collect();
    EngagementText {
        long_tongue: if e.long_tongue == LongTongue::Low { "low" } else { "high" }.to_owned(),
        short_tongue: if e.short_tongue == ShortTongue::Start { "start" } else { "end" }.to_owned(),
        long: ways(&e.long),
        short: ways(&e.short),
        angle: number(e.angle_degrees),
        lift: text(&e.lift),
        travel: text(&e.travel),
        shaved_travel: text(&e.shaved_travel),
        chips_long: e.chips.as_ref().map(|c| shown(&c.long)).unwrap_or_default(),
        chips_short: e.chips.as_ref().map(|c| shown(&c.short)).unwrap_or_default(),
        source: e.source.clone(),
        edition: e.edition.clone().unwrap_or_default(),
    }
}
