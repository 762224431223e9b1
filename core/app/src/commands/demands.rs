//! What a product asks besides its least sizes, from what was typed. What the screens do not show of a rule stays as it
//! was.

use super::jobs::said;
use super::plan::measure;
use crate::Problem;
use crate::views::demands::{edges_word, motion_word, setting_word};
use crate::wire::{DemandsTyped, EngagementTyped, RuleTyped, Units};
use drylay_document::sheet::{
    Chips, Demands, Engagement, Fraction, GapRule, Instruction, JointRule, LongTongue, Made, Measure, Motion,
    MovementRule, OffsetRule, RowRule, Rules, Setting, ShortTongue, TileEdges,
};

/// The text that the document keeps; `None` for nothing.
pub(super) fn written(
    typed: &DemandsTyped,
    old: Option<&str>,
    units: Units,
    has_thickness: bool,
) -> Result<Option<String>, Problem> {
    let old = old.map(Demands::read).unwrap_or_default();
    let reader = Reader { units };
    let old_made = old.made.unwrap_or_default();
    let made = Made {
        edges: reader.edges(&typed.edges, "product.demands.edges")?,
        variation: reader.may(&typed.variation, "product.demands.variation")?,
        warpage: reader.may(&typed.warpage, "product.demands.warpage")?,
        ..old_made
    };
    let mut rules =
        Rules { extra: old.rules.as_ref().map(|r| r.extra.clone()).unwrap_or_default(), ..Rules::default() };
    let before = old.rules.unwrap_or_default();
    for (i, rule) in typed.rules.iter().enumerate() {
        reader.rule(rule, &before, &mut rules, &format!("product.demands.rules[{i}]"))?;
    }
    let engagement = match &typed.engagement {
        Some(_) if !has_thickness => return Err(Problem::new("engagement.thickness", "product.thickness")),
        Some(e) => Some(reader.engagement(e, old.engagement, "product.demands.engagement")?),
        None => None,
    };
    let some = |made: Made| (made != Made::default()).then_some(made);
    let rules = (rules != Rules::default()).then_some(rules);
    Ok(Demands { made: some(made), rules, engagement, base: old.base }.write())
}

struct Reader {
    units: Units,
}

impl Reader {
    fn may(&self, text: &str, place: &str) -> Result<Option<Measure>, Problem> {
        Ok(self.units.read_answer(text, place)?.as_ref().map(measure))
    }

    fn need(&self, text: &str, place: &str) -> Result<Measure, Problem> {
        if text.trim().is_empty() {
            return Err(Problem::new("length.empty", place));
        }
        self.units.read_positive(text, place).map(|typed| measure(&typed))
    }

    fn edges(&self, word: &str, place: &str) -> Result<Option<TileEdges>, Problem> {
        let words = [TileEdges::Rectified, TileEdges::Calibrated].map(|e| (edges_word(e), e));
        if word.is_empty() { Ok(None) } else { one_of(word, &words, place).map(Some) }
    }

    fn rule(&self, typed: &RuleTyped, old: &Rules, into: &mut Rules, place: &str) -> Result<(), Problem> {
        let at = typed.at.and_then(|at| usize::try_from(at).ok()).unwrap_or(usize::MAX);
        let source =
            said(&typed.source).ok_or_else(|| Problem::new("rule.no_source", format!("{place}.source")))?;
        let edition = said(&typed.edition);
        let figure = || self.need(&typed.figure, &format!("{place}.figure"));
        let side_over = || self.may(&typed.side_over, &format!("{place}.side_over"));
        match typed.kind.as_str() {
            "rows" => {
                let extra = old.rows.get(at).map(|r| r.extra.clone()).unwrap_or_default();
                into.rows.push(RowRule { least: figure()?, source, edition, extra });
            }
            "gap" => {
                let extra = old.gap.get(at).map(|r| r.extra.clone()).unwrap_or_default();
                into.gap.push(GapRule { least: figure()?, source, edition, extra });
            }
            "instruction" => {
                let say =
                    said(&typed.say).ok_or_else(|| Problem::new("note.empty", format!("{place}.say")))?;
                let extra = old.instructions.get(at).map(|r| r.extra.clone()).unwrap_or_default();
                into.instructions.push(Instruction { say, source, edition, extra });
            }
            "movement" => {
                let settings = [Setting::Sunlit, Setting::Wet, Setting::Exterior, Setting::Suspended];
                let words = settings.map(|s| (setting_word(s), s));
                let setting = |word: &String| one_of(word, &words, &format!("{place}.settings"));
                let before = old.movement.get(at);
                into.movement.push(MovementRule {
                    run: figure()?,
                    width: self.may(&typed.width, &format!("{place}.width"))?,
                    widths: before.map(|r| r.widths.clone()).unwrap_or_default(),
                    warmth: before.and_then(|r| r.warmth.clone()),
                    settings: typed.settings.iter().map(setting).collect::<Result<_, _>>()?,
                    source,
                    edition,
                    extra: before.map(|r| r.extra.clone()).unwrap_or_default(),
                });
            }
            "joint" => into.joint.push(JointRule {
                least: figure()?,
                variations: amount(&typed.variations, &format!("{place}.variations"))?,
                plus_warpage: typed.plus_warpage,
                side_over: side_over()?,
                edges: self.edges(&typed.edges, &format!("{place}.edges"))?,
                offset_only: typed.offset_only,
                source,
                edition,
                extra: old.joint.get(at).map(|r| r.extra.clone()).unwrap_or_default(),
            }),
            "offset" => {
                let wrong =
                    || Problem::new("sheet.fraction", format!("{place}.figure")).with("found", &typed.figure);
                into.offset.push(OffsetRule {
                    most: Fraction::parse(typed.figure.trim()).ok_or_else(wrong)?,
                    side_over: side_over()?,
                    source,
                    edition,
                    extra: old.offset.get(at).map(|r| r.extra.clone()).unwrap_or_default(),
                });
            }
            other => {
                return Err(unknown_word(other, "rows, movement, joint, offset, gap, instruction", place));
            }
        }
        Ok(())
    }

    fn engagement(
        &self,
        e: &EngagementTyped,
        old: Option<Engagement>,
        place: &str,
    ) -> Result<Engagement, Problem> {
        let motions = [Motion::Angle, Motion::Drop, Motion::Slide].map(|m| (motion_word(m), m));
        let ways = |words: &[String], field: &str| -> Result<Vec<Motion>, Problem> {
            let place = format!("{place}.{field}");
            if words.is_empty() {
                return Err(Problem::new("engagement.no_way", place));
            }
            words.iter().map(|word| one_of(word, &motions, &place)).collect()
        };
        let (long, short) = (ways(&e.long, "long")?, ways(&e.short, "short")?);
        let by = |motion: Motion| long.contains(&motion) || short.contains(&motion);
        let angle_degrees = amount(&e.angle, &format!("{place}.angle"))?;
        let angle = |code: &str| Problem::new(code, format!("{place}.angle")).with("found", &e.angle);
        if angle_degrees.is_some_and(|degrees| degrees <= 0.0 || degrees >= 90.0) {
            return Err(angle("engagement.angle"));
        }
        if by(Motion::Angle) && angle_degrees.is_none() {
            return Err(angle("engagement.no_angle"));
        }
        let travel = self.may(&e.travel, &format!("{place}.travel"))?;
        if by(Motion::Slide) && travel.is_none() {
            return Err(Problem::new("engagement.no_travel", format!("{place}.travel")));
        }
        Ok(Engagement {
            long_tongue: one_of(
                &e.long_tongue,
                &[("low", LongTongue::Low), ("high", LongTongue::High)],
                &format!("{place}.long_tongue"),
            )?,
            short_tongue: one_of(
                &e.short_tongue,
                &[("start", ShortTongue::Start), ("end", ShortTongue::End)],
                &format!("{place}.short_tongue"),
            )?,
            long,
            short,
            angle_degrees,
            lift: self.may(&e.lift, &format!("{place}.lift"))?,
            travel,
            shaved_travel: self.may(&e.shaved_travel, &format!("{place}.shaved_travel"))?,
            chips: self.chips(e, old.as_ref().and_then(|o| o.chips.as_ref()), place)?,
            source: said(&e.source)
                .ok_or_else(|| Problem::new("rule.no_source", format!("{place}.source")))?,
            edition: said(&e.edition),
            extra: old.map(|o| o.extra).unwrap_or_default(),
        })
    }

    /// How much may be chipped off: of both, or of neither.
    fn chips(&self, e: &EngagementTyped, old: Option<&Chips>, place: &str) -> Result<Option<Chips>, Problem> {
        if e.chips_long.trim().is_empty() && e.chips_short.trim().is_empty() {
            return Ok(None);
        }
        Ok(Some(Chips {
            long: self.need(&e.chips_long, &format!("{place}.chips_long"))?,
            short: self.need(&e.chips_short, &format!("{place}.chips_short"))?,
            extra: old.map(|c| c.extra.clone()).unwrap_or_default(),
        }))
    }
}

fn amount(text: &str, place: &str) -> Result<Option<f64>, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let number = text.parse::<f64>().ok().filter(|n| n.is_finite() && *n >= 0.0);
    number.map(Some).ok_or_else(|| Problem::new("sheet.amount", place).with("found", text))
}

fn one_of<T: Copy>(word: &str, words: &[(&str, T)], place: &str) -> Result<T, Problem> {
    let wanted: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    let found = words.iter().find(|(other, _)| *other == word).map(|(_, value)| *value);
    found.ok_or_else(|| unknown_word(word, &wanted.join(", "), place))
}

fn unknown_word(word: &str, wanted: &str, place: &str) -> Problem {
    Problem::new("sheet.word", place).with("wanted", wanted).with("found", word)
}
